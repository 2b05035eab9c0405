package workbook

import (
	"fmt"
	"math"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// unitWords prints a unit as it stands beside a box; empty for a pure number.
func unitWords(u quantity.Unit) string { return u.Print() }

// unitBeside prints the unit of a quantity: "1 vessel", "2 vessels".
func unitBeside(q quantity.Quantity) string {
	return strings.TrimPrefix(strings.TrimPrefix(q.Format(0), quantity.FormatNumber(q.Value(), 0)), " ")
}

// rangeWords prints the plausible range of an entry: "5 to 30".
func rangeWords(e *protocols.Entry) string {
	if !e.HasRange {
		return ""
	}
	return quantity.FormatNumber(e.Low, 0) + " to " + quantity.FormatNumber(e.High, 0)
}

// besideBox is what stands to the right of a single box: range, plan, how it is worked out.
func besideBox(b calc.Box) string {
	e := b.Entry
	var parts []string
	add := func(text string) {
		if text != "" {
			parts = append(parts, text)
		}
	}
	if b.Planned != nil {
		add("planned " + b.Planned.Rounded.Format(0))
	}
	add(rangeWords(e))
	if e.How != "" {
		add("work out: " + e.How)
	}
	switch e.Kind {
	case protocols.KindTime:
		add("date and time")
	case protocols.KindDate:
		add("date")
	case protocols.KindChoice:
		add(strings.Join(e.Choices, " / "))
	}
	add(e.Note)
	return strings.Join(parts, "; ")
}

// columnHead is the head of a table's column: label, mark, range and unit.
func columnHead(e *protocols.Entry) string {
	head := marked(e)
	switch e.Kind {
	case protocols.KindTime:
		head += "\ndate and time"
	default:
		if below := strings.TrimSpace(rangeWords(e) + " " + unitWords(e.Unit)); below != "" {
			head += "\n" + below
		}
	}
	return head
}

// shownHead is the head of a column of printed parts: label and unit.
func shownHead(a *calc.Amount) string {
	unit := unitWords(a.Definition.Unit)
	if unit == "" || strings.EqualFold(unit, a.Definition.Label) {
		return a.Definition.Label
	}
	return a.Definition.Label + "\n" + unit
}

// marked is a label with the mark of what must be filled in.
func marked(e *protocols.Entry) string {
	if e.Required {
		return e.Label + "\u00a0*" // a blank that does not break
	}
	return e.Label
}

// partsWords tells the parts of an amount that is split over vessels: "2 × 12.1 L, 1 × 12 L".
func partsWords(a *calc.Amount) string {
	if len(a.Parts) < 2 {
		return ""
	}
	var words []string
	for i := 0; i < len(a.Parts); {
		n := i
		for n < len(a.Parts) && a.Parts[n] == a.Parts[i] {
			n++
		}
		words = append(words, fmt.Sprintf("%d × %s", n-i, a.Parts[i].Format(0)))
		i = n
	}
	return strings.Join(words, ", ")
}

// grouping is the number format of a printed amount: separators from 10,000 on.
func grouping(x float64) int {
	if math.Abs(x) >= 1e4 && x == math.Trunc(x) {
		return formatGrouped
	}
	return formatGeneral
}

// cut shortens a text to so many UTF-16 units, as the form's limits count.
func cut(text string, limit int) string {
	if units(text) <= limit {
		return text
	}
	return strings.TrimSpace(firstUnits(text, limit-1)) + "…"
}
