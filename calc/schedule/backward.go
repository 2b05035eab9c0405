package schedule

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
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
	added := map[string]*Scheduled{root.Sheet.Protocol.ID: root}
	demands := map[string][]demand{}
	for _, id := range line {
		b := added[id]
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
				continue // planned, and what it needs is added already
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

// rounds adds the batches of its own protocol that a batch needs, one before the other.
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
			fmt.Sprintf("start %s by %s, or move %s by %s", b.Code, dayOf(b.Latest), tightest.by.Code, calc.WholeDays(-b.Slack)))
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
