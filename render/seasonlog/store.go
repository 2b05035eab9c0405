package seasonlog

import (
	"database/sql"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// lookups are the questions that decide on a workbook, prepared once for a transaction.
type lookups struct{ file, newest *sql.Stmt }

// inserts are the statements that store a workbook, prepared once for a transaction.
type inserts struct {
	workbook, document, reading, readingRows, finding, revision *sql.Stmt
	last                                                        int // workbook in the log, in the order of collecting
}

const (
	insertReading = "INSERT INTO reading (collected, position, " + readingColumns + ") VALUES "
	readingWidth  = 11 // columns
	// rowsAtOnce is how many readings one statement stores: a statement costs as much as
	// some rows (measured: 25 at once take a fifth less time than one by one; 50 or 151 no less).
	rowsAtOnce = 25
)

// row is a row of question marks.
func row(columns int) string {
	return "(" + strings.TrimSuffix(strings.Repeat("?,", columns), ",") + ")"
}

func prepareLookups(c *sql.Conn) (*lookups, error) {
	look := &lookups{}
	return look, prepare(c, []statement{
		{&look.file, "SELECT batch, revision FROM revision WHERE workbook = ?"},
		{&look.newest, "SELECT protocol, sheet, revision FROM revision WHERE batch = ? ORDER BY revision DESC LIMIT 1"},
	})
}

func prepareInserts(c *sql.Conn) (*inserts, error) {
	into := &inserts{}
	err := prepare(c, []statement{
		{&into.workbook, "INSERT INTO workbook (digest, content) VALUES (?, ?)"},
		{&into.document, "INSERT INTO document (digest, content) SELECT ?1, ?2 WHERE NOT EXISTS (SELECT 1 FROM document WHERE digest = ?1)"},
		{&into.reading, insertReading + row(readingWidth)},
		{&into.readingRows, insertReading + strings.TrimSuffix(strings.Repeat(row(readingWidth)+",", rowsAtOnce), ",")},
		{&into.finding, "INSERT INTO finding (collected, position, " + findingColumns + ") VALUES " + row(11)},
		{&into.revision, "INSERT INTO revision (" + revisionColumns + ") VALUES " + row(21)},
	})
	if err == nil {
		err = c.QueryRowContext(background, "SELECT coalesce(max(collected), 0) FROM revision").Scan(&into.last)
	}
	return into, err
}

// statement is one to prepare.
type statement struct {
	into **sql.Stmt
	text string
}

func prepare(c *sql.Conn, list []statement) (err error) {
	for _, s := range list {
		if *s.into, err = c.PrepareContext(background, s.text); err != nil {
			return err
		}
	}
	return nil
}

// letGo closes statements; there is nothing left to lose by then.
func letGo(statements ...*sql.Stmt) {
	for _, s := range statements {
		if s != nil {
			s.Close()
		}
	}
}

func (look *lookups) close() { letGo(look.file, look.newest) }

func (into *inserts) close() {
	letGo(into.workbook, into.document, into.reading, into.readingRows, into.finding, into.revision)
}

// store writes the workbook as revision `number` of its batch: first what the revision
// points to, last the row that seals it.
func (w arriving) store(into *inserts, number int) error {
	r := w.revision(w.digest, into.last+1, number)
	if _, err := into.workbook.Exec(r.Workbook, w.Content); err != nil {
		return err
	}
	for _, text := range []struct {
		digest  string
		content []byte
	}{{r.ProtocolText, w.ProtocolText}, {r.PlanText, w.PlanText}, {r.SiteText, w.SiteText}} {
		if _, err := into.document.Exec(text.digest, text.content); err != nil {
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
	into.last = r.Collected
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
