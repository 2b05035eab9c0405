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
	"spatsheet/protocols/remedy"
)

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
		return nil, &remedy.Error{To: remedy.Remedy{Kind: remedy.GiveOwnValues},
			Err: fmt.Errorf("%s (%s): %w\n  its numbers are the protocol's examples where nothing else gives them", code, p.Ref(), err)}
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
				"give it when these batches are planned")
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
