package seasonlog

import (
	"database/sql"
	"errors"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// inserts are the statements that store a workbook, prepared once for a transaction.
type inserts struct {
	conn                                                        *sql.Conn
	workbook, document, reading, readingRows, finding, revision *sql.Stmt
}

const (
	insertReading = "INSERT INTO reading (collected, position, " + readingColumns + ") VALUES "
	readingWidth  = 11 // columns
	// rowsAtOnce is how many readings one statement stores: a statement costs as much as
	// some rows (measured: 25 at once take a fifth less time than one by one).
	rowsAtOnce = 25
)

// row is a row of question marks.
func row(columns int) string {
	return "(" + strings.TrimSuffix(strings.Repeat("?,", columns), ",") + ")"
}

func prepare(c *sql.Conn) (*inserts, error) {
	into := &inserts{conn: c}
	for _, s := range []struct {
		statement **sql.Stmt
		text      string
	}{
		{&into.workbook, "INSERT INTO workbook (digest, content) VALUES (?, ?)"},
		{&into.document, "INSERT INTO document (digest, content) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM document WHERE digest = ?1)"},
		{&into.reading, insertReading + row(readingWidth)},
		{&into.readingRows, insertReading + strings.TrimSuffix(strings.Repeat(row(readingWidth)+",", rowsAtOnce), ",")},
		{&into.finding, "INSERT INTO finding (collected, position, " + findingColumns + ") VALUES " + row(11)},
		{&into.revision, "INSERT INTO revision (" + revisionColumns + ") VALUES " + row(21)},
	} {
		var err error
		if *s.statement, err = c.PrepareContext(background, s.text); err != nil {
			return nil, errors.Join(err, into.close())
		}
	}
	return into, nil
}

// close lets go of the statements; there is nothing left to lose by then.
func (into *inserts) close() error {
	var err error
	for _, s := range []*sql.Stmt{into.workbook, into.document, into.reading, into.readingRows, into.finding, into.revision} {
		if s != nil {
			err = errors.Join(err, s.Close())
		}
	}
	return err
}

// store writes the workbook as revision `number` of its batch: first what the revision
// points to, last the row that seals it.
func (w *Workbook) store(into *inserts, number int) error {
	var last int
	if err := into.conn.QueryRowContext(background, "SELECT coalesce(max(collected), 0) FROM revision").Scan(&last); err != nil {
		return err
	}
	r := w.revision(last+1, number)
	if _, err := into.workbook.Exec(r.Workbook, w.Content); err != nil {
		return err
	}
	for _, text := range [][]byte{w.ProtocolText, w.PlanText, w.SiteText} {
		if _, err := into.document.Exec(sha256Hex(text), text); err != nil {
			return err
		}
	}
	if err := into.readings(r.Collected, w.Readings); err != nil {
		return err
	}
	if err := into.findings(r.Collected, w.Findings); err != nil {
		return err
	}
	_, err := into.revision.Exec(
		r.Collected, r.Batch, r.Number, r.Workbook, r.FileName, r.Protocol, r.ProtocolText, r.PlanText, r.SiteText, r.Sheet, r.Stage, r.Species,
		r.Start.Format(clockForm), r.CollectedAt.Format(offsetForm), r.Program, r.Reason, r.Readings, r.Findings,
		r.ReadingsDigest, r.FindingsDigest, r.digest())
	return err
}

func (into *inserts) readings(collected int, readings []calc.Reading) error {
	values := make([]any, 0, rowsAtOnce*readingWidth)
	for i, r := range readings {
		values = append(values, collected, i+1, string(r.Key), r.Printed, string(r.State), r.Raw, storedNumber(r), r.Unit, r.Text, r.Sheet, r.Ref)
		if len(values) < rowsAtOnce*readingWidth {
			continue
		}
		if _, err := into.readingRows.Exec(values...); err != nil {
			return err
		}
		values = values[:0]
	}
	for one := range slices.Chunk(values, readingWidth) {
		if _, err := into.reading.Exec(one...); err != nil {
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

func (into *inserts) findings(collected int, findings []check.Finding) error {
	for i, f := range findings {
		if _, err := into.finding.Exec(collected, i+1, string(f.Level), f.Code, f.Sheet, f.Ref, string(f.Key), f.Entry, f.Raw, f.Says, f.Remedy); err != nil {
			return err
		}
	}
	return nil
}
