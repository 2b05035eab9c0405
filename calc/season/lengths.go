package season

import (
	"slices"
	"time"

	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

// Growth is the lengths measured in one batch over time.
type Growth struct {
	Batch, Species, Protocol, Cohort string
	Samples                          []LengthSample // by date
	RateUMPerDay                     float64        // from the first to the last sample
	HasRate                          bool
}

// LengthSample is a sample of shell lengths.
type LengthSample struct {
	At        time.Time
	Number    int            // animals measured; 0 when only a mean is written down
	Mean      stats.Interval // mm
	HasLimits bool           // Student's, of the animals measured
}

// sampleDates says for each table or entry of lengths which reading dates it.
var sampleDates = []struct{ lengths, at string }{
	{"first_length", "stocked_on"}, {"length_sample", "measured_on"},
	{"lengths_in", "stocked_at"}, {"lengths_out", "ended_at"},
	{"lengths", "release_day"}, {"lengths", "on_shore"},
}

// growth lists the batches with samples of lengths.
//
// Readings it goes by: all columns in mm of the tables lengths, length_sample, lengths_in,
// lengths_out, and the entry first_length; their dates as sampleDates says; the cohort
// from cohort, family or parents.
// Source: stats.MeanStudent1908; growth = difference of the means / days. Means of a
// sample are of those alive then: when small animals die the mean rises without growth.
func growth(all []filled) []Growth {
	var out []Growth
	for _, f := range all {
		p := f.batch.Sheet.Plan
		g := Growth{Batch: p.Batch, Species: p.Species, Protocol: f.batch.Sheet.Protocol.Ref()}
		for _, key := range []string{"cohort", "family", "parents"} {
			if g.Cohort == "" {
				g.Cohort = f.text(key)
			}
		}
		for _, s := range sampleDates {
			if sample, ok := lengthSample(f, s.lengths, s.at); ok {
				g.Samples = append(g.Samples, sample)
			}
		}
		if len(g.Samples) == 0 {
			continue
		}
		slices.SortStableFunc(g.Samples, func(a, b LengthSample) int { return a.At.Compare(b.At) })
		first, last := g.Samples[0], g.Samples[len(g.Samples)-1]
		if d := days(first.At, last.At); d >= 1 {
			g.RateUMPerDay, g.HasRate = 1000*(last.Mean.Estimate-first.Mean.Estimate)/d, true
		}
		out = append(out, g)
	}
	return out
}

func lengthSample(f filled, lengths, date string) (LengthSample, bool) {
	at, ok := f.at(date)
	if !ok {
		return LengthSample{}, false
	}
	if mean, ok := f.number(lengths); ok {
		return LengthSample{At: at, Mean: stats.Interval{Estimate: mean}}, true
	}
	t, ok := f.table(lengths)
	if !ok {
		return LengthSample{}, false
	}
	var all []float64
	for _, c := range t.definition.Columns {
		if c.Kind == protocols.KindNumber && c.Unit.Symbol() == "mm" {
			all = append(all, numbersOf(f.column(t, c.ID))...)
		}
	}
	return sampleOf(at, all)
}

func sampleOf(at time.Time, lengths []float64) (LengthSample, bool) {
	s := LengthSample{At: at, Number: len(lengths)}
	if len(lengths) == 0 {
		return s, false
	}
	mean, err := stats.MeanStudent1908(lengths, Confidence)
	if err != nil { // one animal has no spread
		s.Mean.Estimate = lengths[0]
		return s, len(lengths) == 1
	}
	s.Mean, s.HasLimits = mean.Interval, true
	return s, true
}
