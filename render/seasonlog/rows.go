package seasonlog

import (
	"database/sql"
	"database/sql/driver"
	"errors"
	"io"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// look asks for the texts, readings and findings of one revision after another.
//
// It speaks to the driver itself: through database/sql a reading costs three times as much,
// and a season has a million of them.
type look struct {
	conn                          *sql.Conn
	text, joined, apart, findings driver.Stmt
	before                        []placed // of the revision asked for before, in printed order
	found                         []placed // room for the readings as they come
}

// placed is a reading and its place in printed order, from 1.
type placed struct {
	position int
	alike    string // its columns that are alike in many revisions, joined; empty if read apart
	calc.Reading
}

// The columns of a reading. Those alike in many revisions come joined to one, for a column
// costs a third of a row; where a joint stands in one of them they are read apart.
const (
	ownColumns   = "position, raw, number, text"
	alikeColumns = "key, printed, state, unit, sheet, cell"
	joint        = "\x1f"
	ownWidth     = 4
	alikeWidth   = 6
)

// prepareLook makes the statements; they are good for as long as the connection is kept.
func prepareLook(c *sql.Conn) (*look, error) {
	k := &look{conn: c}
	err := c.Raw(func(conn any) error {
		for _, s := range []struct {
			statement *driver.Stmt
			text      string
		}{
			{&k.text, "SELECT content FROM document WHERE digest = ?"},
			{&k.joined, "SELECT " + ownColumns + ", concat_ws(char(31), " + alikeColumns + ") FROM reading WHERE collected = ?"},
			{&k.apart, "SELECT " + ownColumns + ", " + alikeColumns + " FROM reading WHERE collected = ?"},
			{&k.findings, "SELECT " + findingColumns + " FROM finding WHERE collected = ? ORDER BY position"},
		} {
			made, err := conn.(driver.ConnPrepareContext).PrepareContext(background, s.text)
			if err != nil { // made is then no nil to compare with
				return err
			}
			*s.statement = made
		}
		return nil
	})
	if err != nil {
		k.close()
		return nil, err
	}
	return k, nil
}

// looking is one transaction that reads rows.
func (l *Log) looking(do func(c *sql.Conn, k *look) error) error {
	return l.read(func(c *sql.Conn) error {
		k, err := prepareLook(c)
		if err != nil {
			return err
		}
		defer k.close()
		return do(c, k)
	})
}

func (k *look) close() {
	_ = k.conn.Raw(func(any) error { // read only: there is nothing to lose
		for _, s := range []driver.Stmt{k.text, k.joined, k.apart, k.findings} {
			if s != nil {
				s.Close()
			}
		}
		return nil
	})
}

// each hands every row that a statement gives for an argument to take, which must not keep
// the row itself.
func (k *look) each(s driver.Stmt, argument any, columns int, take func(row []driver.Value)) error {
	return k.conn.Raw(func(any) error {
		rows, err := s.(driver.StmtQueryContext).QueryContext(background, []driver.NamedValue{{Ordinal: 1, Value: argument}})
		if err != nil {
			return err
		}
		defer rows.Close()
		row := make([]driver.Value, columns)
		for {
			err := rows.Next(row)
			if errors.Is(err, io.EOF) {
				return nil
			}
			if err != nil {
				return err
			}
			take(row)
		}
	})
}

// The columns are what the tables, being STRICT, let in. In a damaged file they may be
// anything; what is not of its kind is given as nothing, and the digest tells.

func textIn(v driver.Value) string {
	s, _ := v.(string)
	return s
}

func numberIn(v driver.Value) float64 {
	x, _ := v.(float64)
	return x
}

func wholeIn(v driver.Value) int {
	n, _ := v.(int64)
	return int(n)
}

// textOf gives a stored text, or says that it is not as it was stored.
func (l *Log) textOf(k *look, digest string) ([]byte, error) {
	var text []byte
	found := false
	err := k.each(k.text, digest, 1, func(row []driver.Value) {
		text, found = row[0].([]byte)
	})
	switch {
	case err != nil:
		return nil, err
	case !found:
		return nil, l.unknown("a text with digest "+digest, "take the digest from a revision")
	case sha256Hex(text) != digest:
		return nil, &Error{Kind: ErrDamaged, Says: "the text " + digest + " is not as it was stored", Takes: rebuildIt}
	}
	return text, nil
}

// readingsOf gives the readings of a revision, or says that they are not as stored.
func (l *Log) readingsOf(k *look, r Revision) ([]calc.Reading, error) {
	readings, err := k.readingsIn(r.Collected)
	if err == nil {
		err = l.same(r, "readings", digestReadings(readings), r.ReadingsDigest)
	}
	return readings, err
}

func (l *Log) findingsOf(k *look, r Revision) ([]check.Finding, error) {
	findings, err := k.findingsIn(r.Collected)
	if err == nil {
		err = l.same(r, "findings", digestFindings(findings), r.FindingsDigest)
	}
	return findings, err
}

// readingsIn gives the readings in printed order, whatever they are worth.
func (k *look) readingsIn(collected int) ([]calc.Reading, error) {
	plain, err := k.find(k.joined, ownWidth+1, collected)
	if err == nil && !plain {
		_, err = k.find(k.apart, ownWidth+alikeWidth, collected)
	}
	if err != nil {
		return nil, err
	}
	readings := make([]calc.Reading, len(k.found))
	k.before = append(k.before[:0], make([]placed, len(k.found))...)
	for _, p := range k.found {
		if 1 <= p.position && p.position <= len(readings) { // else a gap stays, and the digest tells
			readings[p.position-1] = p.Reading
			k.before[p.position-1] = p
		}
	}
	return readings, nil
}

// find reads the rows of a revision; plain is false where joined columns cannot be told
// apart for certain.
func (k *look) find(s driver.Stmt, columns, collected int) (plain bool, err error) {
	k.found, plain = k.found[:0], true
	err = k.each(s, int64(collected), columns, func(row []driver.Value) {
		p := placed{position: wholeIn(row[0])}
		var like placed
		if 1 <= p.position && p.position <= len(k.before) {
			like = k.before[p.position-1]
		}
		switch {
		case columns > ownWidth+1:
			var parts [alikeWidth]string
			for i := range parts {
				parts[i] = textIn(row[ownWidth+i])
			}
			p.take(parts[:])
		case textIn(row[ownWidth]) == like.alike:
			p = like
		default:
			p.alike = textIn(row[ownWidth])
			parts := strings.Split(p.alike, joint)
			if plain = plain && len(parts) == alikeWidth; plain { // no column holds a joint, or there were more
				p.take(parts)
			}
		}
		p.position, p.Number = wholeIn(row[0]), numberIn(row[2])
		p.Raw, p.Text = again(textIn(row[1]), like.Raw), again(textIn(row[3]), like.Text)
		k.found = append(k.found, p)
	})
	return plain, err
}

// take puts in the columns alike.
func (p *placed) take(parts []string) {
	p.Key, p.Printed, p.State, p.Unit, p.Sheet, p.Ref = calc.Key(parts[0]), parts[1], stateOf(parts[2]), parts[3], parts[4], parts[5]
}

// again gives the copy of a text that the reading at the same place of the revision before
// has, where it says the same.
func again(text, before string) string {
	if text == before {
		return before
	}
	return text
}

// stateOf is a state without a copy of its own.
func stateOf(said string) calc.State {
	for _, s := range []calc.State{calc.Given, calc.Blank, calc.NotDone, calc.Unreadable} {
		if string(s) == said {
			return s
		}
	}
	return calc.State(said)
}

// findingsIn gives the findings in the order of the check, whatever they are worth.
func (k *look) findingsIn(collected int) ([]check.Finding, error) {
	var list []check.Finding
	err := k.each(k.findings, int64(collected), 9, func(row []driver.Value) {
		list = append(list, check.Finding{
			Level: protocols.Level(textIn(row[0])), Code: textIn(row[1]), Sheet: textIn(row[2]), Ref: textIn(row[3]), Key: calc.Key(textIn(row[4])),
			Entry: textIn(row[5]), Raw: textIn(row[6]), Says: textIn(row[7]), Remedy: textIn(row[8]),
		})
	})
	return list, err
}
