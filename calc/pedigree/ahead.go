package pedigree

import (
	"slices"

	"spatsheet/calc"
	"spatsheet/calc/season"
)

// Ahead tells what would be wrong between a planned batch and others, were it
// carried out as planned: a parent that is not ready by then, or has gone off, and more
// taken from a parent than it left.
//
// others are the batches collected, and others planned, as Compile takes them; one with the planned batch's code is left out. Findings
// as Across gives them, those of the planned batch and of what its parents are asked for.
// Range: a plan without parents gives none.
func Ahead(others []season.Batch, planned *calc.Sheet) []season.Finding {
	code := planned.Plan.Batch
	others = slices.DeleteFunc(slices.Clone(others), func(b season.Batch) bool { return b.Sheet.Plan.Batch == code })
	s := season.Compile(append(others, season.Planned(planned)), Across)
	return slices.DeleteFunc(s.Across, func(f season.Finding) bool {
		asked := f.Code == "more-taken-than-left" && slices.ContainsFunc(planned.Plan.Parents, func(p calc.Parent) bool { return p.Batch == f.Batch })
		return len(planned.Plan.Parents) == 0 || f.Batch != code && !asked
	})
}

// Taken is what other batches took of something that a batch handed over.
type Taken struct {
	Number float64 // in the unit of what is handed over
	By     []string
}

// TakenFrom tells what the children of a batch took of what it handed over by that id, as
// they counted it in, or else as planned. Without such a batch or id nothing was taken.
//
// leaveOut is the code of a child that is not counted; empty for none.
func (l *Lineage) TakenFrom(batch, handedOver, leaveOut string) Taken {
	parent, ok := l.Lot(batch)
	if !ok {
		return Taken{}
	}
	for _, h := range parent.of.Sheet.Protocol.HandsOver {
		if h.ID == handedOver {
			base, by := takenFrom(parent, h, leaveOut)
			return Taken{h.Unit.FromBase(base), by}
		}
	}
	return Taken{}
}
