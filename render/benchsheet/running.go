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
	b.text(0, 1, font{20, true}, f.sheet.Plan.Batch)
	left := font{20, true}.width(f.sheet.Plan.Batch) + 6
	right := f.width - smallCode - 3
	b.lines(left, 1, right-left, font{style.ColumnPt, true}, f.sheet.Protocol.Title)
	b.text(0, 9.6, font{style.SmallPt, false}, f.identity())
	b.add(f.code.at(f.width-smallCode+1, -2, smallCode))
	b.rule(0, 13.2, f.width, 13.2, style.HairLine)
	return placed(b, f.paper.Left, f.paper.Top)
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
