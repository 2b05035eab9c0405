package check

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"spatsheet/protocols/quantity"
)

// leadingNumber splits "3,5 mL" into the number as typed and the unit.
var leadingNumber = regexp.MustCompile(`^([+\-−]?[0-9][0-9.,'’ \x{00a0}\x{2009}\x{202f}]*(?:[eE][+\-]?[0-9]{1,3})?|[+\-−]?[.,][0-9]+)\s*(.*)$`)

// grouped is a whole number with thousands marks: 1 234 567.
var grouped = regexp.MustCompile(`^[0-9]{1,3}(?:[ ][0-9]{3})+$`)

// typedNumber is a number as somebody typed it into a text cell.
type typedNumber struct {
	value float64
	typed string   // the number alone, as typed
	power bool     // it has a power of ten: 4.8e7, 4.8 × 10⁷
	unit  string   // what stood behind the number, trimmed
	notes []string // how it was read, where that was not plain
}

// readNumber reads a number typed as text: decimal comma or point, blanks between
// thousands, a power of ten (quantity.PowerOfTen), a unit behind it.
//
// Range: any finite number. Error: not a number, or one that can be read in two ways
// (1,234 and 1.234, typed as text, may be a thousand or one and a bit). Source: common practice, no source.
func readNumber(text string) (typedNumber, error) {
	text = strings.TrimSpace(text)
	m := leadingNumber.FindStringSubmatch(text)
	if m == nil {
		return typedNumber{}, fmt.Errorf("this is not a number")
	}
	number, exponent, rest, power := quantity.PowerOfTen(text, len(m[1]))
	if !power {
		number, rest = m[1], m[2]
	}
	out := typedNumber{unit: strings.TrimSpace(rest), power: power || strings.ContainsAny(number, "eE")}
	out.typed = strings.TrimSpace(strings.TrimSuffix(text, rest))
	plain, err := out.plain(strings.TrimSpace(number))
	if err != nil {
		return typedNumber{}, err
	}
	out.value, err = strconv.ParseFloat(plain+exponent, 64)
	if err != nil {
		return typedNumber{}, fmt.Errorf("this is not a number")
	}
	return out, nil
}

// TypedQuantity reads a quantity as somebody typed it into a text cell of a workbook: decimal
// comma or point, blanks between thousands, a power of ten, a unit behind it or none.
//
// Range: any finite number and any unit of quantity.ParseUnit. Error: not a number, one that
// can be read in two ways, or an unknown unit. Source: common practice, no source.
func TypedQuantity(text string) (quantity.Quantity, error) {
	number, err := readNumber(text)
	if err != nil {
		return quantity.Quantity{}, err
	}
	unit, err := quantity.ParseUnit(number.unit)
	if err != nil {
		return quantity.Quantity{}, err
	}
	return quantity.New(number.value, unit)
}

var blanks = strings.NewReplacer("\u00a0", " ", "\u2009", " ", "\u202f", " ", "'", " ", "’", " ", "−", "-")

// plain turns the typed digits into Go's form, noting what it had to decide.
func (n *typedNumber) plain(s string) (string, error) {
	s = blanks.Replace(s)
	exponent := ""
	if i := strings.IndexAny(s, "eE"); i >= 0 {
		s, exponent = s[:i], s[i:]
	}
	sign := ""
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "+") {
		sign, s = s[:1], s[1:]
	}
	whole, fraction, err := n.parts(s)
	if err != nil {
		return "", err
	}
	if strings.Contains(whole, " ") {
		if !grouped.MatchString(whole) {
			return "", fmt.Errorf("blanks inside a number must stand between thousands")
		}
		whole = strings.ReplaceAll(whole, " ", "")
		n.notes = append(n.notes, "thousands marks taken out")
	}
	if whole == "" {
		whole = "0"
	}
	if fraction != "" {
		fraction = "." + fraction
	}
	return sign + whole + fraction + exponent, nil
}

// parts finds the decimal mark; other marks become blanks between thousands.
func (n *typedNumber) parts(s string) (whole, fraction string, err error) {
	commas, points := strings.Count(s, ","), strings.Count(s, ".")
	mark := ""
	switch {
	case commas > 0 && points > 0: // the last one is the decimal mark
		mark = s[strings.LastIndexAny(s, ",."):][:1]
		if strings.Count(s, mark) > 1 {
			return "", "", fmt.Errorf("two decimal marks stand in this number")
		}
	case commas+points == 1 && couldBeThousands(s):
		return "", "", fmt.Errorf("the mark may stand for thousands or decimals; this can be read in two ways")
	case commas == 1:
		mark = ","
	case points == 1:
		mark = "."
	}
	if mark == "" {
		return strings.NewReplacer(",", " ", ".", " ").Replace(s), "", nil
	}
	whole, fraction, _ = strings.Cut(s, mark)
	if strings.Contains(fraction, " ") {
		return "", "", fmt.Errorf("a blank stands behind the decimal mark")
	}
	if mark == "," {
		n.notes = append(n.notes, "decimal comma read as a point")
	}
	return strings.NewReplacer(",", " ", ".", " ").Replace(whole), fraction, nil
}

var thousandsMark = regexp.MustCompile(`^[1-9][0-9]{0,2}[,.][0-9]{3}$`)

func couldBeThousands(s string) bool { return thousandsMark.MatchString(s) }

// timesSign is what begins a power of ten that was not written out: × 107.
var timesSign = regexp.MustCompile(`^[×xX*·⋅^]\s*[0-9^⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹]`)

// inUnit converts the typed number to the entry's unit where a unit was typed.
func (n *typedNumber) inUnit(unit quantity.Unit) (float64, error) {
	if n.unit == "" {
		return n.value, nil
	}
	typed, err := quantity.ParseUnit(n.unit)
	if err != nil && timesSign.MatchString(n.unit) {
		return 0, fmt.Errorf("%q behind the number is not a power of ten that can be read; write 4.8e7 for 4.8 × 10⁷", n.unit)
	}
	if err != nil {
		return 0, fmt.Errorf("%q behind the number is not a unit known here", n.unit)
	}
	q, err := quantity.New(n.value, typed)
	if err != nil {
		return 0, err
	}
	converted, err := q.In(unit)
	if err != nil {
		return 0, err
	}
	if typed == unit {
		return converted.Value(), nil
	}
	n.notes = append(n.notes, fmt.Sprintf("unit typed beside the number: %s read as %s", q, converted))
	return converted.Value(), nil
}

// remedy says how to write the number for a box in this unit.
func (n *typedNumber) remedy(unit quantity.Unit) string {
	if meant, ok := quantity.Meant(n.unit); ok && meant == unit {
		return fmt.Sprintf("write %s %s, or the number alone", n.typed, unit.Print())
	}
	if unit.Print() == "" {
		return "type a number in plain digits, or ND if it was not done"
	}
	return fmt.Sprintf("type a number in %s, or ND if it was not done", unit.Print())
}
