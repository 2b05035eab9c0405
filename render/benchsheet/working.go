package benchsheet

import (
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/quantity"
	"spatsheet/render/style"
)

// exactFigures is how many figures of an exact value are printed: enough to see every
// rounding, few enough to type. Site choice.
const exactFigures = 6

// working prints how every amount was worked out, so that a second person can follow it
// with a pocket calculator. Each line begins with its name, so that a program can too.
func (f *form) working() []block {
	blocks := f.workingHead()
	for i := range f.sheet.Amounts {
		blocks = append(blocks, f.workedOut(&f.sheet.Amounts[i]))
	}
	return blocks
}

func (f *form) workingHead() []block {
	head := block{fresh: true, keep: true}
	lower := head.text(0, 0, font{style.NumberPt, true}, "WORKING")
	head.lines(0, lower+0.5, f.width, column, "How every amount was worked out. Put the numbers into the formula, "+
		"in one unit of a kind, and compare with exact; then round by the rule and compare with rounded. "+
		"Other amounts enter a formula rounded, as printed.")
	notes := []string{
		"1 L = 1000 mL = 1 000 000 µL = 1000 cm³",
		"1 m² = 10 000 cm²; 1 m = 100 cm",
		"1 g = 1000 mg; 1 kg = 1000 g",
		"1 d = 24 h; 1 h = 60 min",
		"90 % = 0.9",
		"1e5 = 100 000; 1e-5 = 0.00001",
		"a ^ n: a multiplied n times by itself",
		"ln: natural logarithm; greatest, least: of those in brackets",
	}
	b := block{before: 2, keep: true}
	half := f.half()
	rows := (len(notes) + 1) / 2
	for i, note := range notes {
		x, top := 2.0, 1+float64(i)*column.line()
		if i >= rows {
			x, top = half+columnGap, 1+float64(i-rows)*column.line()
		}
		b.text(x, top, column, note)
	}
	outline := frame{w: f.width, h: b.height + 1, lineWidth: style.HairLine}
	b.marks = append([]mark{outline}, b.marks...)
	b.height++
	return []block{head, b}
}

func (f *form) workedOut(a *calc.Amount) block {
	b := block{before: 3}
	b.rule(0, 0, f.width, 0, style.HairLine)
	const names = 20
	top := b.lines(0, 0.8, f.width, labelBold, a.Definition.Label)
	put := func(name, text string, face font) {
		b.text(0, top, small, name)
		top = b.lines(names, top, f.width-names, face, text)
	}
	put("id", a.Definition.ID, small)
	put("formula", a.Definition.Formula.String(), column)
	put("numbers", a.PutIn, column)
	put("exact", a.Exact.Format(exactFigures), column)
	put("rounding", a.Rule, column)
	put("rounded", a.Rounded.Format(0), columnHd)
	if len(a.Parts) > 0 {
		put("parts", sum(a.Parts), column)
	}
	if a.Definition.Note != "" {
		put("note", a.Definition.Note, column)
	}
	return b
}

// sum writes parts out one by one: "14 + 13 + 13 L".
func sum(parts []quantity.Quantity) string {
	var numbers []string
	for _, p := range parts {
		numbers = append(numbers, quantity.FormatNumber(p.Value(), 0))
	}
	return strings.TrimSpace(strings.Join(numbers, " + ") + " " + parts[0].Unit().Print())
}
