package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"spatsheet/calc/limits"
)

// VonBertalanffyFit is the curve L(t) = Linf (1 - exp(-K (t - t0))).
type VonBertalanffyFit struct {
	LargestLength Parameter // Linf, in the unit of the lengths
	Rate          Parameter // K, per unit of the ages
	// AgeAtZero is t0, in the unit of the ages: where the curve crosses length 0. HasAgeAtZero
	// is false when t0 was held at 0 and not fitted.
	AgeAtZero        Parameter
	HasAgeAtZero     bool
	ResidualSquares  float64 // in the squared unit of the lengths
	DegreesOfFreedom int
	FirstAge         float64 // youngest and oldest age fitted: the curve is untried outside
	LastAge          float64
}

// FitVonBertalanffy fits Linf, K and t0 to lengths at age.
//
// ages and lengths each in one unit, confidence such as 0.95; limits are Wald's with
// Student's t on n - 3 degrees of freedom.
// Range: four observations or more at three different ages at least, lengths 0 or more;
// otherwise an error that wraps limits.ErrRange or ErrTooFew. Lengths that don't bend
// towards a largest one determine no curve: the error then wraps ErrNoFit.
// Source: von Bertalanffy (1938), Human Biology 10:181 (from memory); unweighted least
// squares and limits as R 4.2.2 nls; Kimura (1980), Fishery Bulletin 77:765, for the check.
// Wald limits are too symmetric for Linf when few old animals were measured.
func FitVonBertalanffy(ages, lengths []float64, confidence float64) (VonBertalanffyFit, error) {
	return fitCurve(ages, lengths, confidence, growthCurve{parameters: 3})
}

// FitVonBertalanffyFromZero fits Linf and K, with length 0 at age 0.
//
// ages and lengths each in one unit, confidence such as 0.95; limits are Wald's with
// Student's t on n - 2 degrees of freedom. AgeAtZero is held at 0, HasAgeAtZero false.
// Range: three observations or more at two different ages at least, ages and lengths 0 or
// more; otherwise as FitVonBertalanffy.
// Source: as FitVonBertalanffy; the same curve is A (1 - exp(-k t)) of Bates and Watts
// (1988). For few ages, where t0 is not determined.
func FitVonBertalanffyFromZero(ages, lengths []float64, confidence float64) (VonBertalanffyFit, error) {
	if err := checkAll(ages, func(x float64) error { return limits.AtLeast("age", x, 0, "") }); err != nil {
		return VonBertalanffyFit{}, err
	}
	return fitCurve(ages, lengths, confidence, growthCurve{parameters: 2})
}

// LengthAt gives the fitted length at an age.
//
// age in the unit of the fit; the result in the unit of the lengths.
// Range: the youngest to the oldest age fitted, since the curve is untried outside;
// otherwise an error that wraps limits.ErrRange.
// Source: the curve itself.
func (f VonBertalanffyFit) LengthAt(age float64) (float64, error) {
	if err := limits.Between("age", age, f.FirstAge, f.LastAge, ""); err != nil {
		return 0, err
	}
	grown := -math.Expm1(-f.Rate.Estimate * (age - f.AgeAtZero.Estimate))
	return limits.Result("length", f.LargestLength.Estimate*grown)
}

const (
	// slowestRate and fastestRate (no unit, our choice) bound K x age span in the search.
	// At 0.001 the curve bends by 0.1 % over the ages, which no measurement shows; at 700
	// exp underflows before the second of ten ages.
	slowestRate = 0.001
	fastestRate = 700
	// rateSteps (number, our choice): the grid has 60 points per tenfold of K, fine enough
	// that one least sum lies between neighbours.
	rateSteps = 350
)

// growthCurve fits by splitting the problem: for a given K the curve is a straight line in
// exp(-K t), so only K is searched and no starting values are needed.
type growthCurve struct {
	parameters int // 3 with t0, 2 without
	ages       []float64
	lengths    []float64
	firstAge   float64
}

func fitCurve(ages, lengths []float64, confidence float64, curve growthCurve) (VonBertalanffyFit, error) {
	if err := checkSeries("ages", ages, lengths, curve.parameters+1, confidence); err != nil {
		return VonBertalanffyFit{}, err
	}
	if err := checkAll(lengths, func(x float64) error { return limits.AtLeast("length", x, 0, "") }); err != nil {
		return VonBertalanffyFit{}, err
	}
	first, last, different := spanOf(ages)
	if different < curve.parameters {
		return VonBertalanffyFit{}, fmt.Errorf("growth curve: %d different ages; give at least %d: %w", different, curve.parameters, ErrTooFew)
	}
	curve.ages, curve.lengths = ages, lengths
	if curve.parameters == 3 {
		curve.firstAge = first
	}
	rate, err := curve.bestRate(last - curve.firstAge)
	if err != nil {
		return VonBertalanffyFit{}, err
	}
	fit, err := curve.withErrors(rate, confidence)
	fit.FirstAge, fit.LastAge = first, last
	if err != nil {
		return VonBertalanffyFit{}, err
	}
	return fit, nil
}

func spanOf(ages []float64) (first, last float64, different int) {
	first, last = math.Inf(1), math.Inf(-1)
	seen := map[float64]bool{}
	for _, age := range ages {
		first, last = math.Min(first, age), math.Max(last, age)
		seen[age] = true
	}
	return first, last, len(seen)
}

// line fits length = start + gain (1 - exp(-rate (age - firstAge))) for a given rate; start
// is 0 when t0 is held.
func (c growthCurve) line(rate float64) (start, gain, residualSquares float64) {
	x := make([]float64, len(c.ages))
	xx, xy := 0.0, 0.0
	for i, age := range c.ages {
		x[i] = -math.Expm1(-rate * (age - c.firstAge))
		xx += x[i] * x[i]
		xy += x[i] * c.lengths[i]
	}
	if c.parameters == 3 {
		fit, err := fitLine(x, c.lengths)
		if err != nil {
			return 0, 0, math.Inf(1)
		}
		return fit.intercept, fit.slope, fit.residualSquares
	}
	gain = xy / xx
	for i := range x {
		residual := c.lengths[i] - gain*x[i]
		residualSquares += residual * residual
	}
	return 0, gain, residualSquares
}

// bestRate searches a grid of log K and then narrows down between the best neighbours.
func (c growthCurve) bestRate(span float64) (float64, error) {
	logLow, logHigh := math.Log(slowestRate/span), math.Log(fastestRate/span)
	if math.IsNaN(logLow+logHigh) || math.IsInf(logLow+logHigh, 0) {
		return 0, fmt.Errorf("growth curve: the span of the ages is out of range: %w", limits.ErrRange)
	}
	step := (logHigh - logLow) / rateSteps
	squares := make([]float64, rateSteps+1)
	best := 0
	for i := range squares {
		_, _, squares[i] = c.line(math.Exp(logLow + float64(i)*step))
		if squares[i] < squares[best] {
			best = i
		}
	}
	// What rounding alone leaves of the squares; a least sum within it of either end of the
	// search means that those rates fit as well.
	rounding := 1e-24 * sumOfSquares(c.lengths)
	if end := math.Min(squares[0], squares[rateSteps]); !(end > squares[best]+rounding) {
		return 0, fmt.Errorf("growth curve: the lengths don't bend gradually towards a largest length between the first and last age; measure more ages, or report growth per day: %w", ErrNoFit)
	}
	middle := logLow + float64(best)*step
	return math.Exp(c.goldenSection(middle-step, middle+step)), nil
}

func sumOfSquares(values []float64) (sum float64) {
	for _, x := range values {
		sum += x * x
	}
	return sum
}

// goldenSection narrows the least sum of squares down between two values of log K.
func (c growthCurve) goldenSection(low, high float64) float64 {
	shrink := (math.Sqrt(5) - 1) / 2
	squares := func(logRate float64) float64 {
		_, _, s := c.line(math.Exp(logRate))
		return s
	}
	left, right := high-shrink*(high-low), low+shrink*(high-low)
	atLeft, atRight := squares(left), squares(right)
	for range 80 { // 0.618^80 is below the last digit of a float64
		if atLeft < atRight {
			high, right, atRight = right, left, atLeft
			left = high - shrink*(high-low)
			atLeft = squares(left)
		} else {
			low, left, atLeft = left, right, atRight
			right = low + shrink*(high-low)
			atRight = squares(right)
		}
	}
	return (low + high) / 2
}

// withErrors turns the best K into Linf, K and t0 with Wald limits from the slopes of the
// curve at the solution.
func (c growthCurve) withErrors(rate, confidence float64) (VonBertalanffyFit, error) {
	start, gain, residualSquares := c.line(rate)
	largest := start + gain
	if !(gain > 0 && largest > 0) {
		return VonBertalanffyFit{}, fmt.Errorf("growth curve: the lengths shrink with age; check ages and lengths: %w", ErrNoFit)
	}
	ageAtZero := 0.0
	if c.parameters == 3 {
		// start = Linf (1 - exp(-K (firstAge - t0))), solved for t0.
		ageAtZero = c.firstAge + math.Log(gain/largest)/rate
	}
	degrees := len(c.ages) - c.parameters
	deviations, err := c.standardErrors(largest, rate, ageAtZero, residualSquares/float64(degrees))
	if err != nil {
		return VonBertalanffyFit{}, err
	}
	fit := VonBertalanffyFit{ResidualSquares: residualSquares, DegreesOfFreedom: degrees, HasAgeAtZero: c.parameters == 3}
	t := studentQuantile(confidence, degrees)
	if fit.LargestLength, err = wald("largest length", largest, deviations[0], t, confidence); err != nil {
		return VonBertalanffyFit{}, err
	}
	if fit.Rate, err = wald("growth rate", rate, deviations[1], t, confidence); err != nil {
		return VonBertalanffyFit{}, err
	}
	if fit.HasAgeAtZero {
		fit.AgeAtZero, err = wald("age at length 0", ageAtZero, deviations[2], t, confidence)
	}
	return fit, err
}

// standardErrors are the roots of the diagonal of s2 (J'J)^-1, J the derivatives of the
// curve by Linf, K and t0. Columns are scaled to length 1 before the inverse, so that its
// condition says how well the ages tell the parameters apart and not which units are used.
func (c growthCurve) standardErrors(largest, rate, ageAtZero, variance float64) ([]float64, error) {
	slopes := mat.NewDense(len(c.ages), c.parameters, nil)
	for i, age := range c.ages {
		decay := math.Exp(-rate * (age - ageAtZero))
		row := []float64{1 - decay, largest * (age - ageAtZero) * decay, -largest * rate * decay}
		slopes.SetRow(i, row[:c.parameters])
	}
	lengths := make([]float64, c.parameters)
	for j := range lengths {
		lengths[j] = mat.Norm(slopes.ColView(j), 2)
	}
	slopes.Apply(func(_, j int, x float64) float64 { return x / lengths[j] }, slopes)
	var product, inverse mat.Dense
	product.Mul(slopes.T(), slopes)
	if err := inverse.Inverse(&product); err != nil {
		return nil, fmt.Errorf("growth curve: the ages can't tell largest length and growth rate apart; measure more ages: %w", ErrNoFit)
	}
	deviations := make([]float64, c.parameters)
	for j := range deviations {
		deviations[j] = math.Sqrt(variance*inverse.At(j, j)) / lengths[j]
	}
	return deviations, nil
}
