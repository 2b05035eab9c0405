package pedigree

import (
	"fmt"
	"slices"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

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

// when is a batch's latest date or time written in a step, or else the step's own time.
func when(b season.Batch, step int) time.Time {
	return season.WhenOf(b.Sheet, b.Told().Written, step)
}

func minuteOf(t time.Time) string { return t.Format("2006-01-02 15:04") }
