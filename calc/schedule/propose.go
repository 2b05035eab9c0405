package schedule

import (
	"fmt"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/quantity"
)

// propose makes up a batch that serves the demands, at its latest start.
func (a *arranger) propose(root *Scheduled, demands []demand, tightest demand) (*Scheduled, error) {
	p, err := a.order.Protocol(tightest.need.Protocol)
	if err != nil {
		return nil, err
	}
	settings := map[string]calc.Written{}
	for _, d := range demands {
		if err := fill(settings, p, d.by, d.need.Sets); err != nil {
			return nil, err
		}
	}
	code := a.code(root, p.ID)
	sheet, err := a.scaled(p, a.speciesFor(p), code, tightest.deadline, settings)
	if err != nil {
		return nil, err
	}
	lasts, err := sheet.Lasts()
	if err != nil {
		return nil, err
	}
	start := tightest.deadline.Add(-lasts)
	if tightest.keeps == 0 || tightest.keeps >= 24*time.Hour { // else it cannot wait until the next opening
		start = a.opening(start)
	}
	if sheet, err = a.scaled(p, a.speciesFor(p), code, start, settings); err != nil {
		return nil, err
	}
	return a.add(sheet, code)
}

// fill gives settings of another protocol the values of a batch; the larger value where
// two give the same, and never less than a setting's least.
func fill(settings map[string]calc.Written, p *protocols.Protocol, from *Scheduled, sets []protocols.Given) error {
	for _, g := range sets {
		s, ok := p.Setting(g.Setting)
		if !ok {
			return fmt.Errorf("%s fills %s of %s, which has no such setting", from.Sheet.Protocol.Ref(), g.Setting, p.Ref())
		}
		q, _ := quantityOf(from.Sheet, g.Value) // held against the names when loaded
		q, err := q.In(s.Unit)
		if err != nil {
			return fmt.Errorf("%s fills %s of %s with %s: %w", from.Sheet.Protocol.Ref(), g.Setting, p.Ref(), g.Value, err)
		}
		x := max(q.Value(), s.Low)
		if before, ok := settings[s.ID]; ok {
			if b, err := protocols.ReadQuantity(before.Text, s.Unit); err == nil {
				x = max(x, b.Value())
			}
		}
		if q, err = quantity.New(x, s.Unit); err != nil {
			return err
		}
		settings[s.ID] = calc.Written{Text: q.String(), Place: document.Place{File: from.Code}}
	}
	return nil
}
