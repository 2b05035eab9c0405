package schedule

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Load is what is asked of one thing that the site has, day by day.
type Load struct {
	Has   string // the site's name for it, such as tank.count
	What  string
	Unit  quantity.Unit
	Known bool    // the site says how much there is
	Limit float64 // in Unit, where Known
	Days  []DayLoad
	dayAt map[time.Time]int
}

// DayLoad is one day's use: the sum over batches, in the load's unit.
type DayLoad struct {
	Day     time.Time
	Sum     float64
	Batches []string // that take part, in the schedule's order
}

// Peak is the first of the days with the largest sum, from a day on, as clashes are; false
// when none of it is used from that day on.
func (l Load) Peak(from time.Time) (DayLoad, bool) {
	var peak DayLoad
	for _, d := range l.Days {
		if !d.Day.Before(calc.Midnight(from)) && (d.Sum > peak.Sum || peak.Day.IsZero()) {
			peak = d
		}
	}
	return peak, !peak.Day.IsZero()
}

// slack for sums of floats: a hair over the limit is not over it. Site choice.
const hair = 1e-9

// over says whether a day asks for more than the site has.
func (l Load) over(d DayLoad) bool { return l.Known && d.Sum > l.Limit*(1+hair) }

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
		a.clashOnce(protocols.Note, time.Time{}, nil, fmt.Sprintf("the site file does not say %s (%s, in %s): it is added up but not held against anything", l.Has, l.What, l.Unit.Print()),
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
			Says: fmt.Sprintf("%s: %s asked for on %s by %s, the site has %s", l.What, l.Show(peak.Sum), dayOf(peak.Day), strings.Join(peak.Batches, ", "), l.Show(l.Limit)),
		})
	}
}

// Show prints a number of the load with its unit, to three figures.
func (l Load) Show(x float64) string {
	q, err := quantity.New(x, l.Unit)
	if err != nil {
		return fmt.Sprintf("%g", x)
	}
	if x == float64(int64(x)) && x < 1e6 {
		return q.Format(0)
	}
	return q.Format(3)
}

// lateStarts tells, for each root, what should have begun before today, and the day of the
// root that can still be made.
func (a *arranger) lateStarts() {
	if a.order.Today.IsZero() {
		return
	}
	first := map[*Scheduled]*Scheduled{}
	for _, b := range a.out.Batches {
		if b.Planned || !b.Begins().Before(a.order.Today) || b.Root == nil {
			continue
		}
		if f := first[b.Root]; f == nil || b.Begins().Before(f.Begins()) {
			first[b.Root] = b
		}
	}
	for _, b := range a.out.Batches {
		f := first[b]
		if f == nil {
			continue
		}
		begins := f.Begins()
		n := 0
		for begins.AddDate(0, 0, n).Before(a.order.Today) {
			n++
		}
		a.clash(protocols.Error, f.Begins(), []string{f.Code, b.Code},
			fmt.Sprintf("%s should have begun on %s for %s on %s", f.Code, dayOf(begins), b.Code, dayOf(b.Start)),
			fmt.Sprintf("%s later, on %s, is the first day that can still be made; or say --have %s", calc.WholeDays(time.Duration(n)*24*time.Hour), dayOf(b.Start.AddDate(0, 0, n)), f.Sheet.Protocol.ID))
	}
}

func (a *arranger) clash(level protocols.Level, at time.Time, batches []string, says, remedy string) {
	a.out.Clashes = append(a.out.Clashes, Clash{Level: level, Day: calc.Midnight(at), Until: calc.Midnight(at), Batches: batches, Says: says, Remedy: remedy})
}

func (a *arranger) clashOnce(level protocols.Level, at time.Time, batches []string, says, remedy string) {
	if !slices.ContainsFunc(a.out.Clashes, func(c Clash) bool { return c.Says == says }) {
		a.clash(level, at, batches, says, remedy)
	}
}

func dayOf(t time.Time) string { return t.Format("2006-01-02") }
