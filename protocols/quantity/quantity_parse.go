package quantity

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// numberForm is a number with a decimal point and, only when digits follow, an exponent.
var numberForm = regexp.MustCompile(`^[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`)

// blanks are the blanks that may stand between number and unit, or round the whole.
const blanks = " \t\u00a0\u202f\u2009"

// Parse reads a quantity: "1.5 L", "250 µL", "3 larvae/mL", "1e5 cells/mL", "70 %", "12".
//
// The number has a decimal point and nothing between its digits, and may have a power of
// ten as sheets print it, 4.8 × 10⁷ or 4.8x10^7; the unit is what ParseUnit
// reads. Range: a comma, a blank inside the number, or no number at all is refused with
// ErrNumber and a remedy; an unknown unit with ErrUnit; a value that cannot be held, as in New.
// Source: none needed.
func Parse(s string) (Quantity, error) {
	text := strings.Trim(strings.Replace(s, "−", "-", 1), blanks)
	if text == "" {
		return Quantity{}, badNumber("no quantity given; write a number and a unit, such as 1.5 L")
	}
	number := numberForm.FindString(text)
	if number == "" {
		return Quantity{}, badNumber("%s does not start with a number; write a number and a unit, such as 1.5 L", quoted(s))
	}
	rest := text[len(number):]
	if before, exponent, after, ok := PowerOfTen(text, len(number)); ok {
		number, rest = before+exponent, after
	}
	if err := numberEnds(s, rest); err != nil {
		return Quantity{}, err
	}
	value, err := parseNumber(number)
	if err != nil {
		return Quantity{}, err
	}
	u, err := ParseUnit(strings.Trim(rest, blanks))
	if err != nil {
		return Quantity{}, err
	}
	return New(value, u)
}

// numberEnds refuses what looks like more of the number in the rest of the text.
func numberEnds(s, rest string) error {
	inner := strings.TrimLeft(rest, blanks)
	switch {
	case strings.HasPrefix(rest, ","):
		return badNumber("%s: a comma in a number can be read in two ways; write 1.5 for one and a half, 1500 for fifteen hundred", quoted(s))
	case strings.HasPrefix(rest, ".") || strings.HasPrefix(rest, "'") || strings.HasPrefix(rest, "_"):
		return badNumber("%s: the number cannot be read; write digits with at most one decimal point, such as 1500 or 1.5", quoted(s))
	case inner != "" && inner[0] >= '0' && inner[0] <= '9' && !strings.HasPrefix(inner, "1/"):
		return badNumber("%s: there is a blank inside the number; write the digits together, such as 1200000", quoted(s))
	}
	return nil
}

// parseNumber turns the digits into a value, refusing one that float64 cannot hold.
func parseNumber(number string) (float64, error) {
	value, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsInf(value, 0) {
		return 0, badNumber("the number %s is too large; use a larger unit", clip(number))
	}
	mantissa, _, _ := strings.Cut(strings.ToLower(number), "e")
	if value == 0 && strings.ContainsAny(mantissa, "123456789") {
		return 0, badNumber("the number %s is too small; use a smaller unit", clip(number))
	}
	return value, nil
}
