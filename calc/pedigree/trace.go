package pedigree

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc/season"
)

// Trace puts the lineage of a season together.
//
// Broken links are findings: a parent that is not collected, one collected anew since, one
// that starts later. Error: ErrCircle, naming the batches of the circle; nothing can be
// said of ancestors then.
func Trace(s season.Season) (*Lineage, error) {
	l := &Lineage{byCode: map[string]*Lot{}, byAnimal: map[string]*Animal{}}
	for _, b := range s.Batches {
		lot := newLot(b)
		l.Lots = append(l.Lots, lot)
		l.byCode[lot.Batch] = lot
	}
	for _, lot := range l.Lots {
		for _, p := range lot.of.Sheet.Plan.Parents {
			l.link(lot, p)
		}
	}
	if err := l.refuseCircles(); err != nil {
		return nil, err
	}
	l.order()
	for _, lot := range l.Lots {
		l.register(lot)
	}
	for _, lot := range l.Lots {
		l.crosses(lot)
	}
	l.close()
	return l, nil
}

// refuseCircles follows every link back, supplies too.
func (l *Lineage) refuseCircles() error {
	const open, done = 1, 2
	state := map[*Lot]int{}
	var path []string
	var visit func(lot *Lot) error
	visit = func(lot *Lot) error {
		path = append(path, lot.Batch)
		defer func() { path = path[:len(path)-1] }()
		switch state[lot] {
		case done:
			return nil
		case open:
			circle := path[slices.Index(path, lot.Batch):]
			return fmt.Errorf("%w: %s; one of these plans names a wrong parent: plan it anew and collect it with a reason", ErrCircle, strings.Join(circle, " from "))
		}
		state[lot] = open
		for _, link := range lot.Parents {
			if link.Parent != nil {
				if err := visit(link.Parent); err != nil {
					return err
				}
			}
		}
		state[lot] = done
		return nil
	}
	for _, lot := range l.Lots {
		if err := visit(lot); err != nil {
			return err
		}
	}
	return nil
}

// order puts parents first where a batch and its parent start at the same time.
func (l *Lineage) order() {
	depths := map[*Lot]int{}
	var depth func(lot *Lot) int
	depth = func(lot *Lot) int {
		d, known := depths[lot]
		if !known {
			for _, link := range lot.Parents {
				if link.Parent != nil {
					d = max(d, depth(link.Parent)+1)
				}
			}
			depths[lot] = d
		}
		return d
	}
	earlier := func(a, b *Lot) int {
		if c := a.Start.Compare(b.Start); c != 0 {
			return c
		}
		return cmp.Or(depth(a)-depth(b), strings.Compare(a.Batch, b.Batch))
	}
	slices.SortFunc(l.Lots, earlier)
	for _, lot := range l.Lots {
		slices.SortStableFunc(lot.Children, func(a, b *Link) int { return earlier(a.Child, b.Child) })
	}
}
