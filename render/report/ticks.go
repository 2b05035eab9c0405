package report

import (
	"math"
	"time"

	"spatsheet/protocols/quantity"
)

// niceAxis is an axis from low to high, widened to round ticks, about so many of them.
func niceAxis(label string, low, high float64, about int) axis {
	if high <= low {
		high = low + 1
	}
	step := niceStep((high - low) / float64(about))
	first, last := math.Floor(low/step+1e-9), math.Ceil(high/step-1e-9)
	a := axis{label: label, low: first * step, high: last * step}
	for i := first; i <= last; i++ {
		a.ticks = append(a.ticks, tick{at: i * step, label: quantity.FormatNumber(i*step, 6)})
	}
	return a
}

// daysAxis runs from 0 to the last day, without a margin, so that curves end at its edge.
func daysAxis(label string, last float64) axis {
	a := niceAxis(label, 0, last, 6)
	a.high = last
	return a
}

// niceStep is the smallest of 1, 2, 5 times a power of ten that is not below x.
func niceStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// shareAxis runs from 0 to 100 %.
func shareAxis(label string) axis {
	a := axis{label: label, low: 0, high: 100}
	for i := 0; i <= 100; i += 20 {
		a.ticks = append(a.ticks, tick{at: float64(i), label: quantity.FormatNumber(float64(i), 3)})
	}
	return a
}

// dateAxis runs over days since origin, with ticks at round dates, about so many.
func dateAxis(origin, from, to time.Time, about int) axis {
	if to.Sub(from) < 10*24*time.Hour {
		from, to = from.AddDate(0, 0, -5), to.AddDate(0, 0, 5)
	}
	margin := to.Sub(from) / 25
	from, to = from.Add(-margin), to.Add(margin)
	a := axis{label: "date", low: dayOf(origin, from), high: dayOf(origin, to)}
	form, dates := dateTicks(from, to, about)
	for _, d := range dates {
		a.ticks = append(a.ticks, tick{at: dayOf(origin, d), label: d.Format(form)})
	}
	return a
}

func dayOf(origin, t time.Time) float64 { return t.Sub(origin).Hours() / 24 }

func dateTicks(from, to time.Time, about int) (form string, dates []time.Time) {
	span := to.Sub(from).Hours() / 24
	if span > 75 {
		months := 1
		for span/30/float64(months) > float64(about) {
			months++
		}
		for d := time.Date(from.Year(), from.Month()+1, 1, 0, 0, 0, 0, time.UTC); d.Before(to); d = d.AddDate(0, months, 0) {
			dates = append(dates, d)
		}
		return "Jan 2006", dates
	}
	step := max(1, int(niceStep(span/float64(min(about, 6)))))
	for d := time.Date(from.Year(), from.Month(), from.Day()+1, 0, 0, 0, 0, time.UTC); d.Before(to); d = d.AddDate(0, 0, step) {
		dates = append(dates, d)
	}
	return "2 Jan 2006", dates
}
