// Package limits holds the one range check that every calculation of the trade makes
// before it computes: is the argument a finite number, and does it lie where the
// published equation holds?
//
// What may enter: checks on plain numbers and the error they give. What may not: any
// knowledge of what the numbers mean; that stays with the package that asks.
package limits

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

// ErrRange is wrapped by every error of this package, so that a caller can tell
// "outside the valid range" from other faults with errors.Is.
var ErrRange = errors.New("out of range")

// Error says which argument lies outside which limits.
type Error struct {
	Argument string  // the argument's name in words, such as "practical salinity"
	Value    float64 // what was given; may be NaN or infinite
	Low      float64 // least value allowed; -Inf where there is none
	High     float64 // greatest value allowed; +Inf where there is none
	OpenLow  bool    // Low itself is not allowed
	OpenHigh bool    // High itself is not allowed
	Unit     string  // printed after the limits; empty for a pure number
}

// Error prints argument, value and limits, such as
// "temperature: 60 °C is out of range; it must lie from -2 to 40 °C".
func (e *Error) Error() string {
	unit := ""
	if e.Unit != "" {
		unit = " " + e.Unit
	}
	return fmt.Sprintf("%s: %s%s is out of range; it must %s", e.Argument, number(e.Value), unit, e.limits(unit))
}

func (e *Error) limits(unit string) string {
	noLow, noHigh := math.IsInf(e.Low, -1), math.IsInf(e.High, 1)
	above, below := "at least ", "at most "
	if e.OpenLow {
		above = "above "
	}
	if e.OpenHigh {
		below = "below "
	}
	switch {
	case noLow && noHigh:
		return "be a finite number"
	case noHigh:
		return "be " + above + number(e.Low) + unit
	case noLow:
		return "be " + below + number(e.High) + unit
	case e.OpenLow || e.OpenHigh:
		return "be " + above + number(e.Low) + " and " + below + number(e.High) + unit
	}
	return "lie from " + number(e.Low) + " to " + number(e.High) + unit
}

// Unwrap makes errors.Is(err, ErrRange) hold.
func (e *Error) Unwrap() error { return ErrRange }

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// Between refuses a value that is not finite or lies outside low..high, both included.
//
// argument names the value in words; unit is printed and may be empty; low or high may
// be infinite where there is no limit. The error is an *Error. Source: none needed.
func Between(argument string, value, low, high float64, unit string) error {
	if isFinite(value) && value >= low && value <= high {
		return nil
	}
	return &Error{Argument: argument, Value: value, Low: low, High: high, Unit: unit}
}

// Above refuses a value that is not finite or not greater than low.
//
// Arguments and error as in Between. Source: none needed.
func Above(argument string, value, low float64, unit string) error {
	if isFinite(value) && value > low {
		return nil
	}
	return &Error{Argument: argument, Value: value, Low: low, High: math.Inf(1), OpenLow: true, Unit: unit}
}

// AtLeast refuses a value that is not finite or less than low.
//
// Arguments and error as in Between. Source: none needed.
func AtLeast(argument string, value, low float64, unit string) error {
	return Between(argument, value, low, math.Inf(1), unit)
}

// Finite refuses NaN and the infinities.
//
// Arguments and error as in Between. Source: none needed.
func Finite(argument string, value float64, unit string) error {
	return Between(argument, value, math.Inf(-1), math.Inf(1), unit)
}

// Inside refuses a value that is not finite or does not lie strictly between low and high.
//
// Arguments and error as in Between. Source: none needed.
func Inside(argument string, value, low, high float64, unit string) error {
	if isFinite(value) && value > low && value < high {
		return nil
	}
	return &Error{Argument: argument, Value: value, Low: low, High: high, OpenLow: true, OpenHigh: true, Unit: unit}
}

// Result passes a computed value on unless it is NaN or infinite, which becomes an error:
// no calculation returns a number that is none.
//
// what names the result in words. Source: none needed.
func Result(what string, value float64) (float64, error) {
	if !isFinite(value) {
		return 0, fmt.Errorf("%s cannot be computed from these values (the result is %s): %w", what, number(value), ErrRange)
	}
	return value, nil
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
