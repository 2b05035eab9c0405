package benchsheet

import (
	"fmt"
	"math"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Marks used all over the sheet, explained in the legend.
const (
	required = "●"
	alarm    = "⚠"
)

// columnGap is the space in mm between the columns of the sheet's grid.
const columnGap = 6.0

// step prints one step: heading, cautions, instructions, amounts, boxes, tables, initials.
func (f *form) step(s *calc.Step) []page.Block {
	blocks := []page.Block{f.stepHeading(s)}
	var cautions []string
	for _, c := range s.Cautions {
		cautions = append(cautions, c.Text)
	}
	blocks = append(blocks, spaced(1.5, f.cautionBoxes(cautions, true))...)
	blocks = append(blocks, spaced(1.5, page.Paragraph(0, f.width, body, style.Powers(s.Do), true))...)
	blocks = append(blocks, f.amounts(s)...)
	blocks = append(blocks, f.entries(s, false)...)
	for i := range s.Tables {
		blocks = append(blocks, f.table(&s.Tables[i])...)
	}
	blocks = append(blocks, f.entries(s, true)...)
	if s.Definition.Signed > 0 {
		blocks[len(blocks)-1].Keep = true
		blocks = append(blocks, f.initials(s))
	}
	blocks[len(blocks)-1].Keep = false
	for i := range blocks[1:] {
		blocks[i+1].Repeat = f.continued(s, blocks[i+1].Repeat)
	}
	return blocks
}

func (f *form) stepHeading(s *calc.Step) page.Block {
	b := page.Block{Before: 8, Keep: true}
	b.Rule(0, 0, f.width, 0, style.HeavyLine)
	figure := page.Font{SizePt: style.NumberPt, Bold: true}
	b.Text(0, 1.2, figure, fmt.Sprint(s.Number))
	time := f.when(s.Time)
	b.TextRight(f.width, 2.6, heading, time)
	if s.Hours != 0 {
		b.TextRight(f.width, 2.6+heading.Line(), small, fromStart(s.Hours))
	}
	left := max(12, figure.Width(fmt.Sprint(s.Number))+4)
	b.Lines(left, 2.6, f.width-left-heading.Width(time)-5, heading, s.Definition.Title)
	return b
}

// continued heads a page that begins inside a step, above what a table repeats.
func (f *form) continued(s *calc.Step, inner func() page.Block) func() page.Block {
	return func() page.Block {
		b := page.Block{}
		time := f.when(s.Time)
		b.TextRight(f.width, 0, titleFont, time)
		b.Lines(0, 0, f.width-titleFont.Width(time)-5, titleFont, fmt.Sprintf("Step %d, %s (continued)", s.Number, s.Definition.Title))
		b.Height += 3
		if inner != nil {
			b.Under(inner())
		}
		return b
	}
}

// fromStart tells a step's time in hours from the batch's start.
func fromStart(hours float64) string {
	if hours < 0 {
		return span(-hours) + " before the start"
	}
	return span(hours) + " after the start"
}

// span writes hours, from two days on in days.
func span(hours float64) string {
	days := math.Floor(hours / 24)
	switch rest := hours - 24*days; {
	case days < 2:
		return number(hours) + " h"
	case rest == 0:
		return number(days) + " days"
	default:
		return number(days) + " days " + number(rest) + " h"
	}
}

// cautionBoxes frames cautions, each with the mark and the word; keep ties the last one
// to what follows.
func (f *form) cautionBoxes(texts []string, keep bool) []page.Block {
	const inset, words = 2.5, 30.0
	var blocks []page.Block
	for i, text := range texts {
		b := page.Block{Keep: keep || i < len(texts)-1}
		lines := column.Wrap(text, f.width-words-inset)
		height := float64(len(lines))*column.Line() + 1.6
		if i == 0 {
			height += 0.6
		}
		b.Add(page.Frame{X: 0, Y: 0, W: f.width, H: height, LineWidth: style.BoxLine})
		top := height - float64(len(lines))*column.Line() - 0.8
		b.Text(inset, top-0.4, labelBold, alarm+" CAUTION")
		for _, l := range lines {
			top = b.Text(words, top, column, l)
		}
		b.Height = height
		blocks = append(blocks, b)
	}
	return blocks
}

// amounts prints a step's amounts large, on grey, in three columns.
func (f *form) amounts(s *calc.Step) []page.Block {
	const columns, gap = 3, 4.0
	unit := (f.width - gap*(columns-1)) / columns
	var blocks []page.Block
	b, at := page.Block{Before: 2.5}, 0
	flush := func() {
		if at > 0 {
			blocks = append(blocks, evenShades(b))
		}
		b, at = page.Block{Before: 2}, 0
	}
	for _, a := range s.Amounts {
		text := show(a.Rounded)
		span := 1
		for span < columns && (page.Font{SizePt: style.AmountPt, Bold: true}).Width(text) > unit*float64(span)+gap*float64(span-1)-6 {
			span++
		}
		if at+span > columns {
			flush()
		}
		f.amount(&b, a, float64(at)*(unit+gap), unit*float64(span)+gap*float64(span-1))
		at += span
	}
	flush()
	for i := range blocks { // the amounts stay together, and with what is written first
		blocks[i].Keep = true
	}
	return blocks
}

func (f *form) amount(b *page.Block, a *calc.Amount, x, width float64) {
	ground := len(b.Marks)
	b.Shade(x, 0, width, 1)
	top := b.Lines(x+3, 1.2, width-6, label, a.Definition.Label+f.origin(a.Definition.ID))
	size := page.Font{SizePt: style.AmountPt, Bold: true}
	if size.Width(show(a.Rounded)) > width-6 {
		size.SizePt = style.LeastPt
	}
	top = b.Lines(x+3, top, width-6, size, show(a.Rounded))
	if len(a.Parts) > 1 {
		top = b.Lines(x+3, top, width-6, column, "= "+inGroups(a.Parts))
	}
	shade := b.Marks[ground].(page.Frame)
	shade.H = top + 1.2
	b.Marks[ground] = shade
	b.Reach(shade.H)
}

// evenShades makes every grey ground of a row as high as the row.
func evenShades(b page.Block) page.Block {
	for i, m := range b.Marks {
		if g, ok := m.(page.Frame); ok && g.Grey {
			g.H = b.Height
			b.Marks[i] = g
		}
	}
	return b
}

// origin is the mark of a setting's giver; nothing for a computed amount.
func (f *form) origin(id string) string {
	v, ok := f.sheet.Value(id)
	switch {
	case ok && v.From == protocols.BySite:
		return " (s)"
	case ok && v.From == protocols.ByPlan:
		return " (p)"
	}
	return ""
}
