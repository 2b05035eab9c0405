package quantity

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// mostFactors is how many factors a unit can have. Our choice: µmol/m2/s needs three.
const mostFactors = 8

// factor is an atom (a position in atoms) raised to a power; below the line it is negative.
type factor struct {
	atom  uint8
	power int8
}

// Unit is a unit of measure or count, such as mL, larvae/mL or µmol/m2/s. The zero Unit is
// that of a pure number. Two units are the same exactly when == holds; "mL" and "cm3" are
// not the same, though they measure alike.
type Unit struct {
	factors [mostFactors]factor // those in use first, then zeros
}

func sign(f factor) int { return cmp.Compare(f.power, 0) }

// used lists the factors in use.
func (u *Unit) used() []factor {
	n := 0
	for n < mostFactors && u.factors[n].atom != 0 {
		n++
	}
	return u.factors[:n]
}

// newUnit keeps the factors, those above the line first as they are printed, if they are
// few enough and their scale and powers can be held.
func newUnit(factors []factor) (Unit, error) {
	var u Unit
	if len(factors) > mostFactors {
		return u, refuse("a unit of %d factors is not supported; %d are the most", len(factors), mostFactors)
	}
	copy(u.factors[:], factors)
	slices.SortStableFunc(u.used(), func(f, g factor) int { return cmp.Compare(sign(g), sign(f)) })
	dim := None
	for _, f := range factors {
		power := None
		var err error
		if f != (factor{celsiusPoint, 1}) || len(factors) > 1 {
			power, err = atoms[f.atom].dim.difference().Power(int(f.power))
		}
		if err == nil {
			dim, err = dim.Times(power)
		}
		if err != nil {
			return Unit{}, err
		}
	}
	if !u.scale().usable() {
		return Unit{}, refuse("the scale of the unit %s is too large or too small to hold; use smaller powers", u.Symbol())
	}
	return u, nil
}

// Dimension says what kind of thing the unit measures.
//
// Range: any unit. Source: arithmetic.
func (u Unit) Dimension() Dimension {
	if u.isPoint() {
		return temperaturePoint
	}
	d := None
	for _, f := range u.used() {
		for k, p := range atoms[f.atom].dim.powers {
			d.powers[k] += p * f.power
		}
	}
	return d
}

// isPoint says whether u is °C as a point on the temperature scale.
func (u Unit) isPoint() bool { return u.factors[0].atom == celsiusPoint }

// scale gives the base units in one u.
func (u Unit) scale() ratio {
	if u.factors[1].atom == 0 && u.factors[0].power == 1 { // most units are one atom
		return atomScales[u.factors[0].atom]
	}
	r := one
	for _, f := range u.used() {
		r = r.times(atoms[f.atom].scale.power(int(f.power)))
	}
	return r
}

// atomScales are the scales of the atoms, reduced.
var atomScales = func() []ratio {
	out := make([]ratio, len(atoms))
	for i, a := range atoms {
		out[i] = a.scale.reduced()
	}
	return out
}()

// Base turns a value in u into base units (L, g, h, mol, A, K, one; °C for a temperature).
//
// Range: any value; NaN and infinities pass through, and a value near the largest float64
// may become infinite: New and FromBase refuse those. Source: arithmetic.
func (u Unit) Base(value float64) float64 { return u.scale().of(value) }

// FromBase turns a value in base units into one in u.
//
// Range: as for Base. Source: arithmetic.
func (u Unit) FromBase(base float64) float64 { return u.scale().inverse().of(base) }

// Symbol gives the plain form that ParseUnit reads: "mL", "larvae/mL", "cells/cm2"; counted
// things are plural above the line and singular below; empty for a pure number.
//
// Range: any unit. Source: common practice, no source.
func (u Unit) Symbol() string { return u.written(plain, true) }

// Print gives the typographic form: "cm²", "µmol/m²/s", "larvae/mL", "per d".
//
// Range: any unit. Source: SI Brochure, 9th edition, section 5.4, from memory.
func (u Unit) Print() string { return u.written(typographic, true) }

// UCUM gives the code of the Unified Code for Units of Measure: "mL", "{larva}/mL", "Cel".
//
// Range: any unit. A salinity is the annotation {PSU}, since UCUM has no code for it.
// Source: Schadow and McDonald, The Unified Code for Units of Measure.
func (u Unit) UCUM() string {
	if u == (Unit{}) {
		return "1"
	}
	return u.written(coded, false)
}

// forValue gives the form of a unit beside a value: "egg" beside 1, else as Symbol or Print.
func (u Unit) forValue(single bool, form form) string {
	simple := u.factors[1].atom == 0
	return u.written(form, !(single && simple))
}

// form is how factors are written: plain for ParseUnit, typographic or coded (UCUM).
type form struct {
	// factor writes an atom to a power of 1 or more; joint stands between its repeats
	// where the form has no powers for it.
	factor  func(a uint8, power int, many, alone bool, joint string) string
	product string // between factors above the line
	nothing string // stands for "no factor above the line", slash included
}

var (
	plain       = form{plainFactor, ".", "1/"}
	typographic = form{printFactor, "·", "per "}
	coded       = form{codeFactor, ".", "1/"}
)

// written puts the factors above the line first, then each divisor behind its own slash.
func (u Unit) written(form form, many bool) string {
	var over, under []string
	used := u.used()
	for _, f := range used {
		n := int(f.power)
		if n > 0 {
			alone := len(used) == 1 && n == 1
			over = append(over, form.factor(f.atom, n, many, alone, form.product))
		} else {
			under = append(under, form.factor(f.atom, -n, false, false, "/"))
		}
	}
	text := strings.Join(over, form.product)
	if len(under) == 0 {
		return text
	}
	if text == "" {
		return form.nothing + strings.Join(under, "/")
	}
	return text + "/" + strings.Join(under, "/")
}

func plainFactor(a uint8, power int, many, alone bool, _ string) string {
	symbol := atoms[a].symbol
	switch {
	case a == celsiusDifference && !alone:
		symbol = "°C"
	case many && atoms[a].many != "":
		symbol = atoms[a].many
	}
	return symbol + powerDigits(power)
}

func printFactor(a uint8, power int, many, alone bool, joint string) string {
	return plainFactor(a, 1, many, alone, joint) + superscripts.Replace(powerDigits(power))
}

// codeFactor repeats annotations and bracketed terms, since UCUM gives them no powers.
func codeFactor(a uint8, power int, _, alone bool, joint string) string {
	code := atoms[a].ucum
	if alone {
		return code
	}
	term := strings.ContainsAny(code, "./")
	if term {
		code = "(" + code + ")"
	}
	if term || code[0] == '{' {
		return strings.Repeat(code+joint, power-1) + code
	}
	return code + powerDigits(power)
}

func powerDigits(n int) string {
	if n == 1 {
		return ""
	}
	return strconv.Itoa(n)
}

var superscripts = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
	"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")
