package report

import (
	"strings"

	"spatsheet/render/style"
)

// block is a piece of a page that is never broken.
type block struct {
	before, height float64
	keep           bool                      // stays with the block after it
	draw           func(c canvas, y float64) // y of its upper edge
	repeat         *block                    // printed again when a page begins with this block
}

// sheet is a printed page: blocks with their places.
type sheet []laid

type laid struct {
	block block
	y     float64
}

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
	list  []block
}

var (
	body     = letters{sizePt: style.ReportBodyPt}
	heading  = letters{sizePt: style.ReportHeadingPt, bold: true}
	cellText = letters{sizePt: style.ReportTablePt}
	cellBold = letters{sizePt: style.ReportTablePt, bold: true}
)

func (l *layout) add(b block) { l.list = append(l.list, b) }

// lines adds text as one block; long texts are broken every dozen lines.
func (l *layout) lines(text string, look letters, before float64, keep bool) {
	lines := look.wrap(text, l.paper.TextWidth())
	for first := true; len(lines) > 0; first = false {
		some := lines[:min(12, len(lines))]
		lines = lines[len(some):]
		b := block{height: float64(len(some)) * look.line(), keep: keep, draw: func(c canvas, y float64) {
			for i, say := range some {
				c.text(l.paper.Left, y+float64(i)*look.line()+look.ascent(), look, say)
			}
		}}
		if first {
			b.before = before
		}
		l.add(b)
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
				look.colour = style.Ink
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
		captions[i] = cellText.wrap(f.caption, each)
		words = max(words, len(captions[i]))
		height = max(height, f.height)
	}
	l.add(block{before: 3, height: height + 1 + float64(words)*cellText.line(), draw: func(c canvas, y float64) {
		for i, f := range list {
			x := l.paper.Left + float64(i)*(each+5)
			f.draw(c, x, y, each)
			for n, say := range captions[i] {
				c.text(x, y+height+1+float64(n)*cellText.line()+cellText.ascent(), cellText, say)
			}
		}
	}})
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
	head.keep, head.before = true, 1
	l.add(head)
	for i, row := range g.rows {
		look := cellText
		if g.bold[i] {
			look = cellBold
		}
		b := l.row(g, widths, row, look, false)
		b.repeat = &head
		b.keep = i == 0 && len(g.rows) > 1 || g.bold[i]
		l.add(b)
	}
}

// widths gives each column room for its longest word, and shares out the rest by how much
// wider its texts are.
func (l *layout) widths(g grid) []float64 {
	least, more := make([]float64, len(g.columns)), make([]float64, len(g.columns))
	for i, c := range g.columns {
		least[i], more[i] = wordWidth(c.head, cellBold), cellBold.width(c.head)
		for n, row := range g.rows {
			look := cellText
			if g.bold[n] {
				look = cellBold
			}
			least[i], more[i] = max(least[i], wordWidth(row[i], look)), max(more[i], look.width(row[i]))
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

func wordWidth(say string, look letters) float64 {
	widest := 0.0
	list := strings.FieldsFunc(say, func(r rune) bool { return r == ' ' })
	for i, w := range list {
		if i > 0 && isDigit(list[i-1][len(list[i-1])-1]) && isDigit(list[i-1][0]) { // a number keeps its unit
			w = list[i-1] + " " + w
		}
		widest = max(widest, look.width(w))
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

func (l *layout) row(g grid, widths []float64, cells []string, look letters, isHead bool) block {
	wrapped, most := make([][]string, len(cells)), 1
	for i, say := range cells {
		wrapped[i] = look.wrap(say, widths[i])
		if len(wrapped[i]) > mostLines {
			wrapped[i] = append(wrapped[i][:mostLines:mostLines], "...")
		}
		most = max(most, len(wrapped[i]))
	}
	height := float64(most)*look.line() + rowGap
	return block{height: height, draw: func(c canvas, y float64) {
		x := l.paper.Left
		for i, lines := range wrapped {
			l.cell(c, x, y+rowGap/2, widths[i], lines, look, g.columns[i].right)
			x += widths[i] + columnGap
		}
		rule := pen{colour: style.Faint, width: 0.2}
		if isHead {
			rule = pen{colour: style.Black, width: 0.4}
		}
		c.path([]place{{l.paper.Left, y + height}, {l.paper.Left + l.paper.TextWidth(), y + height}}, rule)
	}}
}

func (l *layout) cell(c canvas, x, y, width float64, lines []string, look letters, right bool) {
	if right {
		look.anchor = toEnd
		x += width
	}
	for i, say := range lines {
		c.text(x, y+float64(i)*look.line()+look.ascent(), look, say)
	}
}

// pages places the blocks; blocks that keep together go to the next page together.
func (l *layout) pages() []sheet {
	top, bottom := l.paper.Top+headRoom, l.paper.Height-l.paper.Bottom-footRoom
	pages := []sheet{nil}
	y := top
	put := func(b block) {
		if y > top && y+b.before+b.height > bottom { // what keeps together fills more than a page
			pages = append(pages, nil)
			y = top
		}
		if y > top {
			y += b.before
		}
		pages[len(pages)-1] = append(pages[len(pages)-1], laid{b, y})
		y += b.height
	}
	for at := 0; at < len(l.list); {
		end := at + 1
		for end < len(l.list) && l.list[end-1].keep {
			end++
		}
		need := 0.0
		for _, b := range l.list[at:end] {
			need += b.before + b.height
		}
		if y > top && y+need > bottom {
			pages = append(pages, nil)
			y = top
			if again := l.list[at].repeat; again != nil {
				put(*again)
			}
		}
		for _, b := range l.list[at:end] {
			put(b)
		}
		at = end
	}
	return pages
}
