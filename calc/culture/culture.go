// Package culture holds the arithmetic of growing microalgae, above all the benthic
// diatoms that limpet larvae settle on: the f/2 medium, inocula, growth in time, feeding
// by cell count, films on plates, and the serial scale-up from a flask to a tank.
//
// What may enter: calculations on plain numbers, each with its units, range and source.
// What may not: strains, vessels or plates as the site knows them, files, dates, printing.
// It imports calc/limits and nothing else of ours.
package culture

import (
	"math"

	"spatsheet/calc/limits"
)

// share refuses a part of one that is not above 0 and at most 1, so that a percent typed
// for a fraction (50 for 0.5) does not pass.
func share(argument string, value float64) error {
	if value > 0 && value <= 1 {
		return nil
	}
	return &limits.Error{Argument: argument, Value: value, Low: 0, High: 1, OpenLow: true}
}

// wholeUp rounds up to a whole number. A value that lies above one by no more than the
// dust of floating-point arithmetic, 1e-9 of itself, counts as that whole number.
func wholeUp(x float64) float64 {
	return math.Ceil(x - 1e-9*math.Max(1, math.Abs(x)))
}
