package benchsheet

import (
	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// table prints an entry table; one too wide for the paper is printed as several, each
// with the names of its rows.
func (f *form) table(t *calc.Table) []page.Block {
	var blocks []page.Block
	bands := f.bands(f.columns(t))
	for i, columns := range bands {
		g := grid{form: f, table: t, columns: columns, band: i + 1, bands: len(bands)}
		blocks = append(blocks, g.blocks()...)
	}
	return blocks
}

// grid is an entry table, or as much of its width as the paper holds.
type grid struct {
	form        *form
	table       *calc.Table
	columns     []tableColumn
	band, bands int
}

// blocks gives title, head and rows; the first two rows stay with the head, the last two
// with each other, and a page that begins inside repeats title and head.
func (g grid) blocks() []page.Block {
	first := g.head("")
	first.Before, first.Keep = 4, true
	blocks := []page.Block{first}
	for r := range g.table.Rows {
		b := g.row(r)
		last := len(g.table.Rows) - 1
		b.Keep = r == 0 && last > 0 || r == last-1
		b.Repeat = func() page.Block { return g.head(" (continued)") }
		blocks = append(blocks, b)
	}
	return blocks
}

// head is the title and the names of the columns.
func (g grid) head(continued string) page.Block {
	b := page.Block{}
	def := g.table.Definition
	title := def.Title + continued
	if g.bands > 1 {
		title += bandName(g.band, g.bands)
	}
	hint := "fill in every row"
	if def.Partial {
		hint = "fill in rows as far as the work goes, at least one"
	}
	room := g.form.width - small.Width(hint) - 4
	if wide := titleFont.Width(title); wide <= room {
		room = wide
	}
	top := b.Lines(0, 0, room+0.01, titleFont, title) + 0.8
	b.Text(room+4, 1.2, small, hint)
	for _, c := range g.columns {
		if c.aside != "" && continued == "" {
			top = b.Lines(0, top, g.form.width, small, c.aside) + 0.4
		}
	}
	height := 0.0
	for _, c := range g.columns {
		height = max(height, c.headHeight())
	}
	x := 0.0
	for _, c := range g.columns {
		b.Add(page.Frame{X: x, Y: top, W: c.width, H: height, LineWidth: style.BoxLine, Grey: true})
		c.printHead(&b, x, top+0.8)
		x += c.width
	}
	b.Height = top + height
	return b
}

// row is one row, as high as its highest cell.
func (g grid) row(r int) page.Block {
	b := page.Block{}
	height := style.RowHeight
	row := g.table.Rows[r]
	for _, c := range g.columns {
		height = max(height, c.cellHeight(row))
	}
	x := 0.0
	for _, c := range g.columns {
		b.Add(page.Frame{X: x, Y: 0, W: c.width, H: height, LineWidth: style.BoxLine, Grey: c.entry == nil})
		c.printCell(&b, row, x, height)
		x += c.width
	}
	b.Height = height
	return b
}

// printCell puts what is printed in a cell: its row's name or amount, tick boxes, the
// parts of a date and time.
func (c tableColumn) printCell(b *page.Block, row calc.Row, x, height float64) {
	switch {
	case c.entry == nil:
		lines := c.font().Wrap(c.text(row), c.width-2*cellInset)
		top := (height - float64(len(lines))*c.font().Line()) / 2
		for _, l := range lines {
			top = b.Text(x+cellInset, top, c.font(), l)
		}
	case c.entry.Kind == protocols.KindChoice:
		ticks(b, c.entry, x+cellInset, (height-c.ticksHeight())/2, c.width-2*cellInset, column)
	case c.entry.Kind == protocols.KindTime:
		split := x + c.width*tableDate/(tableDate+tableTime)
		b.Add(page.Line{X1: split, Y1: 0, X2: split, Y2: height, Width: style.HairLine})
		middle := (split + x + c.width - heading.Width(":")) / 2
		b.Text(middle, (height-heading.Line())/2, heading, ":")
	}
}

// cellHeight is the least height of a cell.
func (c tableColumn) cellHeight(row calc.Row) float64 {
	switch {
	case c.entry == nil:
		return float64(len(c.font().Wrap(c.text(row), c.width-2*cellInset)))*c.font().Line() + 1.5
	case c.entry.Kind == protocols.KindChoice:
		return c.ticksHeight() + 3
	}
	return style.RowHeight
}

func (c tableColumn) ticksHeight() float64 {
	var b page.Block
	return ticks(&b, c.entry, 0, 0, c.width-2*cellInset, column)
}
