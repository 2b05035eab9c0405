package benchsheet

import (
	"regexp"
	"strings"

	"spatsheet/calc/quantity"
)

// exponent finds numbers such as 4.8e9; an e inside a name or a hex number is none.
var exponent = regexp.MustCompile(`(^|[^\w.])(\d+(?:\.\d+)?)e(-?)(\d+)\b`)

var raised = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹", "-", "⁻")

// powers writes 4.8e9 as 4.8 × 10⁹ and 1e10 as 10¹⁰, for those who work from the sheet;
// under WORKING numbers stay as a program reads them.
func powers(text string) string {
	return exponent.ReplaceAllStringFunc(text, func(found string) string {
		m := exponent.FindStringSubmatch(found)
		power := "10" + raised.Replace(m[3]+m[4])
		if m[2] == "1" {
			return m[1] + power
		}
		return m[1] + m[2] + "\u00a0×\u00a0" + power
	})
}

// show is a quantity as printed to work from: its exact form, powers raised.
func show(q quantity.Quantity) string { return powers(q.Format(0)) }

// number is a bare number as printed to work from.
func number(x float64) string { return powers(quantity.FormatNumber(x, 0)) }

// inGroups writes parts with equal ones taken together: "6 × 2.5 + 4 × 2.4 L".
func inGroups(parts []quantity.Quantity) string {
	var groups []string
	for i := 0; i < len(parts); {
		n := 1
		for i+n < len(parts) && parts[i+n] == parts[i] {
			n++
		}
		groups = append(groups, quantity.FormatNumber(float64(n), 0)+" × "+number(parts[i].Value()))
		i += n
	}
	return strings.TrimSpace(strings.Join(groups, " + ") + " " + parts[0].Unit().Print())
}
