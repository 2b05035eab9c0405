package schedule

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// forward adds what follows from a batch, and from that in turn.
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
		if next == nil { // past, or too large for the site
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
		if off := x.Start.Sub(from); x.For == nil && len(x.Sheet.Plan.Parents) == 0 && off > -24*time.Hour &&
			off < near && (best == nil || x.Start.Before(best.Start)) {
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
	var short *calc.Shortage
	if errors.As(err, &short) {
		a.misfit(start, code, short, "the calendar goes on without it: plan it by hand, with less equipment, or correct site.yaml")
		return nil, false, nil
	}
	if err != nil {
		return nil, false, err
	}
	next, err := a.add(sheet, code)
	return next, true, err
}
