package benchsheet

import (
	"math"
	"strconv"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Widths in mm of boxes to write in. Site choice: whole digits of style.DigitMM.
const (
	numberBox = 36.0
	longBox   = 54.0
	dateBox   = 33.0
	timeBox   = 23.0
)

// entries prints a step's single boxes, two in a row where they fit: those worked out
// from its tables, or the others.
func (f *form) entries(s *calc.Step, fromTable bool) []page.Block {
	var rows [][]*protocols.Entry
	for i := range s.Definition.Entries {
		e := &s.Definition.Entries[i]
		if e.FromTables != fromTable {
			continue
		}
		last := len(rows) - 1
		if last >= 0 && len(rows[last]) == 1 && !f.wide(rows[last][0]) && !f.wide(e) {
			rows[last] = append(rows[last], e)
			continue
		}
		rows = append(rows, []*protocols.Entry{e})
	}
	var blocks []page.Block
	for _, row := range rows {
		blocks = append(blocks, f.entryRow(row))
	}
	return blocks
}

func (f *form) half() float64 { return (f.width - columnGap) / 2 }

// wide tells whether a box needs the whole width.
func (f *form) wide(e *protocols.Entry) bool {
	return e.How != "" || e.Kind == protocols.KindChoice && ticksWidth(e, label) > f.half()
}

func (f *form) entryRow(row []*protocols.Entry) page.Block {
	b := page.Block{Before: 2.6}
	width := f.half()
	if f.wide(row[0]) {
		width = f.width
	}
	named := 0.0
	for _, e := range row {
		named = max(named, float64(len(label.Wrap(e.Label, width-4)))*label.Line())
	}
	for i, e := range row {
		x := float64(i) * (f.half() + columnGap)
		lines := label.Wrap(e.Label, width-4)
		top := named - float64(len(lines))*label.Line()
		if e.Required {
			b.Text(x, top, labelBold, required)
		}
		for _, l := range lines {
			top = b.Text(x+4, top, label, l)
		}
		f.entryBox(&b, e, x+4, named+0.6, width-4)
	}
	return b
}

// entryBox puts the box of an entry and its small print.
func (f *form) entryBox(b *page.Block, e *protocols.Entry, x, top, width float64) {
	var lower float64
	switch e.Kind {
	case protocols.KindChoice:
		lower = ticks(b, e, x, top, width, label)
	case protocols.KindText:
		b.Box(x, top, width, style.BoxHeight)
		lower = top + style.BoxHeight
	case protocols.KindDate:
		lower = putDate(b, x, top)
	case protocols.KindTime:
		putDate(b, x, top)
		lower = putTime(b, x+dateBox+11, top)
	default:
		lower = f.numberBox(b, e, x, top, width)
	}
	b.Reach(b.Lines(x, lower+0.5, min(width, f.half()-4), small, smallPrint(e)))
}

// smallPrint is the range and note under a box.
func smallPrint(e *protocols.Entry) string {
	var parts []string
	if e.HasRange {
		parts = append(parts, rangeText(e))
	}
	if e.Note != "" {
		parts = append(parts, e.Note)
	}
	return strings.Join(parts, "; ")
}

func rangeText(e *protocols.Entry) string {
	return "range " + number(e.Low) + " to " + number(e.High)
}

// numberBox puts a box with its unit, how it is worked out and what was planned.
func (f *form) numberBox(b *page.Block, e *protocols.Entry, x, top, width float64) float64 {
	box := numberBox
	if digits(e)*style.DigitMM > numberBox-3 {
		box = longBox
	}
	b.Box(x, top, box, style.BoxHeight)
	lower := top + style.BoxHeight
	left := x + box + 2
	room := f.half() - 4 - box - 2
	unit := bodyBold.Wrap(e.Unit.Print(), room)
	start := top + (style.BoxHeight-float64(len(unit))*bodyBold.Line())/2
	used := 0.0
	for _, l := range unit {
		used = max(used, bodyBold.Width(l))
		start = b.Text(left, start, bodyBold, l)
	}
	lower = max(lower, start)
	if e.How != "" {
		lower = max(lower, centred(b, f.half()+columnGap+4, top, f.half()-4, label, "= "+style.Powers(e.How)))
	}
	if a, ok := f.sheet.Amount(e.Planned); ok {
		lower = f.planned(b, e, a, x, lower, left+used+3, top)
	}
	return lower
}

// centred puts text beside a box, in the middle of its height where it is lower.
func centred(b *page.Block, x, top, width float64, f page.Font, s string) float64 {
	height := float64(len(f.Wrap(s, width))) * f.Line()
	return b.Lines(x, top+max(0, (style.BoxHeight-height)/2), width, f, s)
}

// planned prints the planned amount beside a box, or under it where there is no room.
func (f *form) planned(b *page.Block, e *protocols.Entry, a *calc.Amount, x, lower, left, top float64) float64 {
	value := show(a.Rounded)
	name := "planned"
	if e.Tolerance > 0 {
		name += " ± " + quantity.FormatNumber(e.Tolerance*100, 3) + " %"
	}
	wide := max(small.Width(name), page.Font{SizePt: style.ShownPt, Bold: true}.Width(value)) + 3
	right := x + f.half() - 4
	if right-wide < left {
		return b.Lines(x, lower+0.5, f.half()-4, bodyBold, name+": "+value)
	}
	b.Shade(right-wide, top-0.3, wide, style.BoxHeight+0.6)
	b.Text(right-wide+1.5, top+0.3, small, name)
	b.Text(right-wide+1.5, top+0.3+small.Line(), page.Font{SizePt: style.ShownPt, Bold: true}, value)
	return lower
}

func putDate(b *page.Block, x, top float64) float64 {
	middle := top + (style.BoxHeight-small.Line())/2
	b.Text(x, middle, small, "date")
	b.Box(x+8, top, dateBox, style.BoxHeight)
	return top + style.BoxHeight
}

func putTime(b *page.Block, x, top float64) float64 {
	middle := top + (style.BoxHeight-small.Line())/2
	b.Text(x, middle, small, "time")
	b.Box(x+8, top, timeBox, style.BoxHeight)
	b.Text(x+8+timeBox/2-heading.Width(":")/2, top+(style.BoxHeight-heading.Line())/2, heading, ":")
	return top + style.BoxHeight
}

// digits is how many characters the longest plausible number of an entry takes, two
// decimals included where it has any.
func digits(e *protocols.Entry) float64 {
	largest := max(math.Abs(e.Low), math.Abs(e.High))
	if !e.HasRange {
		largest = 1e6 // site choice where the protocol names no range
	}
	n := len(strconv.FormatFloat(math.Floor(min(largest, 1e11)), 'f', 0, 64))
	if e.Kind == protocols.KindNumber && largest < 1e5 {
		n += 2
	}
	return float64(n)
}

// Spaces in mm between a tick box and its choice, and from there to the next box.
const (
	tickGap   = 1.6
	tickSpace = 4.0
	tickLead  = 1.4 // between lines of tick boxes
)

// tickWidth is what a choice takes with its box.
func tickWidth(e *protocols.Entry, choice string, f page.Font) float64 {
	return style.TickSide + tickGap + f.Width(choiceText(e, choice)) + tickSpace
}

func ticksWidth(e *protocols.Entry, f page.Font) float64 {
	total := 0.0
	for _, c := range e.Choices {
		total += tickWidth(e, c, f)
	}
	return total
}

func choiceText(e *protocols.Entry, choice string) string {
	for _, a := range e.Alarming {
		if a == choice {
			return choice + " " + alarm
		}
	}
	return choice
}

// ticks puts a tick box for every choice, in as many lines as they take.
func ticks(b *page.Block, e *protocols.Entry, x, top, width float64, f page.Font) float64 {
	left, row := x, top
	lower := top
	for _, c := range e.Choices {
		wide := min(tickWidth(e, c, f), width)
		if left+wide > x+width+tickSpace && left > x {
			left, row = x, lower+tickLead
		}
		b.Box(left, row, style.TickSide, style.TickSide)
		textTop := row + max(0, (style.TickSide-f.Line())/2)
		text := b.Lines(left+style.TickSide+tickGap, textTop, x+width-left-style.TickSide-tickGap, f, choiceText(e, c))
		lower = max(lower, row+style.TickSide, text)
		left += wide
	}
	return lower
}
