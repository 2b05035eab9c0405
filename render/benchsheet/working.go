package benchsheet

import (
	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// exactFigures is how many figures of an exact value are printed: enough to see every
// rounding, few enough to type. Site choice.
const exactFigures = 6

// workingPts are the type sizes tried for the working, largest first: one page is easier to
// check than three, and it is read in daylight. Site choice.
var workingPts = []float64{style.ColumnPt, 8.5, style.SmallPt, 7.5, 7, 6.5, 6}

// workingBefore is the space in mm above the columns of the working.
const workingBefore = 2.0

// working prints how every amount was worked out, in two columns on one page if any of the
// sizes lets it, so that a second person can follow it with a pocket calculator. Each line
// begins with a word, so that a program can read it too.
func (f *form) working() []page.Block {
	head := f.workingHead()
	room := f.paper.Height - f.paper.Top - f.paper.Bottom - headHeight - footHeight - page.HeightOf(head) - workingBefore
	for _, pt := range workingPts {
		if b, ok := f.workingColumns(pt, f.sheet.Amounts, room); ok {
			return append(head, b)
		}
	}
	return append(head, f.workingPages(room)...)
}

// workingPages spreads a long working over pages, in the smallest size.
func (f *form) workingPages(room float64) []page.Block {
	smallest := workingPts[len(workingPts)-1]
	var blocks []page.Block
	for rest := f.sheet.Amounts; len(rest) > 0; {
		n := len(rest)
		b, ok := f.workingColumns(smallest, rest, room)
		for !ok && n > 1 {
			n--
			b, ok = f.workingColumns(smallest, rest[:n], room)
		}
		blocks, rest = append(blocks, b), rest[n:]
	}
	return blocks
}

// workingColumns sets amounts in two columns; ok is false when they are higher than room.
func (f *form) workingColumns(pt float64, amounts []calc.Amount, room float64) (out page.Block, ok bool) {
	out.Before = workingBefore
	x, y := 0.0, 0.0
	for i := range amounts {
		b := workedOut(&amounts[i], pt, f.half())
		if y+b.Height > room && x == 0 {
			x, y = f.half()+columnGap, 0
		}
		if y+b.Height > room {
			return out, false
		}
		for _, m := range b.Marks {
			out.Add(m.Moved(x, y))
		}
		y += b.Height
		out.Reach(y)
	}
	return out, true
}

func (f *form) workingHead() []page.Block {
	head := page.Block{Fresh: true, Keep: true}
	lower := head.Text(0, 0, heading, "WORKING")
	lower = head.Lines(0, lower, f.width, small, "How every amount was worked out. Put the numbers into the formula, "+
		"in one unit of a kind, and compare with exact; then round by the rule and compare with rounded. "+
		"Other amounts enter a formula rounded, as printed; inside is the arithmetic of a function.")
	head.Lines(0, lower+0.5, f.width, small, "1 L = 1000 mL = 1 000 000 µL = 1000 cm³; 1 m² = 10 000 cm²; 1 m = 100 cm; 1 g = 1000 mg; "+
		"1 d = 24 h; 1 h = 60 min; 90 % = 0.9; 1e5 = 100 000; a ^ n: a multiplied n times by itself; ln: natural logarithm; "+
		"greatest, least: of those in brackets; as(5, \"animal\"): 5, counted as animals")
	return []page.Block{head}
}

// workedOut is one amount: its label, id and formula, the numbers put in, the arithmetic
// inside the functions it calls, and exact value, rule and rounded value, with the parts
// where it is dealt out.
func workedOut(a *calc.Amount, pt, width float64) page.Block {
	b := page.Block{}
	plain, strong := page.Font{SizePt: pt}, page.Font{SizePt: pt, Bold: true}
	b.Rule(0, 0, width, 0, style.HairLine)
	top := b.Lines(0, 0.5, width, strong, a.Definition.Label)
	lines := []string{a.Definition.ID + " = " + a.Definition.Formula.String(), "numbers " + a.PutIn}
	for _, step := range a.Inside {
		lines = append(lines, "inside "+step)
	}
	for _, line := range append(lines, "exact "+a.Exact.Format(exactFigures)+" | "+a.Rule) {
		top = b.Lines(0, top, width, plain, line)
	}
	rounded := "rounded " + a.Rounded.Format(0)
	if len(a.Parts) > 1 {
		rounded += " | " + inGroups(a.Parts)
	}
	b.Lines(0, top, width, strong, rounded)
	b.Height += 1
	return b
}
