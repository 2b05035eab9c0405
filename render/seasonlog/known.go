package seasonlog

import (
	"database/sql"

	"spatsheet/protocols"
)

// Known is a collected file, found by its bytes.
type Known struct {
	Batch    string
	Revision int
	Latest   int                     // revision of the batch
	Findings map[protocols.Level]int // how many of each level
}

// DigestOf is the name a file has in the log: SHA-256 of its bytes, in hex.
func DigestOf(content []byte) string { return sha256Hex(content) }

// KnownFiles lists every collected file by its digest, so that a folder collected before
// is told by its bytes alone, without a question for each file.
// Error: ErrBusy, ErrDisk, ErrDamaged.
func (l *Log) KnownFiles() (map[string]Known, error) {
	known := map[string]Known{}
	err := l.read(func(c *sql.Conn) error {
		levels, err := levelsOf(c)
		if err != nil {
			return err
		}
		rows, err := c.QueryContext(background, "SELECT collected, workbook, batch, revision, max(revision) OVER (PARTITION BY batch) FROM revision")
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var collected int
			var digest string
			var k Known
			if err := rows.Scan(&collected, &digest, &k.Batch, &k.Revision, &k.Latest); err != nil {
				return err
			}
			k.Findings = levels[collected]
			known[digest] = k
		}
		return rows.Err()
	})
	if err != nil {
		return nil, err
	}
	return known, nil
}

// levelsOf counts the findings of each revision by level.
func levelsOf(c *sql.Conn) (map[int]map[protocols.Level]int, error) {
	rows, err := c.QueryContext(background, "SELECT collected, level, count(*) FROM finding GROUP BY collected, level")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	levels := map[int]map[protocols.Level]int{}
	for rows.Next() {
		var collected, n int
		var level string
		if err := rows.Scan(&collected, &level, &n); err != nil {
			return nil, err
		}
		if levels[collected] == nil {
			levels[collected] = map[protocols.Level]int{}
		}
		levels[collected][protocols.Level(level)] = n
	}
	return levels, rows.Err()
}
