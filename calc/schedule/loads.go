package schedule

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// loads sums what every batch occupies, and finds the days that ask too much.
func (a *arranger) loads() error {
	byName := map[string]*Load{}
	for _, b := range a.out.Batches {
		for _, u := range b.Sheet.Protocol.Timetable.Uses {
			l := byName[u.Has]
			if l == nil {
				l = &Load{Has: u.Has, What: u.What, Unit: u.Unit, dayAt: map[time.Time]int{}}
				if err := a.limit(l); err != nil {
					return err
				}
				byName[u.Has] = l
			}
			if err := l.add(b, u); err != nil {
				return err
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		l := byName[name]
		slices.SortFunc(l.Days, func(x, y DayLoad) int { return x.Day.Compare(y.Day) })
		a.out.Loads = append(a.out.Loads, *l)
		a.shortages(*l)
	}
	return nil
}

// limit reads how much the site has.
func (a *arranger) limit(l *Load) error {
	w, ok := a.order.Site.Settings[l.Has]
	if !ok {
		a.clashOnce(protocols.Note, time.Time{}, nil,
			fmt.Sprintf("the site file does not say %s (%s, in %s): it is added up but not held against anything", l.Has, l.What, l.Unit.Print()),
			"add it to site.yaml")
		return nil
	}
	q, err := protocols.ReadQuantity(w.Text, l.Unit)
	if err != nil {
		return fmt.Errorf("%s: %s (%s): %w", w.Place, l.Has, l.What, err)
	}
	l.Known, l.Limit = true, q.Value()
	return nil
}

// add puts a batch's use on its days: through the day of the last step, or up to the day
// before another batch takes over.
func (l *Load) add(b *Scheduled, u protocols.Use) error {
	q, err := b.Sheet.Occupies(u)
	if err == nil {
		q, err = q.In(l.Unit)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", b.Code, err)
	}
	if !b.does(u.From) {
		return nil
	}
	from, err := b.event(u.From)
	if err != nil {
		return err
	}
	last := calc.Midnight(b.Ends())
	if u.To != "" && b.does(u.To) {
		to, err := b.event(u.To)
		if err != nil {
			return err
		}
		last = calc.Midnight(to.Last())
	} else if !b.TakenOver.IsZero() {
		last = calc.Midnight(b.TakenOver).AddDate(0, 0, -1)
	}
	if q.Value() == 0 {
		return nil
	}
	for d := calc.Midnight(from.Start); !d.After(last); d = d.AddDate(0, 0, 1) {
		i, ok := l.dayAt[d]
		if !ok {
			i = len(l.Days)
			l.dayAt[d] = i
			l.Days = append(l.Days, DayLoad{Day: d})
		}
		l.Days[i].Sum += q.Value()
		if !slices.Contains(l.Days[i].Batches, b.Code) {
			l.Days[i].Batches = append(l.Days[i].Batches, b.Code)
		}
	}
	return nil
}

// shortages makes a clash of each run of days that ask too much.
func (a *arranger) shortages(l Load) {
	for i := 0; i < len(l.Days); i++ {
		if !l.over(l.Days[i]) || l.Days[i].Day.Before(calc.Midnight(a.order.Today)) {
			continue
		}
		peak, batches := l.Days[i], slices.Clone(l.Days[i].Batches)
		first := l.Days[i].Day
		for i+1 < len(l.Days) && l.over(l.Days[i+1]) && l.Days[i+1].Day.Equal(l.Days[i].Day.AddDate(0, 0, 1)) {
			i++
			if l.Days[i].Sum > peak.Sum {
				peak = l.Days[i]
			}
			for _, code := range l.Days[i].Batches {
				if !slices.Contains(batches, code) {
					batches = append(batches, code)
				}
			}
		}
		a.out.Clashes = append(a.out.Clashes, Clash{
			Level: protocols.Error, Day: first, Until: l.Days[i].Day, Batches: batches, has: l.Has,
			Says: fmt.Sprintf("%s: %s asked for on %s by %s, the site has %s", l.What, l.Show(peak.Sum),
				dayOf(peak.Day), strings.Join(peak.Batches, ", "), l.Show(l.Limit)),
		})
	}
}
