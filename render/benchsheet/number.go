package benchsheet

import (
	"strings"

	"spatsheet/protocols/quantity"
	"spatsheet/render/style"
)

// show is a quantity as printed to work from: its exact form, powers raised. Under WORKING
// numbers stay as a program reads them.
func show(q quantity.Quantity) string { return style.Powers(q.Format(0)) }

// number is a bare number as printed to work from.
func number(x float64) string { return style.Powers(quantity.FormatNumber(x, 0)) }

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
