package benchsheet

import (
	"fmt"
	"strings"

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
func (f *form) runningHead() []mark {
	b := block{}
	room := f.width - smallCode - 3
	batch := fitted(font{style.RunningPt, true}, f.sheet.Plan.Batch, room*0.6)
	b.text(0, 1, batch, f.sheet.Plan.Batch)
	left := batch.width(f.sheet.Plan.Batch) + 6
	title := shortened(columnHd.wrap(f.sheet.Protocol.Title, room-left-columnHd.width(" ...")), 2)
	top := 1.0
	for _, l := range title {
		top = b.text(left, top, columnHd, l)
	}
	b.text(0, 9.6, fitted(small, f.identity(), room), f.identity())
	b.add(f.code.flush(f.width, 0, smallCode))
	b.rule(0, 13.2, f.width, 13.2, style.HairLine)
	return placed(b, f.paper.Left, f.paper.Top)
}

// fitted makes a font smaller where a line would be too wide.
func fitted(f font, line string, width float64) font {
	if wide := f.width(line); wide > width {
		f.sizePt *= width / wide
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
func (f *form) foot(p page, number, of int) []mark {
	b := block{}
	note := "Not done: write ND. Leave no box blank; 0 is a number."
	if usesUnprintable(p) {
		note += "  " + string(style.Unprintable) + " in a text: a sign that cannot be printed."
	}
	b.text(0, 0, small, note)
	b.textRight(f.width, 0, font{style.LabelPt, true}, fmt.Sprintf("page %d of %d", number, of))
	return placed(b, f.paper.Left, f.paper.Height-f.paper.Bottom-font{style.LabelPt, true}.line())
}

func placed(b block, x, y float64) []mark {
	var marks []mark
	for _, m := range b.marks {
		marks = append(marks, m.moved(x, y))
	}
	return marks
}

func usesUnprintable(p page) bool {
	for _, m := range p {
		if w, ok := m.(words); ok && strings.ContainsRune(w.text, style.Unprintable) {
			return true
		}
	}
	return false
}
