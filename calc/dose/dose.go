// Package dose holds the arithmetic of putting something into water and getting it out
// again: dilutions, reagents weighed or poured for a dose, chlorine and its neutraliser,
// rinses, drip acclimation, and ultraviolet light.
//
// What may enter: calculations on plain numbers, each with its units, range and source.
// What may not: which dose an animal should get (that is the protocol's, with its source),
// stock lots, vessels, files, dates, printing. It imports calc/limits and nothing else of
// ours.
//
// A result here is arithmetic, not leave to use a substance: licences, discharge rules and
// the safety sheet of the product come first.
package dose

import (
	"fmt"

	"spatsheet/calc/limits"
)

// partOfOne refuses a part of one that is not above 0 and at most 1, so that a percent
// typed for a fraction (50 for 0.5) does not pass.
func partOfOne(argument string, value float64) error {
	if value > 0 && value <= 1 {
		return nil
	}
	return &limits.Error{Argument: argument, Value: value, Low: 0, High: 1, OpenLow: true}
}

// aboveUpTo refuses a value that is not above 0 and at most high.
func aboveUpTo(argument string, value, high float64, unit string) error {
	if value > 0 && value <= high {
		return nil
	}
	return &limits.Error{Argument: argument, Value: value, Low: 0, High: high, OpenLow: true, Unit: unit}
}

// strongerThanStock refuses a wanted strength above the stock's, which no dilution reaches.
func strongerThanStock(argument string, wanted, stock float64, unit string) error {
	if wanted <= stock {
		return nil
	}
	return fmt.Errorf("%s: %g%s is stronger than the stock of %g%s; take a stronger stock or want less: %w",
		argument, wanted, unit, stock, unit, limits.ErrRange)
}
