package quantity

import "slices"

// Dimension says what kind of thing a quantity is, as whole powers of the base kinds.
// Two dimensions are the same exactly when == holds.
type Dimension struct {
	powers [kindCount]int8
	point  bool // a point on the temperature scale, not a difference
}

// None is the dimension of a pure number.
var None Dimension

// largestPower is the largest power of a base kind that is kept. Arithmetic; far above
// any use (energy needs 3), and two digits keep units readable.
const largestPower = 99

// temperaturePoint is the dimension of a reading in °C.
var temperaturePoint = Dimension{powers: of(temperature, 1).powers, point: true}

func of(k kind, power int8) Dimension {
	var d Dimension
	d.powers[k] = power
	return d
}

// difference gives the dimension of a difference of two values of dimension d.
func (d Dimension) difference() Dimension {
	d.point = false
	return d
}

// CountDimension gives the dimension of a counted thing.
//
// thing in singular or plural ("larva" or "larvae"); the second result is false when it is
// not a thing this package counts. Range: any string. Source: common practice, no source.
func CountDimension(thing string) (Dimension, bool) {
	for i, c := range countedThings {
		if thing == c.one || thing == c.many || slices.Contains(c.also, thing) {
			return of(firstCounted+i, 1), true
		}
	}
	return None, false
}

// CountOf gives the singular of the thing that d counts, such as "egg".
//
// ok is false unless d is exactly a count of one thing: "cell count per volume" is none.
// Range: any dimension. Source: none needed.
func (d Dimension) CountOf() (thing string, ok bool) {
	for i, c := range countedThings {
		if d == of(firstCounted+i, 1) {
			return c.one, true
		}
	}
	return "", false
}

// Plus gives the dimension of a sum.
//
// The result is d itself, save that a temperature and a temperature difference, in either
// order, make a temperature. Range: unlike dimensions and two temperatures are refused with
// ErrDimension. Source: arithmetic.
func (d Dimension) Plus(e Dimension) (Dimension, error) {
	switch {
	case d.point && e.point:
		return None, refuse("cannot add two temperatures; add a temperature difference in K instead")
	case d.difference() != e.difference():
		return None, refuse("cannot add %s and %s", d, e)
	case e.point:
		return e, nil
	}
	return d, nil
}

// Minus gives the dimension of d minus e.
//
// Two temperatures make a temperature difference; a temperature less a difference is a
// temperature. Range: unlike dimensions, and a difference less a temperature, are refused
// with ErrDimension. Source: arithmetic.
func (d Dimension) Minus(e Dimension) (Dimension, error) {
	switch {
	case d.difference() != e.difference() || e.point && !d.point:
		return None, refuse("cannot subtract %s from %s", e, d)
	case e.point:
		return d.difference(), nil
	}
	return d, nil
}

// Times gives the dimension of a product.
//
// Range: temperatures (points), and powers beyond 99, are refused with ErrDimension.
// Source: arithmetic; a temperature in °C has no natural zero, so no multiple.
func (d Dimension) Times(e Dimension) (Dimension, error) {
	if d.point || e.point {
		return None, refuse("cannot multiply a temperature; use a temperature difference in K")
	}
	return d.plusPowers(e, 1)
}

// Over gives the dimension of d divided by e.
//
// Range: as for Times. Source: arithmetic.
func (d Dimension) Over(e Dimension) (Dimension, error) {
	if d.point || e.point {
		return None, refuse("cannot divide with a temperature; use a temperature difference in K")
	}
	return d.plusPowers(e, -1)
}

// Power gives the dimension of d multiplied n times by itself; n may be zero or negative.
//
// Range: as for Times. Source: arithmetic.
func (d Dimension) Power(n int) (Dimension, error) {
	if d.point {
		return None, refuse("cannot raise a temperature to a power; use a temperature difference in K")
	}
	if n < -largestPower || n > largestPower {
		if d == None {
			return None, nil
		}
		return None, tooLarge()
	}
	return None.plusPowers(d, n)
}

// plusPowers adds factor times the powers of e to those of d.
func (d Dimension) plusPowers(e Dimension, factor int) (Dimension, error) {
	for k := range d.powers {
		p := int(d.powers[k]) + factor*int(e.powers[k])
		if p < -largestPower || p > largestPower {
			return None, tooLarge()
		}
		d.powers[k] = int8(p)
	}
	return d, nil
}

func tooLarge() error {
	return refuse("the result has a power beyond %d; check the formula", largestPower)
}

// Comparable refuses to compare unlike dimensions: "cannot compare volume and cell count".
//
// Range: nil when d and e are the same, ErrDimension otherwise; a temperature and a
// temperature difference are not the same. Source: none needed.
func (d Dimension) Comparable(e Dimension) error {
	if d != e {
		return refuse("cannot compare %s and %s", d, e)
	}
	return nil
}
