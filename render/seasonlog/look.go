package seasonlog

import (
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// Revision is a collected workbook as the log knows it. Digests are SHA-256 in hex.
type Revision struct {
	Collected      int    // order of collecting in the whole log, from 1
	Batch          string // batch code
	Number         int    // revision of the batch, from 1
	Workbook       string // digest of the file
	FileName       string
	Protocol       string // id@version
	ProtocolText   string // digests of the texts, for Text
	PlanText       string
	SiteText       string
	Sheet          string // the sheet's short digest
	Stage          string
	Species        string
	Start          time.Time // clock time at the site, given as UTC
	CollectedAt    time.Time
	Program        string // what read the file
	Reason         string // empty for most first revisions
	Readings       int    // how many
	Findings       int
	ReadingsDigest string
	FindingsDigest string
}

const (
	revisionColumns = "collected, batch, revision, workbook, file_name, protocol, protocol_text, plan_text, site_text, sheet, stage, species," +
		" start_time, collected_at, program, reason, readings, findings, readings_digest, findings_digest, record_digest"
	readingColumns = "key, printed, state, raw, number, unit, text, sheet, cell"
	findingColumns = "level, code, sheet, cell, key, entry, raw, says, remedy"
)

// Batches lists the latest revision of every batch, by start and then by batch code.
func (l *Log) Batches() ([]Revision, error) {
	list, err := l.revisions("WHERE revision = (SELECT max(o.revision) FROM revision o WHERE o.batch = revision.batch)")
	byStart(list)
	return list, err
}

// Latest lists what Batches does, out of what History gave.
func Latest(history []Revision) []Revision {
	at := map[string]int{}
	var list []Revision
	for _, r := range history {
		i, known := at[r.Batch]
		switch {
		case !known:
			at[r.Batch] = len(list)
			list = append(list, r)
		case r.Number > list[i].Number:
			list[i] = r
		}
	}
	byStart(list)
	return list
}

func byStart(list []Revision) {
	slices.SortFunc(list, func(a, b Revision) int {
		if order := a.Start.Compare(b.Start); order != 0 {
			return order
		}
		return strings.Compare(a.Batch, b.Batch)
	})
}

// Revisions lists every revision of a batch, oldest first. Error: ErrUnknown.
func (l *Log) Revisions(batch string) ([]Revision, error) {
	list, err := l.revisions("WHERE batch = ? ORDER BY revision", batch)
	if err == nil && len(list) == 0 {
		return nil, l.unknown("batch "+batch, "look at the list of batches")
	}
	return list, err
}

// History lists every revision in the order of collecting: what a rebuild goes by.
func (l *Log) History() ([]Revision, error) { return l.revisions("ORDER BY collected") }

// Readings gives the readings of a batch in printed order; revision 0 is the latest.
// Error: ErrUnknown, ErrDamaged when they are not what was stored.
func (l *Log) Readings(batch string, revision int) ([]calc.Reading, error) {
	return l.readingsBy(batch, revision, l.readingsOf)
}

// AsFound gives readings as Readings does, whatever they are worth: to tell what differs in
// a damaged log, and for nothing else. Error: ErrUnknown.
func (l *Log) AsFound(batch string, revision int) ([]calc.Reading, error) {
	return l.readingsBy(batch, revision, func(k *look, r Revision) ([]calc.Reading, error) { return k.readingsIn(r.Collected) })
}

func (l *Log) readingsBy(batch string, revision int, read func(*look, Revision) ([]calc.Reading, error)) ([]calc.Reading, error) {
	var readings []calc.Reading
	err := l.looking(func(c *sql.Conn, k *look) error {
		r, err := l.find(c, batch, revision)
		if err != nil {
			return err
		}
		readings, err = read(k, r)
		return err
	})
	if err != nil {
		return nil, err
	}
	return readings, nil
}

// Findings gives the findings of a batch as they were when it was collected; revision 0
// is the latest. Error: ErrUnknown, ErrDamaged when they are not what was stored.
func (l *Log) Findings(batch string, revision int) ([]check.Finding, error) {
	var findings []check.Finding
	err := l.looking(func(c *sql.Conn, k *look) error {
		r, err := l.find(c, batch, revision)
		if err != nil {
			return err
		}
		findings, err = l.findingsOf(k, r)
		return err
	})
	if err != nil {
		return nil, err
	}
	return findings, nil
}

// Content gives the collected file, byte for byte; revision 0 is the latest.
// Error: ErrUnknown, ErrDamaged when the bytes are not what was stored.
func (l *Log) Content(batch string, revision int) ([]byte, error) {
	var content []byte
	err := l.read(func(c *sql.Conn) error {
		r, err := l.find(c, batch, revision)
		if err != nil {
			return err
		}
		if err := c.QueryRowContext(background, "SELECT content FROM workbook WHERE digest = ?", r.Workbook).Scan(&content); err != nil {
			return l.gone(err, "the workbook of batch "+r.place())
		}
		return l.same(r, "workbook", sha256Hex(content), r.Workbook)
	})
	if err != nil {
		return nil, err
	}
	return content, nil
}

// Text gives a stored protocol, plan or site text by its digest, SHA-256 in hex.
// Error: ErrUnknown, ErrDamaged when the text is not what was stored.
func (l *Log) Text(digest string) ([]byte, error) {
	var text []byte
	err := l.looking(func(_ *sql.Conn, k *look) (err error) {
		text, err = l.textOf(k, digest)
		return err
	})
	return text, err
}

// revisions lists the revisions that the condition picks.
func (l *Log) revisions(condition string, arguments ...any) ([]Revision, error) {
	var list []Revision
	err := l.read(func(c *sql.Conn) (err error) {
		if err := l.complete(c); err != nil {
			return err
		}
		list, err = revisionsOf(c, condition, arguments...)
		return err
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// complete refuses a log whose list of revisions has lost a row or an index entry: each
// revision left would be sound, and an older one would pass for the latest. Once found
// complete, it is not looked at again while the log is open.
func (l *Log) complete(c *sql.Conn) error {
	if l.isComplete.Load() {
		return nil
	}
	answers, err := (&verifier{conn: c}).words("PRAGMA integrity_check('revision')")
	if err != nil {
		return err
	}
	if len(answers) != 1 || answers[0] != "ok" {
		return &Error{Kind: ErrDamaged, Says: "the list of revisions is not whole: " + strings.Join(answers, ", "), Takes: rebuildIt}
	}
	l.isComplete.Store(true)
	return nil
}

func (l *Log) find(c *sql.Conn, batch string, revision int) (Revision, error) {
	if revision == 0 {
		if err := l.complete(c); err != nil {
			return Revision{}, err
		}
	}
	list, err := revisionsOf(c, "WHERE batch = ?1 AND (revision = ?2 OR ?2 = 0) ORDER BY revision DESC LIMIT 1", batch, revision)
	if err != nil {
		return Revision{}, err
	}
	if len(list) == 0 {
		what := "batch " + batch
		if revision != 0 {
			what = fmt.Sprintf("batch %s revision %d", batch, revision)
		}
		return Revision{}, l.unknown(what, "look at the list of batches and their revisions")
	}
	return list[0], nil
}

func (l *Log) unknown(what, remedy string) error {
	return &Error{Kind: ErrUnknown, Path: l.path, Says: what + " is not in it", Remedy: remedy}
}

// gone turns a missing row that must be there into damage.
func (l *Log) gone(err error, what string) error {
	if errors.Is(err, sql.ErrNoRows) {
		return &Error{Kind: ErrDamaged, Says: what + " is missing", Takes: rebuildIt}
	}
	return err
}

func (l *Log) same(r Revision, what, got, want string) error {
	if got == want {
		return nil
	}
	return &Error{Kind: ErrDamaged, Says: "batch " + r.place() + ": the " + what + " are not as they were stored", Takes: rebuildIt}
}

// place is the revision for people: "SK-26-01 revision 2".
func (r *Revision) place() string { return fmt.Sprintf("%s revision %d", r.Batch, r.Number) }

// revisionsOf reads revisions and refuses one that is not as it was stored.
func revisionsOf(c *sql.Conn, condition string, arguments ...any) ([]Revision, error) {
	return scanRevisions(c, condition, arguments, func(r Revision) error {
		return &Error{Kind: ErrDamaged, Says: "batch " + r.place() + " is not as it was stored", Takes: rebuildIt}
	})
}

// scanRevisions reads revisions; unsound is told of each that is not as it was stored, and
// its error ends the reading.
func scanRevisions(c *sql.Conn, condition string, arguments []any, unsound func(Revision) error) ([]Revision, error) {
	rows, err := c.QueryContext(background, "SELECT "+revisionColumns+" FROM revision "+condition, arguments...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Revision
	for rows.Next() {
		r, sound, err := scanRevision(rows)
		if err == nil && !sound {
			err = unsound(r)
		}
		if err != nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, rows.Err()
}

// scanRevision reads one row and tells whether it is as it was stored.
func scanRevision(rows *sql.Rows) (r Revision, sound bool, err error) {
	var start, at, record string
	err = rows.Scan(&r.Collected, &r.Batch, &r.Number, &r.Workbook, &r.FileName, &r.Protocol, &r.ProtocolText, &r.PlanText, &r.SiteText, &r.Sheet,
		&r.Stage, &r.Species, &start, &at, &r.Program, &r.Reason, &r.Readings, &r.Findings, &r.ReadingsDigest, &r.FindingsDigest, &record)
	if err != nil {
		return r, false, err
	}
	var badStart, badAt error
	r.Start, badStart = time.Parse(clockForm, start)
	r.CollectedAt, badAt = time.Parse(offsetForm, at)
	return r, badStart == nil && badAt == nil && r.digest() == record, nil
}
