package benchsheet

import (
	"fmt"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// Boxes of signatures in mm. Site choice.
const (
	initialsBox  = 30.0
	remarkLines  = 8
	remarkHeight = 9.0
)

// initials are the boxes that a signed step ends with.
func (f *form) initials(s *calc.Step) block {
	b := block{before: 4}
	names := []string{"Done by (initials)", "Checked by (initials)"}[:s.Definition.Signed]
	b.text(0, (style.BoxHeight-labelBold.line())/2, labelBold, fmt.Sprintf("Step %d", s.Number))
	x := f.width - float64(len(names))*(initialsBox+44)
	for _, name := range names {
		top := (style.BoxHeight - label.line()) / 2
		b.text(x+2, top, labelBold, required)
		b.text(x+6, top, label, name)
		b.box(x+44, 0, initialsBox, style.BoxHeight)
		x += initialsBox + 44
	}
	return b
}

// closing is the space for remarks and the review of the whole record.
func (f *form) closing() []block {
	remarks := block{before: 8, keep: true}
	remarks.rule(0, 0, f.width, 0, style.HeavyLine)
	top := remarks.text(0, 2.2, heading, "Remarks")
	for range remarkLines {
		top += remarkHeight
		remarks.rule(0, top, f.width, top, style.HairLine)
	}
	review := block{before: 6}
	lower := review.lines(0, 0, f.width, titleFont, "Record reviewed: every box filled or marked ND, initials complete") + 2
	fields := []struct {
		name       string
		share, own float64
	}{{"name", 0.45, 12}, {"initials", 0.2, 14}, {"date", 0.35, 10}}
	x := 0.0
	for _, field := range fields {
		wide := f.width * field.share
		review.text(x, lower+(style.BoxHeight-label.line())/2, label, field.name)
		review.box(x+field.own, lower, wide-field.own-4, style.BoxHeight)
		x += wide
	}
	return []block{remarks, review}
}
