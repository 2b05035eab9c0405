package schedule

import (
	"slices"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// arranger holds a schedule in the making.
type arranger struct {
	order Order
	out   Schedule
	codes map[string]bool
}

// add puts a sheet into the schedule with its events.
func (a *arranger) add(sheet *calc.Sheet, code string) (*Scheduled, error) {
	lasts, err := sheet.Lasts()
	if err != nil {
		return nil, err
	}
	b := &Scheduled{Code: code, Sheet: sheet, Start: sheet.Plan.Start, Ready: sheet.Plan.Start.Add(lasts), target: -1}
	for i := range sheet.Steps {
		step := &sheet.Steps[i]
		if step.Definition.At == nil {
			continue
		}
		e := Event{Step: step, Start: step.Time}
		if e.Every, e.Times, err = sheet.Repeats(i); err != nil {
			return nil, err
		}
		b.Events = append(b.Events, e)
	}
	a.out.Batches = append(a.out.Batches, b)
	return b, nil
}

// have says whether the yield of a protocol is at hand.
func (a *arranger) have(id string) bool { return slices.Contains(a.order.Have, id) }

func (a *arranger) clash(level protocols.Level, at time.Time, batches []string, says, remedy string) {
	a.out.Clashes = append(a.out.Clashes, Clash{Level: level, Day: calc.Midnight(at), Until: calc.Midnight(at), Batches: batches, Says: says, Remedy: remedy})
}

func (a *arranger) clashOnce(level protocols.Level, at time.Time, batches []string, says, remedy string) {
	if !slices.ContainsFunc(a.out.Clashes, func(c Clash) bool { return c.Says == says }) {
		a.clash(level, at, batches, says, remedy)
	}
}

// opening is the last time of opening that is not after t.
func (a *arranger) opening(t time.Time) time.Time {
	open := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location()).Add(a.order.Opens)
	if open.After(t) {
		open = open.AddDate(0, 0, -1)
	}
	return open
}

// quantityOf reads a setting or amount of a sheet.
func quantityOf(s *calc.Sheet, id string) (quantity.Quantity, bool) {
	if amount, ok := s.Amount(id); ok {
		return amount.Rounded, true
	}
	v, ok := s.Value(id)
	return v.Quantity, ok
}
