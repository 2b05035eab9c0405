package schedule

import (
	"slices"

	"spatsheet/protocols"
)

// Arrange makes a schedule: backwards from each target and plan to what must be ready for
// it (latest starts and slack), forwards to what follows from it, with what every day asks
// of the site, and for each clash a way out that was tried and fits.
//
// Proposed batches start at the last time of opening before their latest start; a planned
// batch is taken for a need when it is named as parent, or can hand over in time.
// Error: a protocol, setting or time that cannot be worked out; protocols that need each
// other in a circle. Source: arithmetic of the critical path, backward and forward pass.
func Arrange(order Order) (Schedule, error) {
	order.Protocol, order.scaled = remembered(order.Protocol), map[string]scaling{}
	a, err := arrange(order)
	if err != nil {
		return Schedule{}, err
	}
	if err := a.waysOut(); err != nil {
		return Schedule{}, err
	}
	slices.SortStableFunc(a.out.Clashes, func(x, y Clash) int {
		if c := rank(x.Level) - rank(y.Level); c != 0 {
			return c
		}
		return x.Day.Compare(y.Day)
	})
	return a.out, nil
}

// remembered loads each protocol once: ways out are tried by arranging many times.
func remembered(load func(string) (*protocols.Protocol, error)) func(string) (*protocols.Protocol, error) {
	known := map[string]*protocols.Protocol{}
	return func(ref string) (*protocols.Protocol, error) {
		if p := known[ref]; p != nil {
			return p, nil
		}
		p, err := load(ref)
		if err == nil {
			known[ref] = p
		}
		return p, err
	}
}

func rank(l protocols.Level) int {
	return slices.Index([]protocols.Level{protocols.Error, protocols.Warning, protocols.Note}, l)
}
