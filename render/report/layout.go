package report

import (
	"strings"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Places in mm; site choice.
const (
	headRoom  = 8.0
	footRoom  = 7.0
	columnGap = 2.6
	rowGap    = 0.9
)

// layout turns a document into blocks as wide as a paper's text.
type layout struct {
	paper style.Paper
	list  []page.Block
}

var (
	body     = page.Font{SizePt: style.ReportBodyPt}
	heading  = page.Font{SizePt: style.ReportHeadingPt, Bold: true}
	cellText = page.Font{SizePt: style.ReportTablePt}
	cellBold = page.Font{SizePt: style.ReportTablePt, Bold: true}
)

// add puts a block that draws itself; y is its upper edge.
func (l *layout) add(b page.Block, draw func(c page.Canvas, y float64)) {
	l.list = append(l.list, l.drawn(b, draw))
}

func (l *layout) drawn(b page.Block, draw func(c page.Canvas, y float64)) page.Block {
	b.Add(page.Drawing{W: l.paper.TextWidth(), H: b.Height, By: func(c page.Canvas, _, y float64) { draw(c, y) }})
	return b
}

// wrapped is text in lines; at least one.
func wrapped(look page.Font, say string, width float64) []string {
	if lines := look.Wrap(say, width); len(lines) > 0 {
		return lines
	}
	return []string{""}
}

// lines adds text as one block; long texts are broken every dozen lines.
func (l *layout) lines(text string, look page.Font, before float64, keep bool) {
	lines := wrapped(look, text, l.paper.TextWidth())
	for first := true; len(lines) > 0; first = false {
		some := lines[:min(page.ParagraphLines, len(lines))]
		lines = lines[len(some):]
		b := page.Block{Height: float64(len(some)) * look.Line(), Keep: keep}
		if first {
			b.Before = before
		}
		l.add(b, func(c page.Canvas, y float64) {
			for i, say := range some {
				c.Text(l.paper.Left, y+float64(i)*look.Line()+look.Ascent(), look, say)
			}
		})
	}
}

func (l *layout) section(s section) {
	l.lines(s.title, heading, 6, true)
	for _, p := range s.parts {
		switch p := p.(type) {
		case paragraph:
			look := body
			if p.small {
				look = cellText
				look.Colour = style.Ink
			}
			l.lines(p.text, look, 1.5, false)
		case grid:
			l.grid(p)
		case pictures:
			l.pictures(p)
		}
	}
}

// pictures puts one figure, or two beside each other, over their captions.
func (l *layout) pictures(list pictures) {
	each := (l.paper.TextWidth() - 5*float64(len(list)-1)) / float64(len(list))
	captions, words, height := make([][]string, len(list)), 0, 0.0
	for i, f := range list {
		captions[i] = wrapped(cellText, f.caption, each)
		words = max(words, len(captions[i]))
		height = max(height, f.height)
	}
	l.add(page.Block{Before: 3, Height: height + 1 + float64(words)*cellText.Line()}, func(c page.Canvas, y float64) {
		for i, f := range list {
			x := l.paper.Left + float64(i)*(each+5)
			f.draw(c, x, y, each)
			for n, say := range captions[i] {
				c.Text(x, y+height+1+float64(n)*cellText.Line()+cellText.Ascent(), cellText, say)
			}
		}
	})
}

// grid puts a table, its head again on every page.
func (l *layout) grid(g grid) {
	if g.caption != "" {
		l.lines(g.caption, cellBold, 3, true)
	}
	widths := l.widths(g)
	var heads []string
	for _, c := range g.columns {
		heads = append(heads, c.head)
	}
	head := l.row(g, widths, heads, cellBold, true)
	head.Keep, head.Before = true, 1
	l.list = append(l.list, head)
	for i, row := range g.rows {
		look := cellText
		if g.bold[i] {
			look = cellBold
		}
		b := l.row(g, widths, row, look, false)
		b.Repeat = func() page.Block { return head }
		b.Keep = i == 0 && len(g.rows) > 1 || g.bold[i]
		l.list = append(l.list, b)
	}
}

// widths gives each column room for its longest word, and shares out the rest by how much
// wider its texts are.
func (l *layout) widths(g grid) []float64 {
	least, more := make([]float64, len(g.columns)), make([]float64, len(g.columns))
	for i, c := range g.columns {
		least[i], more[i] = wordWidth(c.head, cellBold), cellBold.Width(c.head)
		for n, row := range g.rows {
			look := cellText
			if g.bold[n] {
				look = cellBold
			}
			least[i], more[i] = max(least[i], wordWidth(row[i], look)), max(more[i], look.Width(row[i]))
		}
		least[i] = min(least[i], widestWord) + 0.1
		more[i] = max(min(more[i], widestCell), least[i]) + 0.1
	}
	room := l.paper.TextWidth() - columnGap*float64(len(g.columns)-1)
	sumLeast, sumMore := sumOf(least), sumOf(more)
	share := 1.0
	switch {
	case sumMore <= sumLeast:
	case sumLeast < room:
		share = (room - sumLeast) / (sumMore - sumLeast)
	default: // words must break
		return scaled(least, room/sumLeast)
	}
	out := make([]float64, len(least))
	for i := range out {
		out[i] = least[i] + share*(more[i]-least[i])
	}
	return scaled(out, room/sumOf(out))
}

// mostLines of a cell; what is longer stands in full in the tables beside the report.
const mostLines = 16

// Widest in mm: a word that is not broken, a text that is given room; site choice.
const (
	widestWord = 42.0
	widestCell = 75.0
)

func wordWidth(say string, look page.Font) float64 {
	widest := 0.0
	list := strings.FieldsFunc(say, func(r rune) bool { return r == ' ' })
	for i, w := range list {
		if i > 0 && isDigit(list[i-1][len(list[i-1])-1]) && isDigit(list[i-1][0]) { // a number keeps its unit
			w = list[i-1] + " " + w
		}
		widest = max(widest, look.Width(w))
	}
	return widest
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

func sumOf(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum
}

func scaled(list []float64, by float64) []float64 {
	for i := range list {
		list[i] *= by
	}
	return list
}

func (l *layout) row(g grid, widths []float64, cells []string, look page.Font, isHead bool) page.Block {
	texts, most := make([][]string, len(cells)), 1
	for i, say := range cells {
		texts[i] = wrapped(look, say, widths[i])
		if len(texts[i]) > mostLines {
			texts[i] = append(texts[i][:mostLines:mostLines], "...")
		}
		most = max(most, len(texts[i]))
	}
	height := float64(most)*look.Line() + rowGap
	return l.drawn(page.Block{Height: height}, func(c page.Canvas, y float64) {
		x := l.paper.Left
		for i, lines := range texts {
			l.cell(c, x, y+rowGap/2, widths[i], lines, look, g.columns[i].right)
			x += widths[i] + columnGap
		}
		rule := page.Pen{Colour: style.Faint, Width: 0.2}
		if isHead {
			rule = page.Pen{Colour: style.Black, Width: 0.4}
		}
		c.Path([]page.Point{page.At(l.paper.Left, y+height), page.At(l.paper.Left+l.paper.TextWidth(), y+height)}, rule)
	})
}

func (l *layout) cell(c page.Canvas, x, y, width float64, lines []string, look page.Font, right bool) {
	if right {
		look.Anchor = page.ToEnd
		x += width
	}
	for i, say := range lines {
		c.Text(x, y+float64(i)*look.Line()+look.Ascent(), look, say)
	}
}

// pages places the blocks.
func (l *layout) pages() ([]page.Page, error) {
	return page.Paginate(page.Room{Paper: l.paper, FirstHead: headRoom, Head: headRoom, Foot: footRoom}, l.list)
}
