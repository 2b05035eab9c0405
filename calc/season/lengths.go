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

// growth lists the batches with samples of lengths.
//
// Source: stats.MeanStudent1908; growth = difference of the means / days. Means of a
// sample are of those alive then: when small animals die the mean rises without growth.
func growth(all []filled) []Growth {
	var out []Growth
	for _, f := range all {
		t := f.tells.Lengths
		if t == nil {
			continue
		}
		p := f.batch.Sheet.Plan
		g := Growth{Batch: p.Batch, Species: p.Species, Protocol: f.batch.Sheet.Protocol.Ref(), Cohort: f.words(t.Cohort)}
		for i := range t.Samples {
			if sample, ok := lengthSample(f, &t.Samples[i]); ok {
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

func lengthSample(f filled, t *protocols.TellsSample) (LengthSample, bool) {
	at, ok := f.at(t.At, 1)
	if !ok {
		return LengthSample{}, false
	}
	if t.Mean != nil {
		mean := f.number(t.Mean)
		return LengthSample{At: at, Mean: stats.Interval{Estimate: mean.Number}}, mean.Has
	}
	var all []float64
	for i := range t.Of {
		all = append(all, numbersOf(f.column(&t.Of[i]))...)
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
