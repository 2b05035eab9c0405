package schedule

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/remedy"
)

// arrange is Arrange without the ways out.
func arrange(order Order) (*arranger, error) {
	a := &arranger{order: order, out: Schedule{Today: order.Today}, codes: map[string]bool{}}
	roots, err := a.roots()
	if err != nil {
		return nil, err
	}
	for _, r := range roots {
		if r.Root != nil { // taken for the need of another meanwhile
			continue
		}
		r.Root = r
		if err := a.handOn(r); err != nil {
			return nil, err
		}
		if err := a.backward(r); err != nil {
			return nil, err
		}
		if err := a.forward(r); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(a.out.Batches, func(x, y *Scheduled) int {
		if c := x.Begins().Compare(y.Begins()); c != 0 {
			return c
		}
		return strings.Compare(x.Code, y.Code)
	})
	a.lateStarts()
	return a, a.loads()
}

// roots adds every plan and target; the latest first, so that what comes before a batch
// is still free when its needs are looked for.
func (a *arranger) roots() ([]*Scheduled, error) {
	for _, sheet := range a.order.Plans {
		a.codes[sheet.Plan.Batch] = true
	}
	for _, sheet := range a.order.Plans {
		b, err := a.add(sheet, sheet.Plan.Batch)
		if err != nil {
			return nil, err
		}
		b.Planned = true
	}
	for i, t := range a.order.Targets {
		p, err := a.order.Protocol(t.Protocol)
		if err != nil {
			return nil, err
		}
		code := a.unused(fmt.Sprintf("S%d", i+1), p.ID)
		sheet, err := a.scaled(p, a.order.Species, code, t.Start, t.Settings)
		if err != nil {
			return nil, err
		}
		b, err := a.add(sheet, code)
		if err != nil {
			return nil, err
		}
		b.target = i
	}
	roots := slices.Clone(a.out.Batches)
	slices.SortStableFunc(roots, func(x, y *Scheduled) int { return y.Start.Compare(x.Start) })
	return roots, nil
}

// lateStarts tells, for each root, what should have begun before today, and the day of the
// root that can still be made.
func (a *arranger) lateStarts() {
	if a.order.Today.IsZero() {
		return
	}
	first := map[*Scheduled]*Scheduled{}
	for _, b := range a.out.Batches {
		if b.Planned || !b.Begins().Before(a.order.Today) || b.Root == nil {
			continue
		}
		if f := first[b.Root]; f == nil || b.Begins().Before(f.Begins()) {
			first[b.Root] = b
		}
	}
	for _, b := range a.out.Batches {
		f := first[b]
		if f == nil {
			continue
		}
		begins := f.Begins()
		n := 0
		for begins.AddDate(0, 0, n).Before(a.order.Today) {
			n++
		}
		a.clash(protocols.Error, f.Begins(), []string{f.Code, b.Code},
			fmt.Sprintf("%s should have begun on %s for %s on %s", f.Code, dayOf(begins), b.Code, dayOf(b.Start)),
			fmt.Sprintf("%s later, on %s, is the first day that can still be made",
				calc.WholeDays(time.Duration(n)*24*time.Hour), dayOf(b.Start.AddDate(0, 0, n))))
		a.out.Clashes[len(a.out.Clashes)-1].Or = remedy.Remedy{Kind: remedy.SayAtHand, Of: f.Sheet.Protocol.ID}
	}
}
