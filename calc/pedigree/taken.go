package pedigree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// countSlack is by how much more may be taken from a batch than it left before this is an
// error and not a warning: counts of subsamples differ by a tenth. Common practice, no
// source; the shipped protocols allow the same.
const countSlack = 1.1

type across struct {
	season  season.Season
	lineage *Lineage
	out     []season.Finding
}

func (a *across) find(batch string, level protocols.Level, code, says, remedy string) {
	a.out = append(a.out, season.Finding{Batch: batch, Finding: check.Finding{Level: level, Code: code, Says: says, Remedy: remedy}})
}

// taken tells where the children of a batch took more than it left, of each thing that it
// hands over as a count.
func (a *across) taken(parent *Lot) {
	handed := parent.of.Told().Handed
	for i, h := range parent.of.Sheet.Protocol.HandsOver {
		left := handed[i].Base
		if thingOf(h) == "" || !handed[i].Has || handed[i].Err != nil {
			continue
		}
		sum, takers := takenFrom(parent, h, "")
		level := protocols.Warning
		switch {
		case sum <= left+0.5: // planned whole, handed over with a fraction
			continue
		case sum > left*countSlack:
			level = protocols.Error
		}
		unit := h.Unit
		a.find(parent.Batch, level, "more-taken-than-left",
			fmt.Sprintf("%s took %s; it left %s (%s)", strings.Join(takers, " and "), show(sum, unit), show(left, unit), h.Label),
			"count again what each batch took; correct the sheet or the plan that is wrong, and collect it again")
	}
}

// takenFrom sums up what the children of a batch took of a hand-over, in base units; one
// child may be left out.
func takenFrom(parent *Lot, h protocols.HandOver, leaveOut string) (sum float64, takers []string) {
	for _, link := range parent.Children {
		if x, ok := takenBy(link, h); ok && link.Child.Batch != leaveOut {
			sum += x
			takers = append(takers, link.Child.Batch)
		}
	}
	return sum, takers
}

// takenBy is how much of a hand-over a child took, in base units: as counted in where its
// first stage counts that thing, or else as planned.
func takenBy(link *Link, h protocols.HandOver) (x float64, ok bool) {
	sheet := link.Child.of.Sheet
	for i := range sheet.Protocol.Settings {
		s := &sheet.Protocol.Settings[i]
		v, there := sheet.Value(s.ID)
		if s.Handed != h.ID || !there {
			continue
		}
		x := v.Quantity.Base()
		for _, limit := range sheet.Protocol.Limits { // on hand is not yet taken
			if amount, there := sheet.Amount(limit.Needs); there && limit.Has == s.ID {
				x = amount.Rounded.Base()
			}
		}
		if counted, ok := countedIn(link.Child.of, h); ok {
			x = counted
		}
		return x * shareOf(link, h), true
	}
	return 0, false
}

// countedIn is the count into a batch's first stage, where it is of the thing handed over.
func countedIn(b season.Batch, h protocols.HandOver) (float64, bool) {
	if len(b.Sheet.Protocol.Stages) == 0 {
		return 0, false
	}
	first := b.Sheet.Protocol.Stages[0]
	if first.InUnit.Dimension() != h.Unit.Dimension() {
		return 0, false
	}
	return b.Told().FirstIn, b.Told().HasFirstIn
}

// shareOf is the share of what a child took that is this parent's: all of it where the
// plan says that it filled the setting, none where it says so of another, and by what
// each left where the plan does not say.
func shareOf(link *Link, h protocols.HandOver) float64 {
	gives := func(l *Link) bool {
		return slices.ContainsFunc(l.Gave, func(g Given) bool { return g.HandedOver == h.ID })
	}
	if gives(link) {
		return 1
	}
	sum, own := 0.0, 0.0
	for _, other := range link.Child.Parents {
		if gives(other) {
			return 0
		}
		if other.Parent == nil {
			continue
		}
		for _, c := range other.Parent.Counts {
			if c.ID == h.ID {
				sum += c.Number
				if other == link {
					own = c.Number
				}
			}
		}
	}
	if sum <= 0 {
		return 0
	}
	return own / sum
}

// show prints a count in its unit, to three figures.
func show(base float64, unit quantity.Unit) string {
	x := unit.FromBase(base)
	if math.Abs(x) < 1000 {
		return quantity.FormatNumber(x, 3) + " " + unit.Symbol()
	}
	return quantity.FormatNumber(x, 4) + " " + unit.Symbol()
}
