package benchsheet

import (
	"math"
	"strconv"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
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
func (f *form) entries(s *calc.Step, fromTable bool) []block {
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
	var blocks []block
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

func (f *form) entryRow(row []*protocols.Entry) block {
	b := block{before: 2.6}
	width := f.half()
	if f.wide(row[0]) {
		width = f.width
	}
	named := 0.0
	for _, e := range row {
		named = max(named, float64(len(label.wrap(e.Label, width-4)))*label.line())
	}
	for i, e := range row {
		x := float64(i) * (f.half() + columnGap)
		lines := label.wrap(e.Label, width-4)
		top := named - float64(len(lines))*label.line()
		if e.Required {
			b.text(x, top, labelBold, required)
		}
		for _, l := range lines {
			top = b.text(x+4, top, label, l)
		}
		f.entryBox(&b, e, x+4, named+0.6, width-4)
	}
	return b
}

// entryBox puts the box of an entry and its small print.
func (f *form) entryBox(b *block, e *protocols.Entry, x, top, width float64) {
	var lower float64
	switch e.Kind {
	case protocols.KindChoice:
		lower = b.ticks(e, x, top, width, label)
	case protocols.KindText:
		b.box(x, top, width, style.BoxHeight)
		lower = top + style.BoxHeight
	case protocols.KindDate:
		lower = b.dateBox(x, top)
	case protocols.KindTime:
		b.dateBox(x, top)
		lower = b.timeBox(x+dateBox+11, top)
	default:
		lower = f.numberBox(b, e, x, top, width)
	}
	b.reach(b.lines(x, lower+0.5, min(width, f.half()-4), small, smallPrint(e)))
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
func (f *form) numberBox(b *block, e *protocols.Entry, x, top, width float64) float64 {
	box := numberBox
	if digits(e)*style.DigitMM > numberBox-3 {
		box = longBox
	}
	b.box(x, top, box, style.BoxHeight)
	lower := top + style.BoxHeight
	left := x + box + 2
	room := f.half() - 4 - box - 2
	unit := bodyBold.wrap(e.Unit.Print(), room)
	start := top + (style.BoxHeight-float64(len(unit))*bodyBold.line())/2
	used := 0.0
	for _, l := range unit {
		used = max(used, bodyBold.width(l))
		start = b.text(left, start, bodyBold, l)
	}
	lower = max(lower, start)
	if e.How != "" {
		lower = max(lower, b.centred(f.half()+columnGap+4, top, f.half()-4, label, "= "+style.Powers(e.How)))
	}
	if a, ok := f.sheet.Amount(e.Planned); ok {
		lower = f.planned(b, e, a, x, lower, left+used+3, top)
	}
	return lower
}

// centred puts text beside a box, in the middle of its height where it is lower.
func (b *block) centred(x, top, width float64, f font, s string) float64 {
	height := float64(len(f.wrap(s, width))) * f.line()
	return b.lines(x, top+max(0, (style.BoxHeight-height)/2), width, f, s)
}

// planned prints the planned amount beside a box, or under it where there is no room.
func (f *form) planned(b *block, e *protocols.Entry, a *calc.Amount, x, lower, left, top float64) float64 {
	value := show(a.Rounded)
	name := "planned"
	if e.Tolerance > 0 {
		name += " ± " + quantity.FormatNumber(e.Tolerance*100, 3) + " %"
	}
	wide := max(small.width(name), font{style.ShownPt, true}.width(value)) + 3
	right := x + f.half() - 4
	if right-wide < left {
		return b.lines(x, lower+0.5, f.half()-4, bodyBold, name+": "+value)
	}
	b.shade(right-wide, top-0.3, wide, style.BoxHeight+0.6)
	b.text(right-wide+1.5, top+0.3, small, name)
	b.text(right-wide+1.5, top+0.3+small.line(), font{style.ShownPt, true}, value)
	return lower
}

func (b *block) dateBox(x, top float64) float64 {
	middle := top + (style.BoxHeight-small.line())/2
	b.text(x, middle, small, "date")
	b.box(x+8, top, dateBox, style.BoxHeight)
	return top + style.BoxHeight
}

func (b *block) timeBox(x, top float64) float64 {
	middle := top + (style.BoxHeight-small.line())/2
	b.text(x, middle, small, "time")
	b.box(x+8, top, timeBox, style.BoxHeight)
	b.text(x+8+timeBox/2-heading.width(":")/2, top+(style.BoxHeight-heading.line())/2, heading, ":")
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
func tickWidth(e *protocols.Entry, choice string, f font) float64 {
	return style.TickSide + tickGap + f.width(choiceText(e, choice)) + tickSpace
}

func ticksWidth(e *protocols.Entry, f font) float64 {
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
func (b *block) ticks(e *protocols.Entry, x, top, width float64, f font) float64 {
	left, row := x, top
	lower := top
	for _, c := range e.Choices {
		wide := min(tickWidth(e, c, f), width)
		if left+wide > x+width+tickSpace && left > x {
			left, row = x, lower+tickLead
		}
		b.box(left, row, style.TickSide, style.TickSide)
		textTop := row + max(0, (style.TickSide-f.line())/2)
		text := b.lines(left+style.TickSide+tickGap, textTop, x+width-left-style.TickSide-tickGap, f, choiceText(e, c))
		lower = max(lower, row+style.TickSide, text)
		left += wide
	}
	return lower
}
