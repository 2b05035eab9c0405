package seasonlog

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"sync"
)

// Fault is one thing wrong with a log.
type Fault struct {
	Place  string `json:"place"` // "workbook 3fa9...", "batch SK-26-01 revision 2", "file"
	Says   string `json:"says"`
	Remedy string `json:"remedy"`
}

// String prints place, fault and remedy.
func (f Fault) String() string { return f.Place + ": " + f.Says + "; " + f.Remedy }

// Verify reads the whole log and tells every fault: SQLite's own check of the file, the
// tables and triggers, the SHA-256 of every stored file and text, every revision with
// its readings and findings, revision numbers without gaps, and nothing left over.
//
// No faults and no error: the log holds what was stored. Error: ErrBusy, ErrDisk;
// damage is told as faults.
func (l *Log) Verify() ([]Fault, error) {
	v := &verifier{}
	err := l.read(func(c *sql.Conn) error {
		v.conn = c
		for _, part := range []struct {
			place string
			check func() error
		}{
			{"file", v.file}, {"references", v.references}, {"tables", v.tables},
			{"workbooks", func() error { return v.blobs("workbook") }}, {"texts", func() error { return v.blobs("document") }},
			{"revisions", v.revisions}, {"left over", v.leftOver},
		} {
			if err := part.check(); err != nil {
				if err = l.trouble(err); !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNotALog) {
					return err
				}
				v.fault(part.place, err.Error())
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return v.faults, nil
}

type verifier struct {
	conn   *sql.Conn
	faults []Fault
}

func (v *verifier) fault(place, says string, arguments ...any) {
	if len(arguments) > 0 {
		says = fmt.Sprintf(says, arguments...)
	}
	v.faults = append(v.faults, Fault{Place: place, Says: says, Remedy: rebuildIt.String()})
}

// file is SQLite's own check of pages, indexes and constraints.
func (v *verifier) file() error {
	answers, err := v.words("PRAGMA integrity_check")
	if err != nil {
		return err
	}
	for _, a := range answers {
		if a != "ok" {
			v.fault("file", "%s", a)
		}
	}
	return nil
}

func (v *verifier) references() error {
	broken, err := v.words(`SELECT "table" || ' points to a missing ' || parent FROM pragma_foreign_key_check`)
	for _, b := range broken {
		v.fault("references", "%s", b)
	}
	return err
}

// tables compares the tables and triggers with those of a new log.
func (v *verifier) tables() error {
	want, err := freshSchema()
	if err != nil {
		return err
	}
	have, err := v.words(schemaList)
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, h := range have {
		there[h] = true
	}
	for _, w := range want {
		if !there[w] {
			name, _, _ := strings.Cut(w, ":")
			v.fault("tables", "missing or changed: %s", name)
		}
	}
	return nil
}

const schemaList = "SELECT type || ' ' || name || ': ' || coalesce(sql, '') FROM sqlite_schema"

// freshSchema lists the tables and triggers of an empty log, made in memory once.
var freshSchema = sync.OnceValues(func() ([]string, error) {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	c, err := db.Conn(background)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	if err := execAll(c, schema()...); err != nil {
		return nil, err
	}
	return (&verifier{conn: c}).words(schemaList)
})

// blobs digests every stored file or text again.
func (v *verifier) blobs(table string) error {
	rows, err := v.conn.QueryContext(background, "SELECT digest, content FROM "+table+" ORDER BY digest")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var digest string
		var content []byte
		if err := rows.Scan(&digest, &content); err != nil {
			return err
		}
		if got := sha256Hex(content); got != digest {
			v.fault(table+" "+digest, "the content has digest %s", got)
		}
	}
	return rows.Err()
}

func (v *verifier) revisions() error {
	list, err := v.scan()
	if err != nil {
		return err
	}
	k, err := prepareLook(v.conn)
	if err != nil {
		return err
	}
	defer k.close()
	numbers := map[string]int{}
	for i, r := range list {
		place := "batch " + r.place()
		if r.Collected != i+1 {
			v.fault(place, "it was collected as number %d, the place is %d", r.Collected, i+1)
		}
		numbers[r.Batch]++
		if r.Number != numbers[r.Batch] {
			v.fault(place, "revision %d is missing", numbers[r.Batch])
		}
		if err := v.contents(k, place, r); err != nil {
			return err
		}
	}
	return nil
}

// scan reads every revision in the order of collecting, sound or not.
func (v *verifier) scan() ([]Revision, error) {
	return scanRevisions(v.conn, "ORDER BY collected", nil, func(r Revision) error {
		v.fault("batch "+r.place(), "the record is not as it was stored")
		return nil
	})
}

// contents digests the readings and findings of a revision again.
func (v *verifier) contents(k *look, place string, r Revision) error {
	readings, err := k.readingsIn(r.Collected)
	if err != nil {
		return err
	}
	if len(readings) != r.Readings || digestReadings(readings) != r.ReadingsDigest {
		v.fault(place, "the readings are not as they were stored: %s", instead(len(readings), r.Readings))
	}
	findings, err := k.findingsIn(r.Collected)
	if err != nil {
		return err
	}
	if len(findings) != r.Findings || digestFindings(findings) != r.FindingsDigest {
		v.fault(place, "the findings are not as they were stored: %s", instead(len(findings), r.Findings))
	}
	return nil
}

// instead says how many there are, or that as many say something else.
func instead(now, were int) string {
	if now == were {
		return fmt.Sprintf("of the %d something was changed", were)
	}
	return fmt.Sprintf("%d, were %d", now, were)
}

// leftOver finds stored files and texts that no revision names: a collect that was cut
// off would leave them if it were not one transaction.
func (v *verifier) leftOver() error {
	unused, err := v.words(`
		SELECT 'workbook ' || digest FROM workbook WHERE digest NOT IN (SELECT workbook FROM revision)
		UNION ALL SELECT 'document ' || digest FROM document WHERE digest NOT IN
			(SELECT protocol_text FROM revision UNION SELECT plan_text FROM revision UNION SELECT site_text FROM revision)`)
	for _, u := range unused {
		v.fault(u, "no revision names it")
	}
	return err
}

func (v *verifier) words(query string) ([]string, error) {
	rows, err := v.conn.QueryContext(background, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var word string
		if err := rows.Scan(&word); err != nil {
			return nil, err
		}
		list = append(list, word)
	}
	return list, rows.Err()
}
