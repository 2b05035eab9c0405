package quantity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
)

// ErrRange is wrapped by the error of a value that cannot be a quantity: no finite number,
// or a temperature below absolute zero.
var ErrRange = errors.New("out of range")

// absoluteZeroC is 0 K in °C. Source: SI Brochure, from memory; exact by definition.
const absoluteZeroC = -273.15

// Quantity is a finite number with its unit. The zero Quantity is the pure number 0. ==
// compares number and unit as written; use Compare to compare 1 L with 1000 mL.
type Quantity struct {
	value float64
	unit  Unit
}

// New makes a quantity of a value in the unit u.
//
// Range: NaN, infinities, and temperatures below -273.15 °C are refused with an error that
// wraps ErrRange; so is a value whose base value is too large to hold. Source: none needed.
func New(value float64, u Unit) (Quantity, error) {
	if u.isPoint() {
		if !(value >= absoluteZeroC) || math.IsInf(value, 0) {
			return Quantity{}, fmt.Errorf("temperature: %s °C is %w; it must be at least %g °C", shortest(value), ErrRange, absoluteZeroC)
		}
	}
	if math.IsNaN(value) || math.IsInf(value, 0) { // the unit is written for the error only
		return Quantity{}, fmt.Errorf("value: %s %s is %w; it must be a finite number", shortest(value), u.Print(), ErrRange)
	}
	base := u.Base(value)
	if math.IsInf(base, 0) || base == 0 && value != 0 {
		return Quantity{}, badNumber("%s %s is too large or too small to compute with", shortest(value), u.Symbol())
	}
	return Quantity{value + 0, u}, nil // + 0 makes -0 plain 0
}

// FromBase makes a quantity in u from a value in base units (see Unit.Base).
//
// Range: as for New. Source: arithmetic.
func FromBase(base float64, u Unit) (Quantity, error) {
	value := u.FromBase(base)
	if value == 0 && base != 0 {
		return Quantity{}, badNumber("%s base units are too little to write in %s", shortest(base), u.Symbol())
	}
	return New(value, u)
}

// Value gives the number, in the quantity's own unit. Range: always finite. Source: none needed.
func (q Quantity) Value() float64 { return q.value }

// Unit gives the unit. Range: any unit. Source: none needed.
func (q Quantity) Unit() Unit { return q.unit }

// Base gives the value in base units; see Unit.Base. Range: always finite. Source: arithmetic.
func (q Quantity) Base() float64 { return q.unit.Base(q.value) }

// Dimension says what kind of thing it is. Range: any. Source: none needed.
func (q Quantity) Dimension() Dimension { return q.unit.Dimension() }

// In gives the same quantity in the unit u.
//
// Range: another dimension is refused with ErrDimension, "cannot turn 2 L (volume) into
// cells (cell count)"; a number too large or too small to hold, as in New. Source: arithmetic.
func (q Quantity) In(u Unit) (Quantity, error) {
	if q.unit == u {
		return q, nil
	}
	if q.Dimension() != u.Dimension() {
		return Quantity{}, refuse("cannot turn %s (%s) into %s", q, q.Dimension(), unitWords(u))
	}
	value := q.unit.scale().times(u.scale().inverse()).of(q.value)
	if value == 0 && q.value != 0 {
		return Quantity{}, badNumber("%s is too little to write in %s", q, u.Symbol())
	}
	return New(value, u)
}

func unitWords(u Unit) string {
	if u == (Unit{}) {
		return "a pure number"
	}
	return u.Symbol() + " (" + u.Dimension().String() + ")"
}

// Compare gives -1, 0 or 1 as q is less than, equal to or greater than r.
//
// Range: unlike dimensions are refused with ErrDimension. Source: arithmetic.
func (q Quantity) Compare(r Quantity) (int, error) {
	if err := q.Dimension().Comparable(r.Dimension()); err != nil {
		return 0, refuse("cannot compare %s and %s: %s and %s", q, r, q.Dimension(), r.Dimension())
	}
	if q.unit == r.unit {
		return cmp.Compare(q.value, r.value), nil
	}
	return cmp.Compare(q.Base(), r.Base()), nil
}
