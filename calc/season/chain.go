package season

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/quantity"
	"spatsheet/protocols"
)

// demand is a need of one batch for another.
type demand struct {
	by       *Scheduled
	need     protocols.Need
	deadline time.Time     // the other has handed over
	step     time.Time     // when this one takes over
	keeps    time.Duration // zero: any time
}

// backward finds or proposes what must be ready for a root, and for that in turn. One
// batch of a protocol serves all of a root that need it, by the earliest deadline.
func (a *arranger) backward(root *Scheduled) error {
	if root.Planned && !a.order.Today.IsZero() && root.Start.Before(a.order.Today) {
		return nil // what it needed is past
	}
	line, err := a.needed(root.Sheet.Protocol, nil)
	if err != nil {
		return err
	}
	placed := map[string]*Scheduled{root.Sheet.Protocol.ID: root}
	demands := map[string][]demand{}
	for _, id := range line {
		b := placed[id]
		if b == nil {
			if len(demands[id]) == 0 {
				continue
			}
			if b, err = a.supplier(root, demands[id]); err != nil {
				return err
			}
			if b.Root == nil {
				b.Root = root
			} else if b.Root != root {
				continue // planned, and what it needs is placed already
			}
		}
		if err := a.collectDemands(b, demands); err != nil {
			return err
		}
	}
	return nil
}

// needed lists the protocols that a root needs, each before those that it needs itself.
func (a *arranger) needed(p *protocols.Protocol, above []string) ([]string, error) {
	if slices.Contains(above, p.ID) {
		return nil, fmt.Errorf("protocols need each other in a circle: %s → %s; take out a needs_ready", strings.Join(above, " → "), p.ID)
	}
	line := []string{p.ID}
	above = append(slices.Clone(above), p.ID)
	for _, need := range p.Timetable.Needs {
		if need.Protocol == p.ID || a.have(need.Protocol) {
			continue
		}
		other, err := a.order.Protocol(need.Protocol)
		if err != nil {
			return nil, fmt.Errorf("%s needs %s: %w", p.Ref(), need.Protocol, err)
		}
		below, err := a.needed(other, above)
		if err != nil {
			return nil, err
		}
		line = slices.DeleteFunc(line, func(id string) bool { return slices.Contains(below, id) })
		line = append(line, below...)
	}
	return line, nil
}

// collectDemands adds what a batch needs; a batch that needs its own kind gets it here.
func (a *arranger) collectDemands(b *Scheduled, demands map[string][]demand) error {
	for _, need := range b.Sheet.Protocol.Timetable.Needs {
		if need.Protocol == b.Sheet.Protocol.ID {
			if err := a.rounds(b, need); err != nil {
				return err
			}
			continue
		}
		if a.have(need.Protocol) || !b.does(need.By) {
			continue
		}
		d, err := demandOf(b, need)
		if err != nil {
			return err
		}
		demands[need.Protocol] = append(demands[need.Protocol], d)
	}
	return nil
}

// rounds places the batches of its own protocol that a batch needs, one before the other.
// What else those need is not asked again: they start from the batch before them.
func (a *arranger) rounds(b *Scheduled, need protocols.Need) error {
	for range need.Rounds {
		d, err := demandOf(b, need)
		if err != nil {
			return err
		}
		before, err := a.supplier(b.Root, []demand{d})
		if err != nil {
			return err
		}
		if before.Root != nil { // planned for another
			return nil
		}
		before.Root = b.Root
		b = before
	}
	return nil
}

func demandOf(b *Scheduled, need protocols.Need) (demand, error) {
	e, err := b.event(need.By)
	if err != nil {
		return demand{}, err
	}
	spare, err := b.Sheet.Duration(need.Spare)
	if err != nil {
		return demand{}, fmt.Errorf("spare of %s in %s: %w", need.Protocol, b.Sheet.Protocol.Ref(), err)
	}
	keeps, err := b.Sheet.Duration(need.Keeps)
	if err != nil {
		return demand{}, fmt.Errorf("keeps of %s in %s: %w", need.Protocol, b.Sheet.Protocol.Ref(), err)
	}
	return demand{by: b, need: need, deadline: e.Start.Add(-spare), step: e.Start, keeps: keeps}, nil
}

// supplier takes a planned batch for the demands, or proposes one.
func (a *arranger) supplier(root *Scheduled, demands []demand) (*Scheduled, error) {
	tightest := slices.MinFunc(demands, func(x, y demand) int { return x.deadline.Compare(y.deadline) })
	b := a.planned(demands, tightest)
	if b == nil {
		var err error
		if b, err = a.propose(root, demands, tightest); err != nil {
			return nil, err
		}
	}
	latest := tightest.deadline.Add(-b.Ready.Sub(b.Start))
	if b.Latest.IsZero() || latest.Before(b.Latest) { // a second root may be tighter
		b.Latest, b.For, b.Why = latest, tightest.by, tightest.need.Why
	}
	b.Slack = b.Latest.Sub(b.Start)
	for _, d := range demands {
		if d.step.After(b.TakenOver) {
			b.TakenOver = d.step
		}
	}
	if b.Slack < 0 {
		a.clash(protocols.Error, b.Start, []string{b.Code, tightest.by.Code},
			fmt.Sprintf("%s can hand over on %s, but %s needs it by %s", b.Code, dayOf(b.Ready), tightest.by.Code, dayOf(tightest.deadline)),
			fmt.Sprintf("start %s by %s, or move %s by %s", b.Code, dayOf(b.Latest), tightest.by.Code, wholeDays(-b.Slack)))
	}
	return b, nil
}

// planned looks for a plan: one named as parent, else the one that can hand over in time
// with the least slack, else one started before it is needed that comes too late.
func (a *arranger) planned(demands []demand, tightest demand) *Scheduled {
	var best *Scheduled
	better := func(b *Scheduled) bool {
		if best == nil {
			return true
		}
		inTime, bestInTime := !b.Ready.After(tightest.deadline), !best.Ready.After(tightest.deadline)
		if inTime != bestInTime {
			return inTime
		}
		return inTime == b.Ready.After(best.Ready) // the later of those in time, the earlier of those late
	}
	for _, b := range a.out.Batches {
		if !b.Planned || b.Sheet.Protocol.ID != tightest.need.Protocol || b == tightest.by {
			continue
		}
		if slices.ContainsFunc(demands, func(d demand) bool {
			return slices.ContainsFunc(d.by.Sheet.Plan.Parents, func(p calc.Parent) bool { return p.Batch == b.Code })
		}) {
			return b
		}
		tooOld := tightest.keeps > 0 && b.Ready.Add(tightest.keeps).Before(tightest.step)
		if b.Root == nil && !tooOld && b.Start.Before(tightest.step) && better(b) {
			best = b
		}
	}
	return best
}

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
	return a.place(sheet, code)
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
		settings[s.ID] = calc.Written{Text: q.String(), Place: from.Code}
	}
	return nil
}

// scaled computes a proposed batch: given settings over the protocol's examples. What an
// earlier batch brings is taken to be enough; a batch that does not fit the site by itself
// is a clash, and goes on as the largest that does.
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
	if errors.As(err, &short) && len(short.Fits) > 0 {
		a.misfit(start, code, short, "plan it smaller, or in two batches; the calendar goes on with the largest that fits")
		for _, v := range short.Fits {
			plan.Settings[v.Setting.ID] = calc.Written{Text: v.Quantity.String(), Place: code}
		}
		sheet, err = a.scale(p, plan)
	}
	if errors.As(err, &short) && len(short.Fits) == 0 && len(given) > 0 {
		a.misfit(start, code, short, "the calendar goes on with a batch of ordinary size")
		return a.scaled(p, species, code, start, nil)
	}
	if err != nil {
		return nil, fmt.Errorf("%s (%s): %w", code, p.Ref(), err)
	}
	return sheet, nil
}

// fitOf marks a clash of one batch with the site by itself.
const fitOf = "fit of "

// misfit tells of a batch that does not fit the site by itself.
func (a *arranger) misfit(start time.Time, code string, short *calc.Shortage, remedy string) {
	says := code + ": " + strings.Replace(strings.ReplaceAll(short.Error(), "\n  ", "; "), ":; ", ": ", 1)
	if slices.ContainsFunc(a.out.Clashes, func(c Clash) bool { return c.Says == says }) {
		return
	}
	a.clash(protocols.Error, start, []string{code}, says, remedy)
	a.out.Clashes[len(a.out.Clashes)-1].has = fitOf + code
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
	known, ok := a.order.scaled[key.String()]
	if !ok {
		known.sheet, known.err = calc.Scale(p, a.order.Site, plan)
		a.order.scaled[key.String()] = known
	}
	if known.err != nil {
		return nil, known.err
	}
	return known.sheet.Moved(plan.Batch, plan.Start), nil
}

// speciesFor is the order's species, or for a protocol of another kind of life, such as
// diatoms, the first that it is written for.
func (a *arranger) speciesFor(p *protocols.Protocol) string {
	for _, taxon := range p.AppliesTo {
		if a.order.Species == taxon || strings.HasPrefix(a.order.Species, taxon+" ") {
			return a.order.Species
		}
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
		plan.Settings[s.ID] = calc.Written{Text: s.Example.String(), Place: code}
	case protocols.BySpecies:
		if q, err := quantity.New((s.Low+s.High)/2, s.Unit); err == nil {
			plan.Settings[s.ID] = calc.Written{Text: q.String(), Place: code}
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
				plan.Settings[limit.Has] = calc.Written{Text: line.Needs.String(), Place: plan.Batch}
				raised = true
			}
		}
	}
	return raised
}

// forward places what follows from a batch, and from that in turn.
func (a *arranger) forward(b *Scheduled) error {
	for _, f := range b.Sheet.Protocol.Timetable.Follows {
		if a.have(f.Protocol) || f.Optional || !b.does(f.After) {
			continue
		}
		e, err := b.event(f.After)
		if err != nil {
			return err
		}
		wait, err := b.Sheet.Duration(f.Wait)
		if err != nil {
			return err
		}
		next, isNew, err := a.follower(b, f, e.Start.Add(wait))
		if err != nil {
			return err
		}
		if next == nil { // past
			continue
		}
		b.TakenOver, next.For = next.Start, b
		if isNew {
			next.Root = b.Root
			if err := a.forward(next); err != nil {
				return err
			}
		}
	}
	return nil
}

// handOn ends a batch where a planned batch does its later steps, such as a larval rearing
// of its own after a spawning.
func (a *arranger) handOn(b *Scheduled) error {
	for _, f := range b.Sheet.Protocol.Timetable.Follows {
		if !f.Optional {
			continue
		}
		for _, x := range a.out.Batches {
			named := slices.ContainsFunc(x.Sheet.Plan.Parents, func(p calc.Parent) bool { return p.Batch == b.Code })
			if !x.Planned || x.Sheet.Protocol.ID != f.Protocol || !named || !x.Start.After(b.Start) {
				continue
			}
			e, err := b.event(f.After)
			if err != nil {
				return err
			}
			b.Events = slices.DeleteFunc(b.Events, func(later Event) bool { return later.Start.After(e.Start) })
			b.Ready, b.TakenOver, x.For = e.Start, x.Start, b
			return nil
		}
	}
	return nil
}

// follower takes a plan that names the batch as parent, or the first free one of the
// protocol started within 30 days of the time, or proposes one.
func (a *arranger) follower(b *Scheduled, f protocols.Follow, from time.Time) (*Scheduled, bool, error) {
	const near = 30 * 24 * time.Hour // site choice: further off is another batch's
	var best *Scheduled
	for _, x := range a.out.Batches {
		if !x.Planned || x.Sheet.Protocol.ID != f.Protocol {
			continue
		}
		if slices.ContainsFunc(x.Sheet.Plan.Parents, func(p calc.Parent) bool { return p.Batch == b.Code }) {
			return x, false, nil
		}
		if off := x.Start.Sub(from); x.For == nil && len(x.Sheet.Plan.Parents) == 0 && off > -24*time.Hour && off < near && (best == nil || x.Start.Before(best.Start)) {
			best = x
		}
	}
	if best != nil {
		return best, false, nil
	}
	p, err := a.order.Protocol(f.Protocol)
	if err != nil {
		return nil, false, fmt.Errorf("%s is followed by %s: %w", b.Sheet.Protocol.Ref(), f.Protocol, err)
	}
	settings := map[string]calc.Written{}
	if err := fill(settings, p, b, f.Sets); err != nil {
		return nil, false, err
	}
	start := a.opening(from)
	if start.Before(from) {
		start = start.AddDate(0, 0, 1)
	}
	if b.Root.Planned && start.Before(a.order.Today) {
		return nil, false, nil // what followed a batch of the past is past
	}
	code := a.code(b.Root, p.ID)
	sheet, err := a.scaled(p, a.speciesFor(p), code, start, settings)
	if err != nil {
		return nil, false, err
	}
	next, err := a.place(sheet, code)
	return next, true, err
}
