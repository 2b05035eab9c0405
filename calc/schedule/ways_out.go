package schedule

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// How far ways out are looked for. Site choice.
const (
	shiftMost  = 60 // days, later and earlier
	clashesMax = 8  // clashes that are given a way out; the rest wait for these
	halvings   = 12 // of the batch's size: to 1 part in 4096
)

// waysOut tries, for each shortage, the least shift and the largest smaller batch that end
// it without a new one.
func (a *arranger) waysOut() error {
	done := 0
	for i := range a.out.Clashes {
		c := &a.out.Clashes[i]
		if c.has == "" && !c.alone {
			continue
		}
		if done++; done > clashesMax {
			c.Remedy = "solve the clashes before this one first"
			continue
		}
		b := a.mover(c)
		if c.alone && (b == nil || slices.Contains(c.Batches, b.Code)) {
			continue // what fits is told already
		}
		if b == nil {
			c.Remedy = "free some, or take it out of the site's other work"
			continue
		}
		ways, err := a.ways(c, b)
		if err != nil {
			return err
		}
		c.Remedy = strings.Join(ways, "; or ")
		if len(ways) == 0 {
			c.Remedy = fmt.Sprintf("no shift of %s by up to %d days and no smaller batch ends this; free some, or plan fewer batches", b.Code, shiftMost)
		}
	}
	return nil
}

// mover is the batch to move: the root of the latest batch in the clash.
func (a *arranger) mover(c *Clash) *Scheduled {
	var latest *Scheduled
	for _, b := range a.out.Batches {
		if !slices.Contains(c.Batches, b.Code) || b.Root == nil {
			continue
		}
		root := b.Root
		if b.Planned {
			root = b
		}
		if latest == nil || root.Start.After(latest.Start) {
			latest = root
		}
	}
	return latest
}

func (a *arranger) ways(c *Clash, b *Scheduled) ([]string, error) {
	var ways []string
	for n := 1; n <= shiftMost && len(ways) == 0 && !c.alone; n++ {
		for _, days := range []int{n, -n} {
			fits, err := a.fits(c, b, days, nil)
			if err != nil {
				return nil, err
			}
			if fits {
				direction := "later"
				if days < 0 {
					direction = "earlier"
				}
				ways = append(ways, fmt.Sprintf("move %s %d days %s, to %s", b.Code, n, direction, dayOf(b.Start.AddDate(0, 0, days))))
				break
			}
		}
	}
	smaller, err := a.smaller(c, b)
	if err != nil {
		return nil, err
	}
	if smaller != "" {
		ways = append(ways, "plan "+b.Code+" smaller: "+smaller)
	}
	return ways, nil
}

// smaller looks for the largest smaller batch that ends the clash, by halving.
func (a *arranger) smaller(c *Clash, b *Scheduled) (string, error) {
	low, high := 0.0, 1.0
	var best map[string]calc.Written
	for range halvings {
		middle := (low + high) / 2
		settings, ok := b.Sheet.Smaller(middle)
		if !ok {
			low = middle
			continue
		}
		fits, err := a.fits(c, b, 0, settings)
		switch {
		case err != nil: // too small for the glassware, or the like
			low = middle
		case fits:
			low, best = middle, settings
		default:
			high = middle
		}
	}
	var words []string
	for _, id := range slices.Sorted(maps.Keys(best)) {
		words = append(words, id+" "+best[id].Text)
	}
	return strings.Join(words, ", "), nil
}

// fits says whether the clash ends, and no other is added, when a batch is moved by days
// or planned with other settings.
func (a *arranger) fits(c *Clash, b *Scheduled, days int, settings map[string]calc.Written) (bool, error) {
	order := a.order
	if b.Planned {
		sheets, err := replan(order.Plans, b, days, settings)
		if err != nil {
			return false, err
		}
		order.Plans = sheets
	} else {
		order.Targets = slices.Clone(order.Targets)
		t := &order.Targets[b.target]
		t.Start = t.Start.AddDate(0, 0, days)
		if settings != nil {
			given := maps.Clone(t.Settings)
			if given == nil {
				given = map[string]calc.Written{}
			}
			maps.Copy(given, settings)
			t.Settings = given
		}
	}
	tried, err := arrange(order)
	if err != nil {
		return false, err
	}
	return tried.errorCount() < a.errorCount() && !tried.still(c), nil
}

// replan is the plans with one of them moved or made smaller.
func replan(plans []*calc.Sheet, b *Scheduled, days int, settings map[string]calc.Written) ([]*calc.Sheet, error) {
	out := slices.Clone(plans)
	for i, s := range out {
		if s != b.Sheet {
			continue
		}
		plan := s.Plan
		plan.Start = plan.Start.AddDate(0, 0, days)
		plan.Settings = maps.Clone(plan.Settings)
		maps.Copy(plan.Settings, settings)
		if settings == nil {
			out[i] = s.Moved(plan.Batch, plan.Start)
			return out, nil
		}
		moved, err := calc.Scale(s.Protocol, s.Site, plan)
		if err != nil {
			return nil, err
		}
		out[i] = moved
		return out, nil
	}
	return nil, errors.New("a planned batch is not among the plans")
}

func (a *arranger) errorCount() int {
	n := 0
	for _, c := range a.out.Clashes {
		if c.Level == protocols.Error {
			n++
		}
	}
	return n
}

// still says whether the same thing runs short on one of the same days, or for the same
// batches.
func (a *arranger) still(c *Clash) bool {
	return slices.ContainsFunc(a.out.Clashes, func(x Clash) bool {
		sameDays := !x.Until.Before(c.Day) && !x.Day.After(c.Until)
		return x.has == c.has && x.alone == c.alone && (sameDays && !c.alone || slices.Equal(x.Batches, c.Batches))
	})
}
