package quantity

import (
	"strconv"
	"strings"
)

// respelled brings other ways to type a sign to the one used here.
var respelled = strings.NewReplacer(
	"μ", "µ", // Greek mu (U+03BC) for the micro sign (U+00B5)
	"º", "°", "℃", "°C",
	"⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9",
	"·", ".", "⋅", ".", "*", ".",
)

// ParseUnit reads a unit: "mL", "larvae/mL", "µmol/m2/s", "%", "°C", "L/beaker", "1/plate".
//
// Factors are joined by "." and every divisor has a "/" of its own; "1" and "" are the pure
// number. °C alone is a temperature; inside a compound, such as °C/h, it is a difference.
// Case matters, save that l is read as L. Range: anything else is refused with ErrUnit and,
// where there is one, the nearest unit. Source: Schadow and McDonald, UCUM, for the form.
func ParseUnit(s string) (Unit, error) {
	text := respelled.Replace(strings.TrimSpace(s))
	if text == "" || text == "1" {
		return Unit{}, nil
	}
	if under, ok := strings.CutPrefix(text, "per "); ok {
		text = "1/" + under
	}
	if remedy, ok := refusedUnits[text]; ok {
		return Unit{}, badUnit("unknown unit %q; %s", clip(s), remedy)
	}
	factors, err := parseFactors(text)
	if err != nil {
		return Unit{}, err
	}
	u, err := newUnit(factors)
	if err != nil {
		return Unit{}, badUnit("unit %q: %v", clip(s), err)
	}
	return u, nil
}

// MustUnit is ParseUnit for units known when the program is written; it panics on others.
//
// Range: whatever ParseUnit reads. Source: none needed.
func MustUnit(s string) Unit {
	u, err := ParseUnit(s)
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return u
}

// parseFactors reads the parts between the slashes; only the first may be 1 or a product.
func parseFactors(text string) ([]factor, error) {
	parts := strings.Split(text, "/")
	var factors []factor
	if strings.TrimSpace(parts[0]) != "1" {
		for _, p := range strings.Split(parts[0], ".") {
			f, err := parseFactor(p, text)
			if err != nil {
				return nil, err
			}
			factors = append(factors, f)
		}
	}
	for _, p := range parts[1:] {
		if strings.Contains(p, ".") {
			return nil, badUnit("unit %q: a product after a slash can be read in two ways; give each divisor its own slash, as in cells/larva/d", clip(text))
		}
		f, err := parseFactor(p, text)
		if err != nil {
			return nil, err
		}
		f.power = -f.power
		factors = append(factors, f)
	}
	if len(factors) != 1 || factors[0].power != 1 {
		asDifferences(factors)
	}
	return factors, nil
}

// asDifferences makes °C inside a compound unit a temperature difference.
func asDifferences(factors []factor) {
	for i := range factors {
		if factors[i].atom == celsiusPoint {
			factors[i].atom = celsiusDifference
		}
	}
}

// parseFactor reads one atom with its power; whole is the unit it stands in, for the error.
func parseFactor(part, whole string) (factor, error) {
	part = strings.TrimSpace(part)
	name := strings.TrimRight(part, "0123456789")
	power := 1
	if digits := part[len(name):]; digits != "" {
		n, err := strconv.Atoi(digits)
		if err != nil || n < 1 || n > largestPower || digits[0] == '0' {
			return factor{}, badUnit("unit %q: the power %s must be a whole number from 1 to %d", clip(whole), clip(digits), largestPower)
		}
		name, power = strings.TrimSuffix(name, "^"), n
	}
	if a, ok := spellings[name]; ok {
		return factor{a, int8(power)}, nil
	}
	return factor{}, unknownUnit(name, whole)
}
