package quantity

import (
	"math"
	"strconv"
	"strings"
)

// narrowBlank groups digits by three: a narrow blank that doesn't break (U+202F).
const narrowBlank = "\u202f"

// String gives the exact shortest form, which Parse reads back to the same quantity:
// "250 µL", "1 egg", "2 eggs", "1200000 eggs".
//
// Range: any quantity. Source: none needed.
func (q Quantity) String() string {
	return beside(shortest(q.value), q.unit.forValue(q.value == 1, plain))
}

// Format gives the form for print, to so many significant figures: "1 200 000 eggs".
//
// figures as in FormatNumber. Counted things follow the printed number: 1 egg, 2 eggs.
// Range: any quantity. Source: common practice, no source.
func (q Quantity) Format(figures int) string {
	number := FormatNumber(q.value, figures)
	return beside(number, q.unit.forValue(number == "1", typographic))
}

func beside(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + " " + unit
}

// FormatNumber writes x to so many significant figures, without zeros at the end of the
// decimals; from 10,000 on digits stand in threes with a narrow blank (U+202F) between.
//
// figures 0 (or less) writes the shortest exact form. An exponent appears only below 1e-4
// and above 1e9. Range: NaN and infinities are written in words. Source: SI Brochure, 9th
// edition, section 5.4.4, for the blank, from memory.
func FormatNumber(x float64, figures int) string {
	switch {
	case math.IsNaN(x):
		return "not a number"
	case math.IsInf(x, 0):
		return "infinite"
	case x == 0:
		return "0"
	}
	if figures > 0 { // rounding first: 9999.6 to four figures is 10 000
		rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', figures-1, 64), 64)
		if err == nil { // the largest float64 cannot be rounded up
			x = rounded
		}
	}
	if math.Abs(x) < 1e-4 || math.Abs(x) > 1e9 {
		return exponential(x)
	}
	return grouped(strconv.FormatFloat(x, 'f', -1, 64))
}

// FormatRange writes the limits of a range: "0 to 1 000 000".
//
// low and high as x of FormatNumber, in the shortest exact form. Range: any numbers.
// Source: none needed.
func FormatRange(low, high float64) string {
	return FormatNumber(low, 0) + " to " + FormatNumber(high, 0)
}

// grouped puts narrow blanks into a whole part of five digits or more.
func grouped(number string) string {
	whole, decimals, hasDecimals := strings.Cut(number, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	if len(whole) > 4 {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + narrowBlank + whole[i:]
		}
	}
	if hasDecimals {
		whole += "." + decimals
	}
	return sign + whole
}

// shortest writes x exactly in the fewest digits, with an exponent only where plain digits
// would be a long row of zeros.
func shortest(x float64) string {
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e15) {
		return exponential(x)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// exponential writes 1.5e10 and 2e-7, without the plus sign and zeros that Go adds.
func exponential(x float64) string {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	n, err := strconv.Atoi(exponent)
	if err != nil {
		return mantissa + exponent // NaN and Inf have no exponent
	}
	return mantissa + "e" + strconv.Itoa(n)
}
