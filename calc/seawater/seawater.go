// Package seawater holds what a hatchery has to know about its water: density, salinity
// and how to reach a wanted one, dissolved oxygen, and the poisonous share of ammonia.
//
// What may enter: published equations for seawater at the surface (sea pressure 0, one
// atmosphere unless a barometer reading is an argument), plain numbers in and out.
// What may not: tanks, batches, vessels, protocols; limits a site sets for itself; files,
// clocks, and any import of ours but calc/limits.
//
// Salinity is practical salinity (PSS-78, no unit) unless a name says absolute (g/kg).
// Temperature is in °C on ITS-90; the equations fitted on the older IPTS-68 convert it
// inside. The difference between the two scales is 0.024 % of the reading: 0.005 °C at 20 °C.
//
// ErrRange in the comments is limits.ErrRange; NaN and the infinities give it too.
package seawater

import "spatsheet/calc/limits"

const (
	// maxSalinity is the upper end of practical salinity, no unit, exact by convention:
	// PSS-78, EOS-80 and Garcia and Gordon (1992) all end at 42.
	maxSalinity = 42.0
	// minTempC and maxTempC bound the temperature, °C, exact by convention: the range of
	// EOS-80 and of Clegg and Whitfield (1995); TEOS-10 at one atmosphere covers it.
	minTempC, maxTempC = -2.0, 40.0
	// ipts68PerITS90 turns °C on ITS-90 into °C on IPTS-68, no unit, a conversion agreed
	// for oceanography. Source: Saunders (1990), WOCE Newsletter 10; used by TEOS-10.
	ipts68PerITS90 = 1.00024
	// zeroCelsiusK is 0 °C in K, exact. Source: definition of the Celsius scale.
	zeroCelsiusK = 273.15
	// bisections halve an interval this often: 2 to the 60th is below what a float64 can
	// tell apart. Arithmetic.
	bisections = 60
)

// checkSalinityAndTemp refuses what the equations of this package do not cover.
func checkSalinityAndTemp(practicalSalinity, maxPracticalSalinity, tempC float64) error {
	if err := limits.Between("practical salinity", practicalSalinity, 0, maxPracticalSalinity, ""); err != nil {
		return err
	}
	return limits.Between("temperature", tempC, minTempC, maxTempC, "°C")
}

// polynomial is c[0] + c[1] x + c[2] x² + ..., by Horner's rule.
func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// bisect returns the x between low and high where the rising function f reaches target.
// The caller has seen to it that f(low) <= target <= f(high).
func bisect(f func(float64) float64, target, low, high float64) float64 {
	for range bisections {
		middle := (low + high) / 2
		if f(middle) < target {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}
