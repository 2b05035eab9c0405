package benchsheet

import "spatsheet/render/style"

// block is a piece of a page that is never broken: its marks, placed from its own upper
// left corner at the left margin.
type block struct {
	before float64 // free space above it, dropped at the top of a page
	height float64
	marks  []mark
	keep   bool         // stays on one page with the block after it
	repeat func() block // printed again when a page begins with this block; may be nil
	fresh  bool         // begins a page
}

func (b *block) add(m mark) { b.marks = append(b.marks, m) }

// reach makes the block at least so high.
func (b *block) reach(y float64) { b.height = max(b.height, y) }

// text puts one line with its upper edge at top, and gives its lower edge.
func (b *block) text(x, top float64, f font, s string) float64 {
	if s, _ = style.Printable(s); s != "" {
		b.add(words{x: x, y: top + f.ascent(), font: f, text: s})
	}
	b.reach(top + f.line())
	return top + f.line()
}

// textRight puts one line that ends at right.
func (b *block) textRight(right, top float64, f font, s string) float64 {
	return b.text(right-f.width(s), top, f, s)
}

// lines puts text wrapped to a width, and gives the lower edge.
func (b *block) lines(x, top, width float64, f font, s string) float64 {
	for _, l := range f.wrap(s, width) {
		top = b.text(x, top, f, l)
	}
	return top
}

// box puts an empty box to write in.
func (b *block) box(x, y, w, h float64) {
	b.add(frame{x: x, y: y, w: w, h: h, lineWidth: style.BoxLine})
	b.reach(y + h)
}

// shade puts a grey ground for what is printed.
func (b *block) shade(x, y, w, h float64) {
	b.add(frame{x: x, y: y, w: w, h: h, grey: true})
	b.reach(y + h)
}

// under puts another block below what is there.
func (b *block) under(other block) {
	for _, m := range other.marks {
		b.add(m.moved(0, b.height))
	}
	b.height += other.height
}

func (b *block) rule(x1, y1, x2, y2, width float64) {
	b.add(line{x1: x1, y1: y1, x2: x2, y2: y2, width: width})
	b.reach(max(y1, y2))
}

// paragraphLines is how many lines of running text stay together at most.
const paragraphLines = 12

// paragraph makes blocks of running text; the last one keeps with what follows if keep.
func paragraph(x, width float64, f font, s string, keep bool) []block {
	lines := f.wrap(s, width)
	var blocks []block
	for len(lines) > 0 {
		n := min(len(lines), paragraphLines)
		b := block{}
		top := 0.0
		for _, l := range lines[:n] {
			top = b.text(x, top, f, l)
		}
		lines = lines[n:]
		b.keep = keep && len(lines) == 0
		blocks = append(blocks, b)
	}
	return blocks
}
