package benchsheet

import (
	"fmt"
	"strings"
	"time"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// largeCode is the side of the first page's QR code in mm, quiet border included.
const largeCode = 36.0

// clock is how days and times are printed: "Sat 14 Feb 18:00".
const (
	clock     = "Mon 2 Jan 15:04"
	otherYear = "2 Jan 2006 15:04"
)

var (
	body      = page.Font{SizePt: style.BodyPt}
	bodyBold  = page.Font{SizePt: style.BodyPt, Bold: true}
	small     = page.Font{SizePt: style.SmallPt}
	column    = page.Font{SizePt: style.ColumnPt}
	columnHd  = page.Font{SizePt: style.ColumnPt, Bold: true}
	label     = page.Font{SizePt: style.LabelPt}
	labelBold = page.Font{SizePt: style.LabelPt, Bold: true}
	titleFont = page.Font{SizePt: style.TitlePt, Bold: true}
	heading   = page.Font{SizePt: style.HeadingPt, Bold: true}
)

func (f *form) firstPage() []page.Block {
	blocks := []page.Block{f.head()}
	blocks = append(blocks, f.purpose()...)
	blocks = append(blocks, f.roles()...)
	blocks = append(blocks, f.legend())
	blocks = append(blocks, f.cautionSummary()...)
	blocks = append(blocks, f.timetable()...)
	blocks = append(blocks, f.materials()...)
	return blocks
}

// head names the batch.
func (f *form) head() page.Block {
	b := page.Block{}
	width := f.width - largeCode - 2
	top := b.Text(0, 0, fitted(page.Font{SizePt: style.BatchPt, Bold: true}, f.sheet.Plan.Batch, width), f.sheet.Plan.Batch)
	top = b.Lines(0, top, width, heading, f.sheet.Protocol.Title) + 2
	b.Add(f.code.Flush(f.width, 0, largeCode))
	top = max(top, largeCode-6)
	half := (f.width - columnGap) / 2
	left := facts(&b, 0, top, half, [][2]string{
		{"Species", f.sheet.Plan.Species}, {"Start", f.sheet.Plan.Start.Format("Monday 2 January 2006, 15:04")},
		{"Site", f.sheet.Site.Name + " (" + f.sheet.Site.Code + ")"},
	})
	right := facts(&b, half+columnGap, top, half, [][2]string{
		{"Protocol", f.sheet.Protocol.Ref()}, {"Stage", f.sheet.Protocol.Stage}, {"Digest", f.sheet.Digest},
	})
	lower := max(left, right)
	if from := f.sheet.Plan.From(); from != "" {
		lower = facts(&b, 0, lower, f.width, [][2]string{{"From", from}})
	}
	b.Rule(0, lower+1.5, f.width, lower+1.5, style.HeavyLine)
	return b
}

// facts puts lines of a name and a value in bold.
func facts(b *page.Block, x, top, width float64, facts [][2]string) float64 {
	const names = 17
	for _, fact := range facts {
		b.Text(x, top, label, fact[0])
		top = b.Lines(x+names, top, width-names, labelBold, fact[1]) + 0.4
	}
	return top
}

// title is the heading of a part of the sheet, kept with what follows.
func (f *form) title(s string) page.Block {
	b := page.Block{Before: 3, Keep: true}
	b.Lines(0, 0, f.width, titleFont, s)
	b.Height += 0.8
	return b
}

func (f *form) purpose() []page.Block {
	text := f.sheet.Protocol.Purpose
	blocks := page.Paragraph(0, f.width, body, text, false)
	if f.sheet.Plan.Note != "" {
		blocks = append(blocks, spaced(2, page.Paragraph(0, f.width, bodyBold, "Note for this batch: "+f.sheet.Plan.Note, false))...)
	}
	return spaced(2.5, blocks)
}

// spaced gives the first of some blocks space above.
func spaced(before float64, blocks []page.Block) []page.Block {
	if len(blocks) > 0 {
		blocks[0].Before = before
	}
	return blocks
}

func (f *form) roles() []page.Block {
	if len(f.sheet.Protocol.Roles) == 0 {
		return nil
	}
	var blocks []page.Block
	const names, nameBox = 24.0, 62.0
	for _, r := range f.sheet.Protocol.Roles {
		b := page.Block{Before: 1}
		b.Reach(centred(&b, 0, 0, names-2, bodyBold, r.ID))
		b.Reach(centred(&b, names, 0, f.width-names-nameBox-14, body, r.Does))
		b.TextRight(f.width-nameBox-2, (style.BoxHeight-label.Line())/2, label, "name")
		b.Box(f.width-nameBox, 0, nameBox, style.BoxHeight)
		blocks = append(blocks, b)
	}
	return spaced(3, blocks)
}

// generalCaution stands on every sheet. Common practice, no source.
const generalCaution = "Local codes, the collecting and discharge permits and the site's own rules come before this sheet. " +
	"Electrical, gas and pressure work is for people licensed to do it. Never work alone at night."

func (f *form) cautionSummary() []page.Block {
	items := []string{generalCaution}
	for _, c := range f.sheet.Protocol.Cautions {
		items = append(items, c.Text+f.stepsOf(c.Steps))
	}
	return spaced(3, f.cautionBoxes(items, false))
}

// stepsOf names steps by number: " (steps 1, 8)".
func (f *form) stepsOf(ids []string) string {
	var numbers []string
	for _, s := range f.sheet.Steps {
		for _, id := range ids {
			if s.Definition.ID == id {
				numbers = append(numbers, fmt.Sprint(s.Number))
			}
		}
	}
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return " (step " + numbers[0] + ")"
	}
	return " (steps " + strings.Join(numbers, ", ") + ")"
}

// timetable lists the steps with their clock times, in two columns.
func (f *form) timetable() []page.Block {
	blocks := []page.Block{f.title("Steps and times")}
	const titles = 44.0 // mm from the column's edge
	half := (f.width - columnGap) / 2
	rows := (len(f.sheet.Steps) + 1) / 2
	for r := range rows {
		b := page.Block{Keep: r == 0 && rows > 1}
		for c := range 2 {
			i := r + c*rows
			if i >= len(f.sheet.Steps) {
				break
			}
			s, x := &f.sheet.Steps[i], float64(c)*(half+columnGap)
			b.Text(x, 0, labelBold, fmt.Sprint(s.Number))
			b.Text(x+7, 0, labelBold, f.when(s.Time))
			b.Lines(x+titles, (labelBold.Line()-column.Line())*0.7, half-titles, column, s.Definition.Title)
		}
		b.Height += 0.3
		blocks = append(blocks, b)
	}
	return blocks
}

// when prints a step's time, or that it has none; in another year than the batch's start
// the year stands instead of the day of the week.
func (f *form) when(t time.Time) string {
	switch {
	case t.IsZero():
		return "when ready"
	case t.Year() != f.sheet.Plan.Start.Year():
		return t.Format(otherYear)
	}
	return t.Format(clock)
}

// materials lists what to have at hand, with a tick box each.
func (f *form) materials() []page.Block {
	if len(f.sheet.Protocol.Materials) == 0 {
		return nil
	}
	blocks := []page.Block{f.title("Have at hand")}
	name := f.width * 0.6
	for i, m := range f.sheet.Protocol.Materials {
		b := page.Block{Keep: i == 0 || i == len(f.sheet.Protocol.Materials)-2, Repeat: func() page.Block { return f.title("Have at hand (continued)") }}
		b.Add(page.Frame{X: 0.3, Y: 0.3, W: style.TickSide, H: style.TickSide, LineWidth: style.BoxLine})
		lower := b.Lines(9, 0.8, name-11, body, m.Name)
		if m.Amount != "" {
			lower = max(lower, b.Lines(name, 0.3, 38, page.Font{SizePt: style.ShownPt, Bold: true}, style.Powers(f.sheet.Show(m.Amount))))
		}
		b.Reach(max(lower, b.Lines(name+40, 0.8, f.width-name-40, column, m.Note), style.TickSide+0.6))
		b.Height += 0.9
		blocks = append(blocks, b)
	}
	return blocks
}

// legend explains the marks of the sheet.
func (f *form) legend() page.Block {
	rules := [][2]string{
		{required, "must be filled in. Where it was not done, write ND; leave no box blank. 0 is a number, not a blank."},
		{"grey", "is printed for you; white boxes are yours. Strike a mistake through once, write beside it, add initials."},
		{"(s) (p)", "after a name: the value was set by the site, or by the plan; without a mark by the protocol, or computed."},
		{"= ...", "beside a box: how to work it out from other boxes. Printed amounts are worked out under WORKING."},
		{"date, time", "year-month-day and the 24-hour clock: 2026-02-14, 18:05. Numbers in the unit printed beside the box."},
		{alarm, "after a choice: a finding by itself. Tell the lead at once."},
	}
	b := page.Block{Before: 3.5}
	top := 1.2
	for _, r := range rules {
		b.Text(3, top, columnHd, r[0])
		top = b.Lines(24, top, f.width-27, column, r[1]) + 0.5
	}
	b.Box(0, 0, f.width, top+1)
	b.Marks = append([]page.Mark{b.Marks[len(b.Marks)-1]}, b.Marks[:len(b.Marks)-1]...) // the box is white inside: draw it first
	return b
}
