package seasonlog

import (
	"database/sql"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Stored is a revision with what was collected of it.
type Stored struct {
	Revision                         Revision
	ProtocolText, PlanText, SiteText []byte
	Readings                         []calc.Reading
	Findings                         []check.Finding
}

// StoredOf reads what was collected of several revisions, as Text, Readings and Findings
// do for one, in one transaction. To use several cores, open the log once for each.
// Error: ErrDamaged when something is not as it was stored, ErrBusy, ErrDisk.
func (l *Log) StoredOf(revisions []Revision) ([]Stored, error) {
	var list []Stored
	err := l.read(func(c *sql.Conn) error {
		list = nil
		texts := map[string][]byte{}
		k, err := prepareLook(c)
		if err != nil {
			return err
		}
		defer k.close()
		for _, r := range revisions {
			s := Stored{Revision: r}
			for _, digest := range []string{r.ProtocolText, r.PlanText, r.SiteText} {
				if texts[digest] == nil {
					if texts[digest], err = l.text(c, digest); err != nil {
						return err
					}
				}
			}
			s.ProtocolText, s.PlanText, s.SiteText = texts[r.ProtocolText], texts[r.PlanText], texts[r.SiteText]
			if s.Readings, err = l.readingsOf(k, r); err != nil {
				return err
			}
			if s.Findings, err = l.findingsOf(k, r); err != nil {
				return err
			}
			list = append(list, s)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// look asks for the readings and findings of one revision after another.
type look struct {
	readings, findings *sql.Stmt
	// words keeps one copy of each text: units, names and states are alike in many rows.
	words map[string]string
}

func prepareLook(c *sql.Conn) (*look, error) {
	k := &look{words: map[string]string{}}
	var err error
	if k.readings, err = c.PrepareContext(background, "SELECT position, "+readingColumns+" FROM reading WHERE collected = ?"); err != nil {
		return nil, err
	}
	if k.findings, err = c.PrepareContext(background, "SELECT "+findingColumns+" FROM finding WHERE collected = ? ORDER BY position"); err != nil {
		k.readings.Close()
		return nil, err
	}
	return k, nil
}

func (k *look) close() {
	k.readings.Close() // read only: there is nothing to lose
	k.findings.Close()
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
	rows, err := k.readings.Query(collected)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	type placed struct {
		position int
		calc.Reading
	}
	var list []placed
	for rows.Next() {
		var p placed
		var key, printed, state, raw, unit, text, sheet, ref sql.RawBytes
		var number sql.NullFloat64
		if err := rows.Scan(&p.position, &key, &printed, &state, &raw, &number, &unit, &text, &sheet, &ref); err != nil {
			return nil, err
		}
		p.Reading = calc.Reading{
			Key: calc.Key(k.word(key)), Printed: k.word(printed), State: calc.State(k.word(state)), Raw: k.word(raw),
			Number: number.Float64, Unit: k.word(unit), Text: k.word(text), Sheet: k.word(sheet), Ref: k.word(ref),
		}
		list = append(list, p)
	}
	readings := make([]calc.Reading, len(list))
	for _, p := range list {
		if 1 <= p.position && p.position <= len(list) { // else a gap stays, and the digest tells
			readings[p.position-1] = p.Reading
		}
	}
	return readings, rows.Err()
}

// findingsIn gives the findings in the order of the check, whatever they are worth.
func (k *look) findingsIn(collected int) ([]check.Finding, error) {
	rows, err := k.findings.Query(collected)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []check.Finding
	for rows.Next() {
		var f check.Finding
		var level string
		if err := rows.Scan(&level, &f.Code, &f.Sheet, &f.Ref, (*string)(&f.Key), &f.Entry, &f.Raw, &f.Says, &f.Remedy); err != nil {
			return nil, err
		}
		f.Level = protocols.Level(level)
		list = append(list, f)
	}
	return list, rows.Err()
}

// mostWords bounds what is kept for reuse.
const mostWords = 1 << 14

// word gives a text, the same copy each time.
func (k *look) word(b sql.RawBytes) string {
	s, ok := k.words[string(b)]
	if !ok {
		if len(k.words) >= mostWords {
			clear(k.words)
		}
		s = string(b)
		k.words[s] = s
	}
	return s
}
