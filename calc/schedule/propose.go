package schedule

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
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

// opening is the last time of opening that is not after t.
func (a *arranger) opening(t time.Time) time.Time {
	open := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location()).Add(a.order.Opens)
	if open.After(t) {
		open = open.AddDate(0, 0, -1)
	}
	return open
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

// scaled computes a proposed batch: given settings over the protocol's examples. What an
// earlier batch brings is taken to be enough; a batch that does not fit the site by itself
// is a clash, and goes on as the largest that does, or else as the example. Error: a
// *calc.Shortage where that does not fit either.
func (a *arranger) scaled(p *protocols.Protocol, species, code string, start time.Time, given map[string]calc.Written) (*calc.Sheet, error) {
	plan := calc.Plan{Batch: code, Protocol: p.Ref(), Species: species, Start: start, Settings: map[string]calc.Written{}, Values: map[string]calc.Written{}}
	for i := range p.Settings {
		a.giveOne(&plan, &p.Settings[i], code)
	}
	for id, w := range given {
		plan.Settings[id] = w
	}
	var brings []string
	for _, n := range p.Timetable.Needs {
		brings = append(brings, n.Brings...)
	}
	sheet, err := a.scale(p, plan)
	var short *calc.Shortage
	if errors.As(err, &short) && a.bring(&plan, p, short, brings) {
		sheet, err = a.scale(p, plan)
	}
	if errors.As(err, &short) {
		fits := short.Fits
		if len(fits) == 0 && len(short.Alone) > 0 {
			fits = short.Alone[:1]
		}
		if len(fits) > 0 {
			a.misfit(start, code, short, "plan it smaller, or in two batches; the calendar goes on with the largest that fits")
			for _, v := range fits {
				plan.Settings[v.Setting.ID] = calc.Written{Text: v.Quantity.String(), Place: document.Place{File: code}}
			}
			sheet, err = a.scale(p, plan)
		} else if len(given) > 0 {
			a.misfit(start, code, short, "the calendar goes on with a batch of ordinary size")
			return a.scaled(p, species, code, start, nil)
		}
	}
	switch {
	case errors.As(err, &short):
		return nil, fmt.Errorf("%s (%s), whose numbers are the protocol's examples where nothing else gives them: %w\n  give your own with --set ID=..., or correct site.yaml", code, p.Ref(), err)
	case err != nil:
		return nil, fmt.Errorf("%s (%s): %w", code, p.Ref(), err)
	}
	return sheet, nil
}

// misfit tells of a batch that does not fit the site by itself.
func (a *arranger) misfit(start time.Time, code string, short *calc.Shortage, remedy string) {
	says := code + ": " + short.InOneLine()
	if slices.ContainsFunc(a.out.Clashes, func(c Clash) bool { return c.Says == says }) {
		return
	}
	a.clash(protocols.Error, start, []string{code}, says, remedy)
	a.out.Clashes[len(a.out.Clashes)-1].alone = true
}

// scale computes a batch, once for all starts and codes.
func (a *arranger) scale(p *protocols.Protocol, plan calc.Plan) (*calc.Sheet, error) {
	var key strings.Builder
	fmt.Fprintf(&key, "%s %q %q", p.Ref(), plan.Species, plan.Profile)
	for _, settings := range []map[string]calc.Written{plan.Settings, plan.Values} {
		for _, id := range slices.Sorted(maps.Keys(settings)) {
			fmt.Fprintf(&key, " %s=%q", id, settings[id].Text)
		}
		key.WriteByte('|')
	}
	once, ok := a.order.scaled[key.String()]
	if !ok {
		once.sheet, once.err = calc.Scale(p, a.order.Site, plan)
		a.order.scaled[key.String()] = once
	}
	if once.err != nil {
		return nil, once.err
	}
	return once.sheet.Moved(plan.Batch, plan.Start), nil
}

// speciesFor is the order's species, or for a protocol of another kind of life, such as
// diatoms, the first that it is written for.
func (a *arranger) speciesFor(p *protocols.Protocol) string {
	if p.IsFor(a.order.Species) {
		return a.order.Species
	}
	return p.AppliesTo[0]
}

// giveOne gives a setting of a proposed batch its value, where the protocol has none.
func (a *arranger) giveOne(plan *calc.Plan, s *protocols.Setting, code string) {
	if w, ok := a.order.Values[s.ID]; ok && plan.Species == a.order.Species {
		plan.Profile, plan.Values[s.ID] = a.order.Profile, w
		return
	}
	switch s.GivenBy {
	case protocols.ByPlan:
		plan.Settings[s.ID] = calc.Written{Text: s.Example.String(), Place: document.Place{File: code}}
	case protocols.BySpecies:
		if q, err := quantity.New((s.Low+s.High)/2, s.Unit); err == nil {
			plan.Settings[s.ID] = calc.Written{Text: q.String(), Place: document.Place{File: code}}
			a.clashOnce(protocols.Note, time.Time{}, nil, fmt.Sprintf("no species profile gives %s (%s); the calendar reckons with %s", s.ID, s.Label, q.Format(0)),
				"plan these batches with --set "+s.ID+"=...")
		}
	}
}

// bring raises settings that an earlier batch brings to what the batch needs.
func (a *arranger) bring(plan *calc.Plan, p *protocols.Protocol, short *calc.Shortage, brings []string) bool {
	raised := false
	for _, line := range short.Lines {
		for _, limit := range p.Limits {
			if limit.What == line.What && slices.Contains(brings, limit.Has) {
				plan.Settings[limit.Has] = calc.Written{Text: line.Needs.String(), Place: document.Place{File: plan.Batch}}
				raised = true
			}
		}
	}
	return raised
}
