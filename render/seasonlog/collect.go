package seasonlog

import (
	"database/sql"
	"errors"
	"fmt"
	"spatsheet/protocols/remedy"
	"strings"
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
	one := l.CollectAll([]Workbook{w})[0]
	return one.Outcome, one.Revision, one.Err
}

// Collected is what Collect gives for one workbook of several.
type Collected struct {
	Outcome  Outcome
	Revision int
	Err      error
}

// CollectAll is Collect for several workbooks, in their order, with one transaction for
// all of them: syncing to the disk costs as much for thirty workbooks as for one.
//
// A workbook that is refused does not keep the others out. When the disk or the file fails,
// none of them was stored, and each that was not refused has that error.
func (l *Log) CollectAll(list []Workbook) []Collected {
	out, arrived := make([]Collected, len(list)), make([]arriving, len(list))
	for i := range list {
		arrived[i].Workbook = &list[i]
		if out[i].Err = l.trouble(list[i].fit()); out[i].Err == nil {
			arrived[i].digest = sha256Hex(list[i].Content)
		}
	}
	settled := false
	// A first look needs no write lock: what is known or refused writes nothing.
	err := l.read(func(c *sql.Conn) (err error) { settled, err = decideAll(c, arrived, out, nil); return err })
	if err == nil && !settled {
		err = l.write(func(c *sql.Conn) error {
			into, err := prepareInserts(c)
			defer into.close()
			if err == nil {
				_, err = decideAll(c, arrived, out, into)
			}
			return err
		})
	}
	for i := range out {
		switch {
		case out[i].Err == nil && err != nil:
			out[i] = Collected{Err: err}
		case out[i].Err != nil:
			out[i] = Collected{Err: l.trouble(out[i].Err)}
		}
	}
	return out
}

// arriving is a workbook on its way in, with the digest of its bytes.
type arriving struct {
	*Workbook
	digest string
}

// decideAll decides on each workbook that is fit and, when it is given where to, stores
// those that are new; settled says that nothing is left to store. Its error is the
// database's, refusals go into out.
func decideAll(c *sql.Conn, list []arriving, out []Collected, into *inserts) (settled bool, err error) {
	look, err := prepareLookups(c)
	defer look.close()
	if err != nil {
		return false, err
	}
	settled = true
	for i := range list {
		if errors.Is(out[i].Err, ErrUnfit) {
			continue
		}
		var refused *Error
		out[i].Outcome, out[i].Revision, err = list[i].decide(look)
		if out[i].Err = nil; errors.As(err, &refused) {
			out[i].Err = refused
			continue
		}
		if err != nil {
			return false, err
		}
		if out[i].Outcome == Unchanged {
			continue
		}
		settled = false
		if into == nil {
			continue
		}
		if err := list[i].store(into, out[i].Revision); err != nil {
			return false, err
		}
	}
	return settled, nil
}

// decide tells what collecting the workbook would do, or refuses it.
func (w arriving) decide(look *lookups) (Outcome, int, error) {
	var batch, protocol, sheet string
	var number int
	err := look.file.QueryRow(w.digest).Scan(&batch, &number)
	if err == nil && batch != w.Batch {
		return "", 0, w.unfit("the same file is in the log as batch "+batch, "read the workbook again; its manifest names one batch")
	}
	if err == nil {
		return Unchanged, number, nil
	}
	if !errors.Is(err, sql.ErrNoRows) {
		return "", 0, err
	}
	err = look.newest.QueryRow(w.Batch).Scan(&protocol, &sheet, &number)
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
		return &Error{Kind: ErrOtherSheet, Says: place + "the batch is in the log with protocol " + protocol +
			", this file is of " + w.Protocol, Remedy: "give this work a batch code of its own"}
	case sheet != w.Digest && !reasoned:
		return &Error{Kind: ErrOtherSheet, Says: fmt.Sprintf("%srevision %d is of sheet %s, this file is of sheet %s",
			place, number, sheet, w.Digest), Takes: remedy.Remedy{Kind: remedy.ReasonOrCode}}
	case !reasoned:
		return &Error{Kind: ErrNeedsReason, Says: fmt.Sprintf("%sthe file differs from revision %d", place, number),
			Takes: remedy.Remedy{Kind: remedy.GiveReason}}
	}
	return nil
}
