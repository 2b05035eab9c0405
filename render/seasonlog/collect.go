package seasonlog

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// Outcome is what collecting a workbook did.
type Outcome string

// The outcomes.
const (
	Added     Outcome = "added"     // the first workbook of its batch
	Unchanged Outcome = "unchanged" // the same file is in the log already
	Revised   Outcome = "revised"   // a new revision of its batch
)

// Collect stores a workbook, with its readings, findings and texts, in one transaction.
//
// It gives what was done and the revision of the batch that the file is. When it returns
// without an error the workbook is on the disk; when it returns an error nothing was
// stored (after ErrDisk alone that is not certain: collect again, which settles it).
//
// The same bytes again are Unchanged, whatever the reason or the readings given with
// them, also when later revisions exist: to go back to an older file, save it anew.
// Other bytes for a batch in the log need a Reason. The reason is enough when the sheet
// is the same, and when the batch was planned or scaled again (other sheet digest, same
// protocol in any version); a batch code used for another protocol is refused always.
//
// Error: ErrUnfit, ErrNeedsReason, ErrOtherSheet, ErrBusy, ErrFull, ErrReadOnly, ErrDisk,
// ErrDamaged.
func (l *Log) Collect(w Workbook) (Outcome, int, error) {
	if err := w.fit(); err != nil {
		return "", 0, l.trouble(err)
	}
	outcome, number := Outcome(""), 0
	decide := func(c *sql.Conn) (known bool, err error) {
		outcome, number, err = w.decide(c)
		return outcome == Unchanged, err
	}
	known := false
	// A first look needs no write lock: most files of a collected folder are known.
	err := l.read(func(c *sql.Conn) (err error) { known, err = decide(c); return err })
	if err != nil || known {
		return outcome, number, err
	}
	err = l.write(func(c *sql.Conn) error {
		if known, err := decide(c); err != nil || known {
			return err
		}
		return w.store(c, number)
	})
	if err != nil {
		return "", 0, err
	}
	return outcome, number, nil
}

// decide tells what collecting the workbook would do, or refuses it.
func (w *Workbook) decide(c *sql.Conn) (Outcome, int, error) {
	var batch, protocol, sheet string
	var number int
	err := c.QueryRowContext(background, "SELECT batch, revision FROM revision WHERE workbook = ?", sha256Hex(w.Content)).Scan(&batch, &number)
	if err == nil && batch != w.Batch {
		return "", 0, w.unfit("the same file is in the log as batch "+batch, "read the workbook again; its manifest names one batch")
	}
	if err == nil {
		return Unchanged, number, nil
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return "", 0, err
	}
	err = c.QueryRowContext(background, "SELECT protocol, sheet, revision FROM revision WHERE batch = ? ORDER BY revision DESC LIMIT 1", w.Batch).Scan(&protocol, &sheet, &number)
	if errors.Is(err, sql.ErrNoRows) {
		return Added, 1, nil
	}
	if err != nil {
		return "", 0, err
	}
	if err := w.mayRevise(protocol, sheet, number); err != nil {
		return "", 0, err
	}
	return Revised, number + 1, nil
}

// mayRevise refuses a workbook that is no revision of what the batch holds.
func (w *Workbook) mayRevise(protocol, sheet string, number int) error {
	oldID, _, _ := strings.Cut(protocol, "@")
	newID, _, _ := strings.Cut(w.Protocol, "@")
	place := "batch " + w.Batch + ", file " + w.FileName + ": "
	reasoned := strings.TrimSpace(w.Reason) != ""
	switch {
	case oldID != newID:
		return &Error{Kind: ErrOtherSheet, Says: place + "the batch is in the log with protocol " + protocol + ", this file is of " + w.Protocol, Remedy: "give this work a batch code of its own"}
	case sheet != w.Digest && !reasoned:
		return &Error{Kind: ErrOtherSheet, Says: fmt.Sprintf("%srevision %d is of sheet %s, this file is of sheet %s", place, number, sheet, w.Digest), Remedy: "if the batch was planned again, give the reason; if it is another batch, give it another code"}
	case !reasoned:
		return &Error{Kind: ErrNeedsReason, Says: fmt.Sprintf("%sthe file differs from revision %d", place, number), Remedy: "give the reason of the correction"}
	}
	return nil
}

// store writes the workbook as revision `number` of its batch: first what the revision
// points to, last the row that seals it.
func (w *Workbook) store(c *sql.Conn, number int) error {
	var last int
	if err := c.QueryRowContext(background, "SELECT coalesce(max(collected), 0) FROM revision").Scan(&last); err != nil {
		return err
	}
	r := w.revision(last+1, number)
	if _, err := c.ExecContext(background, "INSERT INTO workbook (digest, content) VALUES (?, ?)", r.Workbook, w.Content); err != nil {
		return err
	}
	for _, text := range [][]byte{w.ProtocolText, w.PlanText, w.SiteText} {
		_, err := c.ExecContext(background, "INSERT INTO document (digest, content) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM document WHERE digest = ?1)", sha256Hex(text), text)
		if err != nil {
			return err
		}
	}
	if err := storeReadings(c, r.Collected, w.Readings); err != nil {
		return err
	}
	if err := storeFindings(c, r.Collected, w.Findings); err != nil {
		return err
	}
	_, err := c.ExecContext(background, "INSERT INTO revision ("+revisionColumns+") VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
		r.Collected, r.Batch, r.Number, r.Workbook, r.FileName, r.Protocol, r.ProtocolText, r.PlanText, r.SiteText, r.Sheet, r.Stage, r.Species,
		r.Start.Format(clockForm), r.CollectedAt.Format(offsetForm), r.Program, r.Reason, r.Readings, r.Findings,
		r.ReadingsDigest, r.FindingsDigest, r.digest())
	return err
}

func storeReadings(c *sql.Conn, collected int, readings []calc.Reading) error {
	insert, err := c.PrepareContext(background, "INSERT INTO reading (collected, position, "+readingColumns+") VALUES (?,?,?,?,?,?,?,?,?,?,?)")
	if err != nil {
		return err
	}
	defer insert.Close()
	for i, r := range readings {
		if _, err := insert.Exec(collected, i+1, string(r.Key), r.Printed, string(r.State), r.Raw, storedNumber(r), r.Unit, r.Text, r.Sheet, r.Ref); err != nil {
			return err
		}
	}
	return nil
}

// storedNumber is NULL where a zero only means that there is no number, so that an
// average taken in SQL counts readings and nothing else.
func storedNumber(r calc.Reading) any {
	if r.Number == 0 && (r.State != calc.Given || r.Text != "") {
		return nil
	}
	return r.Number
}

func storeFindings(c *sql.Conn, collected int, findings []check.Finding) error {
	for i, f := range findings {
		_, err := c.ExecContext(background, "INSERT INTO finding (collected, position, "+findingColumns+") VALUES (?,?,?,?,?,?,?,?,?,?,?)",
			collected, i+1, string(f.Level), f.Code, f.Sheet, f.Ref, string(f.Key), f.Entry, f.Raw, f.Says, f.Remedy)
		if err != nil {
			return err
		}
	}
	return nil
}
