package quantity

import (
	"regexp"
	"strings"
)

// power is a power of ten as people write it: 10⁷, 10⁻³, 10^7, 10^-3.
const power = `10(?:\^([+\-−]?[0-9]{1,3})|([⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3}))`

// timesPower is a power of ten behind a number; barePower is one by itself.
var (
	timesPower = regexp.MustCompile(`^[` + blanks + `]*[×xX*·⋅][` + blanks + `]*` + power)
	barePower  = regexp.MustCompile(`^([+\-−]?)` + power)
)

// plainPower brings the signs of an exponent to the ones Go reads.
var plainPower = strings.NewReplacer("−", "-", "⁻", "-", "⁺", "+",
	"⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9")

// PowerOfTen takes the power of ten from a number written as sheets print it: "4.8 × 10⁷ L"
// gives 4.8, e7 and " L"; "10⁹" gives 1, e9 and nothing; 4.8x10^7 and 4.8*10^7 likewise.
//
// digits is how many bytes of text are the number before the power. ok is false where there
// is no such power, where the number has an exponent already, and where it could be read in
// two ways: 4.8 × 107, 4.8 × 10, 2 10⁷, 10^7.5.
// Range: exponents of three digits. Source: SI Brochure, 9th edition, section 5.4.5, for
// the form with ×, from memory; common practice for the others, no source.
func PowerOfTen(text string, digits int) (number, exponent, rest string, ok bool) {
	number, rest = text[:digits], text[digits:]
	m := timesPower.FindStringSubmatch(rest)
	if m != nil {
		rest = rest[len(m[0]):]
	} else if m = barePower.FindStringSubmatch(text); m != nil && strings.TrimLeft(number, "+-−") == "10" {
		number, rest, m = m[1]+"1", text[len(m[0]):], m[1:]
	}
	if m == nil || strings.ContainsAny(number, "eE") || goesOn(rest) {
		return "", "", "", false
	}
	return number, "e" + plainPower.Replace(m[1]+m[2]), rest, true
}

// goesOn says whether more of a number stands behind a power of ten.
func goesOn(rest string) bool {
	next := strings.TrimLeft(rest, blanks)
	for _, more := range []string{".", ",", "^", "'", "’", "×", "*", "·", "⋅", "⁺", "⁻"} {
		if strings.HasPrefix(rest, more) || strings.HasPrefix(next, more) {
			return true
		}
	}
	next = plainPower.Replace(next)
	return next != "" && next[0] >= '0' && next[0] <= '9' && !strings.HasPrefix(next, "1/")
}
