// Package stats holds the statistics a hatchery log needs: intervals for shares and
// counts, survival curves and their comparison, growth fits, degree-hours, gonad index
// and ripeness, effective population size, and the life table by stage.
//
// What may enter: a calculation on plain numbers, with unit, range and source. What may
// not: batches, protocols, files, clocks, random numbers, and any wording that promises
// an outcome. It imports only calc/limits and gonum; calc/counts builds on it.
//
// A value that does not exist (a limit where survival is 0, a rate after a total loss) is
// absent by a flag beside it, never NaN.
package stats

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"spatsheet/calc/limits"
)

// ErrTooFew is wrapped by the errors that say there are not enough observations.
var ErrTooFew = errors.New("too few observations")

// ErrNoFit is wrapped by the errors that say the observations do not determine the fit.
var ErrNoFit = errors.New("no fit")

const (
	// leastConfidence (no unit, exact, site choice): below one half an interval says nothing.
	leastConfidence = 0.5
	// mostConfidence (no unit, exact, site choice): above it the tails are finer than the
	// quantile routines are checked for.
	mostConfidence = 0.9999
)

// Interval is an estimate between its two confidence limits; all three in the unit of the
// quantity estimated.
type Interval struct {
	Estimate   float64
	Low        float64
	High       float64
	Confidence float64 // such as 0.95; no unit
}

// Parameter is one fitted number with its standard error and Wald limits, in the unit of
// the parameter.
type Parameter struct {
	Interval
	StandardError float64
}

// checkConfidence refuses 95 typed for 0.95, and every other confidence out of range.
func checkConfidence(confidence float64) error {
	return limits.Between("confidence", confidence, leastConfidence, mostConfidence, "")
}

// normalQuantile is the z of a two-sided interval: 1.959964 for a confidence of 0.95.
func normalQuantile(confidence float64) float64 {
	return distuv.UnitNormal.Quantile((1 + confidence) / 2)
}

// studentQuantile is the t of a two-sided interval with the given degrees of freedom.
func studentQuantile(confidence float64, degreesOfFreedom int) float64 {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(degreesOfFreedom)}
	return t.Quantile((1 + confidence) / 2)
}

// wald builds estimate +- quantile x standardError, refusing what is not finite.
func wald(what string, estimate, standardError, quantile, confidence float64) (Parameter, error) {
	low, high := estimate-quantile*standardError, estimate+quantile*standardError
	for _, x := range []float64{estimate, standardError, low, high} {
		if _, err := limits.Result(what, x); err != nil {
			return Parameter{}, err
		}
	}
	return Parameter{
		Interval:      Interval{Estimate: estimate, Low: low, High: high, Confidence: confidence},
		StandardError: standardError,
	}, nil
}

// checkAll refuses the first value of a row that check refuses, and says which it is.
func checkAll(values []float64, check func(float64) error) error {
	for i, x := range values {
		if err := check(x); err != nil {
			return fmt.Errorf("value %d of %d: %w", i+1, len(values), err)
		}
	}
	return nil
}

// MeanStudent1908 gives the mean of replicate measurements with Student's t limits.
//
// values in any one unit, at least two; the result in the same unit.
// Range: every value finite, two values or more, confidence from 0.5 to 0.9999; otherwise
// an error that wraps limits.ErrRange or ErrTooFew.
// Source: Student (1908), Biometrika 6:1; mean +- t(n - 1) s / sqrt(n), s with n - 1; from
// memory.
func MeanStudent1908(values []float64, confidence float64) (Parameter, error) {
	if err := checkConfidence(confidence); err != nil {
		return Parameter{}, err
	}
	if len(values) < 2 {
		return Parameter{}, fmt.Errorf("mean: %d values give no spread; take at least 2: %w", len(values), ErrTooFew)
	}
	if err := checkAll(values, func(x float64) error { return limits.Finite("value", x, "") }); err != nil {
		return Parameter{}, err
	}
	mean, sumOfSquares := momentsAbout(values)
	n := float64(len(values))
	standardError := math.Sqrt(sumOfSquares / (n - 1) / n)
	return wald("mean", mean, standardError, studentQuantile(confidence, len(values)-1), confidence)
}

// momentsAbout returns the mean and the sum of squared distances from it.
func momentsAbout(values []float64) (mean, sumOfSquares float64) {
	for _, x := range values {
		mean += x / float64(len(values))
	}
	for _, x := range values {
		sumOfSquares += (x - mean) * (x - mean)
	}
	return mean, sumOfSquares
}
