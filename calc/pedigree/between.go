package pedigree

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// RestDays is how long an animal that was put to spawn is left alone before it is put to
// spawn again, in days. Site choice: no source was read for limpets.
const RestDays = 28

// Across tells what is wrong between the batches of a season, though each may be right by
// itself: broken links to parents, more taken from a batch than it left, anything used
// before it was ready or after it had gone off, an animal put to spawn again too soon,
// one batch code with two protocols.
//
// Findings stand in order of the batch they are shown at, errors first within a batch.
// Range: no error; what cannot be told for want of a reading is not told.
// Source: common practice, no source; the arithmetic is sums and differences of dates.
func Across(s season.Season) []season.Finding {
	a := &across{season: s}
	a.sameCode()
	l, err := Trace(s)
	if err != nil {
		for _, b := range s.Batches {
			if errors.Is(err, ErrCircle) && strings.Contains(err.Error(), b.Sheet.Plan.Batch) {
				a.find(b.Sheet.Plan.Batch, protocols.Error, "own-ancestor", err.Error(), "correct the parents in the plans, print and collect again")
				break
			}
		}
		return a.out
	}
	a.lineage = l
	a.out = append(a.out, l.Findings...)
	for _, lot := range l.Lots {
		a.taken(lot)
		a.dates(lot)
	}
	a.spawnedAgain(RestDays)
	a.order()
	return a.out
}

// order sorts by the batch's turn in the season, then worst first.
func (a *across) order() {
	turn := map[string]int{}
	for i, b := range a.season.Batches {
		if _, seen := turn[b.Sheet.Plan.Batch]; !seen {
			turn[b.Sheet.Plan.Batch] = i
		}
	}
	slices.SortStableFunc(a.out, func(x, y season.Finding) int {
		if d := turn[x.Batch] - turn[y.Batch]; d != 0 {
			return d
		}
		return x.Level.Rank() - y.Level.Rank()
	})
}

// sameCode tells one code on sheets of two protocols, or of two versions of one.
func (a *across) sameCode() {
	first := map[string]string{}
	for _, b := range a.season.Batches {
		code, ref := b.Sheet.Plan.Batch, b.Sheet.Protocol.Ref()
		switch before, seen := first[code]; {
		case !seen:
			first[code] = ref
		case before != ref:
			a.find(code, protocols.Error, "two-protocols", fmt.Sprintf("%s stands for a batch of %s and for one of %s", code, before, ref),
				"give one of them another code, print and collect it again: counts of two protocols are not one batch")
		}
	}
}

// spawnedAgain tells animals that were put to spawn twice within the rest.
func (a *across) spawnedAgain(restDays float64) {
	type use struct {
		lot    *Lot
		animal string
	}
	last, turn := map[string]use{}, map[*Lot]int{}
	for i, lot := range a.lineage.Lots {
		turn[lot] = i
	}
	for _, lot := range a.lineage.Lots {
		again := map[*Lot][]string{}
		var befores []*Lot
		for _, animal := range lot.of.Told().Spawners {
			key := genus(lot.Species) + " " + strings.ToUpper(animal)
			if before, ok := last[key]; ok && lot.Start.Sub(before.lot.Start).Hours()/24 < restDays {
				befores = season.AppendNew(befores, before.lot)
				again[before.lot] = append(again[before.lot], animal)
			}
			last[key] = use{lot, animal}
		}
		slices.SortFunc(befores, func(x, y *Lot) int { return turn[x] - turn[y] })
		for _, before := range befores {
			a.find(lot.Batch, protocols.Warning, "spawned-again",
				fmt.Sprintf("%s of %s put to spawn %s after %s, sooner than %g d", strings.Join(again[before], ", "),
					lot.Species, calc.WholeDays(lot.Start.Sub(before.Start)), before.Batch, restDays),
				"look up the codes on both sheets; if they are right, expect fewer eggs and note what was seen of these animals")
		}
	}
}
