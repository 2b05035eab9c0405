package benchsheet

import (
	"fmt"

	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Boxes of signatures in mm. Site choice.
const (
	initialsBox  = 30.0
	remarkLines  = 8
	remarkHeight = 9.0
)

// initials are the boxes that a signed step ends with.
func (f *form) initials(s *calc.Step) page.Block {
	b := page.Block{Before: 4}
	names := []string{"Done by (initials)", "Checked by (initials)"}[:s.Definition.Signed]
	b.Text(0, (style.BoxHeight-labelBold.Line())/2, labelBold, fmt.Sprintf("Step %d", s.Number))
	for i, name := range names {
		x := f.width - float64(len(names)-i)*(initialsBox+columnGap+42) + columnGap + 42
		top := (style.BoxHeight - label.Line()) / 2
		left := rightOf(&b, x-3, top, label, name)
		b.Text(left-4, top, labelBold, required)
		b.Box(x, 0, initialsBox, style.BoxHeight)
	}
	return b
}

// rightOf puts text that ends at right, and gives where it begins.
func rightOf(b *page.Block, right, top float64, f page.Font, s string) float64 {
	b.TextRight(right, top, f, s)
	return right - f.Width(s)
}

// closing is the space for remarks and the review of the whole record, on one page.
func (f *form) closing() []page.Block {
	head := page.Block{Before: 8, Keep: true}
	head.Rule(0, 0, f.width, 0, style.HeavyLine)
	head.Text(0, 2.2, heading, "Remarks")
	blocks := []page.Block{head}
	for range remarkLines {
		b := page.Block{Keep: true}
		b.Rule(0, remarkHeight, f.width, remarkHeight, style.HairLine)
		blocks = append(blocks, b)
	}
	return append(blocks, f.review())
}

// review is where someone signs for the whole record.
func (f *form) review() page.Block {
	review := page.Block{Before: 6}
	lower := review.Lines(0, 0, f.width, titleFont, "Record reviewed: every box filled or marked ND, initials complete") + 2
	fields := []struct {
		name       string
		share, own float64
	}{{"name", 0.45, 12}, {"initials", 0.2, 14}, {"date", 0.35, 10}}
	x := 0.0
	for _, field := range fields {
		wide := f.width * field.share
		review.Text(x, lower+(style.BoxHeight-label.Line())/2, label, field.name)
		review.Box(x+field.own, lower, wide-field.own-4, style.BoxHeight)
		x += wide
	}
	return review
}
