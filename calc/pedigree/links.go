package pedigree

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

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

// used is something of a batch that another took, and when.
type used struct {
	from, by *Lot
	what     []protocols.HandOver // what of it; empty: the batch as a whole
	at       time.Time
	keeps    time.Duration // 0: any time
}

// dates tells what a batch used before it was ready, or after it had gone off.
func (a *across) dates(lot *Lot) {
	for _, u := range a.uses(lot) {
		ready, label := time.Time{}, ""
		for _, h := range u.what {
			if t := readyAt(u.from.of, h); t.After(ready) {
				ready, label = t, h.Label
			}
		}
		if ready.IsZero() {
			continue
		}
		switch {
		case u.at.Before(ready):
			a.find(lot.Batch, protocols.Error, "used-before-ready",
				fmt.Sprintf("it used %s (%s) on %s, which was ready on %s only", u.from.Batch, label, minuteOf(u.at), minuteOf(ready)),
				"check the dates on both sheets; if they are right, it was not that batch")
		case u.keeps > 0 && u.at.After(ready.Add(u.keeps)):
			a.find(lot.Batch, protocols.Warning, "used-too-late",
				fmt.Sprintf("it used %s (%s) %s after it was ready; it keeps %s", u.from.Batch, label, calc.WholeDays(u.at.Sub(ready)), calc.WholeDays(u.keeps)),
				"write on the paper under Remarks how it looked, and expect less of it")
		}
	}
}

// uses lists the parents of a batch, and the plates of a film lot that it names.
func (a *across) uses(lot *Lot) []used {
	var list []used
	for _, link := range lot.Parents {
		if link.Parent == nil {
			continue
		}
		u := used{from: link.Parent, by: lot, at: lot.Start}
		var named []string
		for _, g := range link.Gave {
			named = append(named, g.HandedOver)
		}
		for i := range lot.of.Sheet.Protocol.Settings {
			if s := &lot.of.Sheet.Protocol.Settings[i]; len(link.Gave) == 0 && s.Handed != "" {
				named = append(named, s.Handed)
			}
		}
		for _, h := range link.Parent.of.Sheet.Protocol.HandsOver {
			if slices.Contains(named, h.ID) {
				u.what = append(u.what, h)
			}
		}
		u.asNeeded()
		list = append(list, u)
	}
	return append(list, a.namedLots(lot)...)
}

// asNeeded takes the step and the keeping time from what the protocol says it needs.
func (u *used) asNeeded() {
	sheet := u.by.of.Sheet
	for _, need := range sheet.Protocol.Timetable.Needs {
		if need.Protocol != u.from.of.Sheet.Protocol.ID {
			continue
		}
		for i := range sheet.Steps {
			if sheet.Steps[i].Definition.ID == need.By {
				if t := when(u.by.of, i); !t.IsZero() {
					u.at = t
				}
			}
		}
		if keeps, err := sheet.Duration(need.Keeps); err == nil {
			u.keeps = keeps
		}
	}
}

// namedLots are collected batches of plates that a sheet names as the lot it used, though
// its plan does not start from them.
func (a *across) namedLots(lot *Lot) []used {
	var list []used
	for _, c := range lot.of.Told().Codes {
		from, ok := a.lineage.Lot(c.Text)
		if !ok || from == lot || slices.ContainsFunc(lot.Parents, func(l *Link) bool { return l.Parent == from }) ||
			slices.ContainsFunc(list, func(u used) bool { return u.from == from }) {
			continue
		}
		u := used{from: from, by: lot, at: when(lot.of, c.Step)}
		for _, h := range from.of.Sheet.Protocol.HandsOver {
			if thingOf(h) == "plate" {
				u.what = append(u.what, h)
			}
		}
		u.asNeeded()
		list = append(list, u)
	}
	return list
}

// readyAt is when the last reading that a hand-over is worked out from was written.
func readyAt(b season.Batch, h protocols.HandOver) time.Time {
	for _, x := range b.Told().Handed {
		if x.ID == h.ID {
			return x.Ready
		}
	}
	return time.Time{}
}

// show prints a count in its unit, to three figures.
func show(base float64, unit quantity.Unit) string {
	x := unit.FromBase(base)
	if math.Abs(x) < 1000 {
		return quantity.FormatNumber(x, 3) + " " + unit.Symbol()
	}
	return quantity.FormatNumber(x, 4) + " " + unit.Symbol()
}

func minuteOf(t time.Time) string { return t.Format("2006-01-02 15:04") }
