// Package counts turns what is seen under the microscope into numbers in the vessel: the
// counting chambers, subsamples of eggs and larvae, how sure such a number is and whether
// the vessel was well mixed, sperm dilution and fertilisation rate.
//
// What may enter: counting arithmetic on plain numbers, with unit, range and source. What
// may not: protocols, vessels as things, batches, files, clocks. It imports only
// calc/limits, calc/stats (for the intervals) and gonum.
//
// A value that does not exist (a spread from one subsample, a CV where nothing was counted)
// is absent by a flag beside it, never NaN.
package counts

import (
	"errors"
	"fmt"
	"math"

	"spatsheet/calc/limits"
	"spatsheet/calc/stats"
)

// ErrTooFew is wrapped by the errors that say there is nothing, or not enough, to go by.
var ErrTooFew = errors.New("too few counts")

// Basis says which of its two intervals an Estimate reports: the one with the larger
// standard error.
type Basis int

const (
	// BasisCounting: Poisson limits of the total counted, since the subsamples spread no
	// more than counting alone explains (or there is only one, or nothing was counted).
	BasisCounting Basis = iota
	// BasisReplicates: Student's t on the spread between subsamples.
	BasisReplicates
)

// Spread is how the subsamples differ from one another.
type Spread struct {
	Subsamples int
	Total      int     // counted in all subsamples
	Mean       float64 // per subsample
	// SD and CVPercent are of single subsamples, n - 1. HasSD needs two subsamples; HasCV
	// also needs a count.
	SD        float64
	HasSD     bool
	CVPercent float64
	HasCV     bool
	// PoissonCVPercent is the CV a well mixed vessel would show, 100 / sqrt(Mean), and
	// PoissonCVOfMeanPercent that of their mean, 100 / sqrt(Total). Absent with no count.
	PoissonCVPercent       float64
	PoissonCVOfMeanPercent float64
	// Index is the index of dispersion, sum (c - mean)^2 / mean, chi-square with
	// Subsamples - 1 degrees of freedom; PValue the chance of one so large when well mixed.
	// Both exist when HasCV.
	Index  float64
	PValue float64
	// BadlyMixed: CVPercent above twice PoissonCVPercent.
	BadlyMixed bool
}

// badlyMixedRatio (no unit, exact, common practice, no source): a CV above this many times
// the Poisson CV is reported as bad mixing.
const badlyMixedRatio = 2

// mostTotal (number, our choice): the largest total the exact Poisson limits are checked for.
const mostTotal = 10_000_000

// ReplicateSpread compares the spread between subsamples with what counting alone gives.
//
// counts are whole numbers in equal subsamples, squares or windows; the result in counts
// and %.
// Range: one count or more, none negative, 1e7 in all at most; otherwise an error that
// wraps limits.ErrRange or ErrTooFew.
// Source: Poisson CV 1/sqrt(total), arithmetic; index of dispersion, Fisher, Thornton and
// Mackenzie (1922), Ann. Appl. Biol. 9:325, from memory; the limit of twice the Poisson CV
// is common practice, no source. Chance alone passes it in 5 % of pairs, 2 % of threes and
// 0.3 % of fives from a well mixed vessel (chi-square tails): look at PValue too.
func ReplicateSpread(counts []int) (Spread, error) {
	if len(counts) == 0 {
		return Spread{}, fmt.Errorf("counts: there is none; give at least one: %w", ErrTooFew)
	}
	spread := Spread{Subsamples: len(counts)}
	for i, c := range counts {
		if err := limits.Between("count", float64(c), 0, mostTotal, ""); err != nil {
			return Spread{}, fmt.Errorf("subsample %d: %w", i+1, err)
		}
		spread.Total += c
	}
	if err := limits.Between("total count", float64(spread.Total), 0, mostTotal, ""); err != nil {
		return Spread{}, err
	}
	spread.Mean = float64(spread.Total) / float64(len(counts))
	spread.addDeviation(counts)
	return spread, nil
}

// addDeviation fills what needs two subsamples, or a count above 0.
func (s *Spread) addDeviation(counts []int) {
	degrees := float64(len(counts) - 1)
	squares := 0.0
	for _, c := range counts {
		squares += (float64(c) - s.Mean) * (float64(c) - s.Mean)
	}
	if s.Total > 0 {
		s.PoissonCVPercent = 100 / math.Sqrt(s.Mean)
		s.PoissonCVOfMeanPercent = 100 / math.Sqrt(float64(s.Total))
	}
	if degrees == 0 {
		return
	}
	s.HasSD = true
	s.SD = math.Sqrt(squares / degrees)
	if s.Total == 0 {
		return
	}
	s.HasCV = true
	s.CVPercent = 100 * s.SD / s.Mean
	s.Index = squares / s.Mean
	s.PValue = chiSquareTail(s.Index, degrees)
	s.BadlyMixed = s.CVPercent > badlyMixedRatio*s.PoissonCVPercent
}

// Estimate is a number scaled up from subsamples, with limits.
type Estimate struct {
	stats.Interval // one of the two below, in the unit asked for; Basis says which
	Basis          Basis
	Poisson        stats.Interval  // exact limits of the total counted, scaled
	Replicates     stats.Parameter // mean of subsamples +- t, scaled; not below 0
	HasReplicates  bool            // two subsamples or more
	Spread         Spread
}

// scaledEstimate multiplies the mean per subsample, and its limits, by factor.
func scaledEstimate(counts []int, factor, confidence float64) (Estimate, error) {
	spread, err := ReplicateSpread(counts)
	if err != nil {
		return Estimate{}, err
	}
	total, err := stats.PoissonMeanGarwood1936(spread.Total, confidence)
	if err != nil {
		return Estimate{}, err
	}
	estimate := Estimate{Spread: spread, Poisson: scaleInterval(total, factor/float64(len(counts)))}
	estimate.Interval = estimate.Poisson
	if spread.HasSD {
		if err := estimate.addReplicates(counts, factor, confidence); err != nil {
			return Estimate{}, err
		}
	}
	for _, high := range []float64{estimate.Poisson.High, estimate.Replicates.High} {
		if _, err := limits.Result("upper limit of the estimate", high); err != nil {
			return Estimate{}, err
		}
	}
	return estimate, nil
}

// addReplicates adds the t interval, and reports it when its standard error is the larger:
// the spread between subsamples then holds more than counting (stirring, pipetting).
func (e *Estimate) addReplicates(counts []int, factor, confidence float64) error {
	values := make([]float64, len(counts))
	for i, c := range counts {
		values[i] = float64(c)
	}
	mean, err := stats.MeanStudent1908(values, confidence)
	if err != nil {
		return err
	}
	e.HasReplicates = true
	e.Replicates = stats.Parameter{Interval: scaleInterval(mean.Interval, factor), StandardError: mean.StandardError * factor}
	e.Replicates.Low = math.Max(e.Replicates.Low, 0)
	if e.Spread.HasCV && e.Spread.CVPercent > e.Spread.PoissonCVPercent {
		e.Basis, e.Interval = BasisReplicates, e.Replicates.Interval
	}
	return nil
}

func scaleInterval(x stats.Interval, factor float64) stats.Interval {
	return stats.Interval{Estimate: x.Estimate * factor, Low: x.Low * factor, High: x.High * factor, Confidence: x.Confidence}
}
