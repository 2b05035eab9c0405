package stats

import (
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// ExponentialFit is a straight line through the logarithms of a row of counts.
type ExponentialFit struct {
	RatePerDay       Parameter // per day
	StartCount       float64   // fitted count at day 0, in the unit of the counts
	DegreesOfFreedom int
	ResidualSquares  float64 // of the natural logarithms
}

// FitExponential fits exponential growth to counts over several days.
//
// days from any start, counts in one unit, confidence such as 0.95; the rate is per day
// with Wald limits from Student's t on n - 2 degrees of freedom.
// Range: three counts or more, all above 0, at two different days at least; otherwise an
// error that wraps limits.ErrRange or ErrTooFew. A count of 0 has no logarithm: leave it
// out and say so.
// Source: least squares of ln N on t, as R 4.2.2 lm and confint. Every count weighs the
// same on the log scale, as suits an error that grows with the count. Two counts have no
// spread: calc/culture.SpecificGrowthRate takes them.
func FitExponential(days, counts []float64, confidence float64) (ExponentialFit, error) {
	if err := checkSeries("days", days, counts, 3, confidence); err != nil {
		return ExponentialFit{}, err
	}
	if err := checkAll(counts, func(x float64) error { return limits.Above("count", x, 0, "") }); err != nil {
		return ExponentialFit{}, err
	}
	logs := make([]float64, len(counts))
	for i, count := range counts {
		logs[i] = math.Log(count)
	}
	line, err := fitLine(days, logs)
	if err != nil {
		return ExponentialFit{}, err
	}
	degrees := len(days) - 2
	rate, err := wald("growth rate", line.slope, line.slopeError, studentQuantile(confidence, degrees), confidence)
	if err != nil {
		return ExponentialFit{}, err
	}
	start, err := limits.Result("fitted count at day 0", math.Exp(line.intercept))
	if err != nil {
		return ExponentialFit{}, err
	}
	return ExponentialFit{RatePerDay: rate, StartCount: start, DegreesOfFreedom: degrees, ResidualSquares: line.residualSquares}, nil
}

// line is a least squares line y = intercept + slope x.
type line struct {
	slope, intercept, slopeError, residualSquares float64
}

// fitLine needs three points or more; the error of the slope has n - 2 degrees of freedom.
func fitLine(x, y []float64) (line, error) {
	meanX, squaresX := momentsAbout(x)
	meanY, _ := momentsAbout(y)
	if squaresX == 0 {
		return line{}, fmt.Errorf("line: all observations share one time or temperature; take at least two different ones: %w", ErrTooFew)
	}
	products := 0.0
	for i := range x {
		products += (x[i] - meanX) * (y[i] - meanY)
	}
	fit := line{slope: products / squaresX}
	fit.intercept = meanY - fit.slope*meanX
	for i := range x {
		residual := (y[i] - meanY) - fit.slope*(x[i]-meanX)
		fit.residualSquares += residual * residual
	}
	fit.slopeError = math.Sqrt(fit.residualSquares / float64(len(x)-2) / squaresX)
	return fit, nil
}

// checkSeries refuses two rows that don't pair up, are too short, or aren't finite.
func checkSeries(axis string, x, y []float64, least int, confidence float64) error {
	if err := checkConfidence(confidence); err != nil {
		return err
	}
	if len(x) != len(y) {
		return fmt.Errorf("fit: %d %s but %d observations; give one for each: %w", len(x), axis, len(y), limits.ErrRange)
	}
	if len(x) < least {
		return fmt.Errorf("fit: %d observations; give at least %d: %w", len(x), least, ErrTooFew)
	}
	for _, row := range [][]float64{x, y} {
		if err := checkAll(row, func(value float64) error { return limits.Finite("observation", value, "") }); err != nil {
			return err
		}
	}
	return nil
}
