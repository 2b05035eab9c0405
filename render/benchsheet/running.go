package benchsheet

import (
	"fmt"
	"strings"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// smallCode is the side of the running head's QR code in mm, quiet border included: a
// module of 0.45 mm, which a telephone reads from paper.
const smallCode = 15.0

// identity is what tells this sheet from every other.
func (f *form) identity() string {
	return f.sheet.Protocol.Ref() + "  digest " + f.sheet.Digest
}

// runningHead stands on every page after the first.
func (f *form) runningHead() []page.Mark {
	b := page.Block{}
	room := f.width - smallCode - 3
	batch := fitted(page.Font{SizePt: style.RunningPt, Bold: true}, f.sheet.Plan.Batch, room*0.6)
	b.Text(0, 1, batch, f.sheet.Plan.Batch)
	left := batch.Width(f.sheet.Plan.Batch) + 6
	title := shortened(columnHd.Wrap(f.sheet.Protocol.Title, room-left-columnHd.Width(" ...")), 2)
	top := 1.0
	for _, l := range title {
		top = b.Text(left, top, columnHd, l)
	}
	b.Text(0, 9.6, fitted(small, f.identity(), room), f.identity())
	b.Add(f.code.Flush(f.width, 0, smallCode))
	b.Rule(0, 13.2, f.width, 13.2, style.HairLine)
	return placed(b, f.paper.Left, f.paper.Top)
}

// fitted makes a font smaller where a line would be too wide.
func fitted(f page.Font, line string, width float64) page.Font {
	if wide := f.Width(line); wide > width {
		f.SizePt *= width / wide
	}
	return f
}

// shortened keeps the first lines of a text that stands in full elsewhere.
func shortened(lines []string, most int) []string {
	if len(lines) <= most {
		return lines
	}
	short := append([]string{}, lines[:most]...)
	short[most-1] += " ..."
	return short
}

// foot gives the page's number and the rule that is most often forgotten.
func (f *form) foot(p page.Page, number, of int) []page.Mark {
	b := page.Block{}
	note := "Not done: write ND. Leave no box blank; 0 is a number."
	if usesUnprintable(p) {
		note += "  " + string(style.Unprintable) + " in a text: a sign that cannot be printed."
	}
	b.Text(0, 0, small, note)
	b.TextRight(f.width, 0, page.Font{SizePt: style.LabelPt, Bold: true}, fmt.Sprintf("page %d of %d", number, of))
	return placed(b, f.paper.Left, f.paper.Height-f.paper.Bottom-page.Font{SizePt: style.LabelPt, Bold: true}.Line())
}

func placed(b page.Block, x, y float64) []page.Mark {
	var marks []page.Mark
	for _, m := range b.Marks {
		marks = append(marks, m.Moved(x, y))
	}
	return marks
}

func usesUnprintable(p page.Page) bool {
	for _, m := range p {
		if w, ok := m.(page.Words); ok && strings.ContainsRune(w.Text, style.Unprintable) {
			return true
		}
	}
	return false
}
