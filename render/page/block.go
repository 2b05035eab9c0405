package page

import (
	"fmt"

	"spatsheet/render/style"
)

// Block is a piece of a page that is never broken: its marks, placed from its own upper
// left corner at the left margin.
type Block struct {
	Before float64 // free space above it, dropped at the top of a page
	Height float64
	Marks  []Mark
	Keep   bool         // stays on one page with the block after it
	Repeat func() Block // printed again when a page begins with this block; may be nil
	Fresh  bool         // begins a page
}

// Add puts a mark into the block.
func (b *Block) Add(m Mark) { b.Marks = append(b.Marks, m) }

// Reach makes the block at least so high.
func (b *Block) Reach(y float64) { b.Height = max(b.Height, y) }

// Text puts one line with its upper edge at top, and gives its lower edge.
func (b *Block) Text(x, top float64, f Font, s string) float64 {
	if s, _ = style.Printable(s); s != "" {
		b.Add(Words{X: x, Y: top + f.Ascent(), Font: f, Text: s})
	}
	b.Reach(top + f.Line())
	return top + f.Line()
}

// TextRight puts one line that ends at right.
func (b *Block) TextRight(right, top float64, f Font, s string) float64 {
	return b.Text(right-f.Width(s), top, f, s)
}

// Lines puts text wrapped to a width, and gives the lower edge.
func (b *Block) Lines(x, top, width float64, f Font, s string) float64 {
	for _, l := range f.Wrap(s, width) {
		top = b.Text(x, top, f, l)
	}
	return top
}

// Box puts an empty box to write in.
func (b *Block) Box(x, y, w, h float64) {
	b.Add(Frame{X: x, Y: y, W: w, H: h, LineWidth: style.BoxLine})
	b.Reach(y + h)
}

// Shade puts a grey ground for what is printed.
func (b *Block) Shade(x, y, w, h float64) {
	b.Add(Frame{X: x, Y: y, W: w, H: h, Grey: true})
	b.Reach(y + h)
}

// Under puts another block below what is there.
func (b *Block) Under(other Block) {
	for _, m := range other.Marks {
		b.Add(m.Moved(0, b.Height))
	}
	b.Height += other.Height
}

// Rule puts a straight line.
func (b *Block) Rule(x1, y1, x2, y2, width float64) {
	b.Add(Line{X1: x1, Y1: y1, X2: x2, Y2: y2, Width: width})
	b.Reach(max(y1, y2))
}

// ParagraphLines is how many lines of running text stay together at most.
const ParagraphLines = 12

// Paragraph makes blocks of running text; the last one keeps with what follows if keep.
func Paragraph(x, width float64, f Font, s string, keep bool) []Block {
	lines := f.Wrap(s, width)
	var blocks []Block
	for len(lines) > 0 {
		n := min(len(lines), ParagraphLines)
		b := Block{}
		top := 0.0
		for _, l := range lines[:n] {
			top = b.Text(x, top, f, l)
		}
		lines = lines[n:]
		b.Keep = keep && len(lines) == 0
		blocks = append(blocks, b)
	}
	return blocks
}

// HeightOf is what blocks take under each other.
func HeightOf(blocks []Block) float64 {
	height := 0.0
	for _, b := range blocks {
		height += b.Before + b.Height
	}
	return height
}

func firstWords(b Block) string {
	for _, m := range b.Marks {
		if w, ok := m.(Words); ok {
			return fmt.Sprintf("%q", w.Text)
		}
	}
	return "a block"
}
