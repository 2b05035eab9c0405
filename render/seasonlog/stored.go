package seasonlog

import (
	"database/sql"

	"spatsheet/calc"
	"spatsheet/calc/check"
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
	err := l.looking(func(_ *sql.Conn, k *look) (err error) {
		list = nil
		texts := map[string][]byte{}
		for _, r := range revisions {
			s := Stored{Revision: r}
			for _, digest := range []string{r.ProtocolText, r.PlanText, r.SiteText} {
				if texts[digest] == nil {
					if texts[digest], err = l.textOf(k, digest); err != nil {
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
