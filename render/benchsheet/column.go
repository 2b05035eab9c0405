package benchsheet

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Sizes in mm of the cells of entry tables. Site choice.
const (
	cellInset    = 1.8
	tableDate    = 25.0 // "2026-02-14" by hand
	tableTime    = 19.0 // "18:05" by hand
	tableDigit   = 3.4  // a digit in a table is written smaller than in a box
	narrowDigit  = 2.8  // and still smaller where many columns share the paper
	initialsCell = 18.0
	rowNameMost  = 45.0
)

// tableColumn is a column of an entry table: the names of the rows, an amount printed in
// every row, or an entry.
type tableColumn struct {
	name    string
	details []string // under the name: how it is worked out, range
	aside   string   // what is too long to stand under the name
	entry   *protocols.Entry
	shown   int     // index into Row.Shown; -1 for the names of the rows
	least   float64 // mm, where the paper is narrow
	tight   float64 // mm, where it would not hold the table otherwise; 0 if it cannot
	width   float64 // mm
	most    float64 // width beyond which it gains nothing
	eager   float64 // its share of width to spare
}

func (c tableColumn) font() page.Font {
	if c.shown < 0 {
		return body
	}
	return page.Font{SizePt: style.ShownPt, Bold: true}
}

func (c tableColumn) text(row calc.Row) string {
	if c.shown < 0 {
		return row.Label
	}
	return show(row.Shown[c.shown])
}

// columns lists a table's columns with the width each needs.
func (f *form) columns(t *calc.Table) []tableColumn {
	names := tableColumn{name: t.Definition.RowLabel, shown: -1}
	columns := []tableColumn{names.fitted(t, rowNameMost)}
	for i, a := range t.Shown {
		c := tableColumn{name: a.Definition.Label, shown: i}
		columns = append(columns, c.fitted(t, rowNameMost))
	}
	for i := range t.Definition.Columns {
		columns = append(columns, f.entryColumn(t, &t.Definition.Columns[i]))
	}
	return columns
}

// fitted makes a printed column as wide as its widest text, within a limit.
func (c tableColumn) fitted(t *calc.Table, most float64) tableColumn {
	c.width = max(18, c.headWidth())
	for _, row := range t.Rows {
		c.width = max(c.width, min(most, c.font().Width(c.text(row))+2*cellInset+0.5))
	}
	c.least, c.most = c.width, c.width
	return c
}

func (f *form) entryColumn(t *calc.Table, e *protocols.Entry) tableColumn {
	c := tableColumn{name: e.Label, entry: e}
	c.describe(f, t, e)
	switch {
	case e.Kind == protocols.KindTime:
		c.least, c.width, c.most, c.eager = 38, tableDate+tableTime, 54, 0.5
	case e.Kind == protocols.KindDate:
		c.least, c.width, c.most, c.eager = 22, tableDate, 34, 0.5
	case e.Kind == protocols.KindChoice:
		c.most = ticksWidth(e, column) + 2*cellInset
		c.least, c.eager = narrowest(e, (len(e.Choices)+1)/2)+2*cellInset, 5
		c.tight = narrowest(e, len(e.Choices)) + 2*cellInset
	case e.Kind == protocols.KindText && strings.EqualFold(e.Label, "initials"):
		c.least, c.width, c.most = 15, initialsCell, 24
	case e.Kind == protocols.KindText:
		c.least, c.width, c.most, c.eager = 26, 34, 1000, 3
	default:
		c.least, c.width, c.most, c.eager = digits(e)*narrowDigit+3, digits(e)*tableDigit+3, 60, 1
	}
	c.least = max(15, c.least, c.headWidth())
	c.width = max(c.width, c.least)
	c.most = max(c.most, c.width)
	return c
}

// longestDetail is how many letters may stand in the head of a column, where lines are
// short; more goes above the table. Site choice.
const longestDetail = 30

// describe says what a column wants: under its name, or above the table where it is long.
func (c *tableColumn) describe(f *form, t *calc.Table, e *protocols.Entry) {
	if e.Kind == protocols.KindTime {
		c.details = append(c.details, "date and time")
	}
	var texts []string
	if e.How != "" {
		texts = append(texts, "= "+style.Powers(e.How))
	}
	if a, ok := f.sheet.Amount(e.Planned); ok && !shows(t, a) {
		texts = append(texts, "planned "+show(a.Rounded))
	}
	if e.HasRange {
		texts = append(texts, rangeText(e))
	}
	if e.Note != "" {
		texts = append(texts, e.Note)
	}
	var long []string
	for _, text := range texts {
		if len([]rune(text)) > longestDetail {
			long = append(long, text)
		} else {
			c.details = append(c.details, text)
		}
	}
	if len(long) > 0 {
		c.aside = e.Label + ": " + strings.Join(long, "; ")
	}
}

func shows(t *calc.Table, a *calc.Amount) bool {
	for _, s := range t.Shown {
		if s == a {
			return true
		}
	}
	return false
}

// bands divides columns over as many tables as the width of the paper asks for, and
// deals out the width to spare.
func (f *form) bands(columns []tableColumn) [][]tableColumn {
	tighten(columns, f.width)
	names := columns[0]
	bands := [][]tableColumn{{names}}
	used := names.least
	for _, c := range columns[1:] {
		c.least = min(c.least, f.width-names.least)
		if used+c.least > f.width {
			bands = append(bands, []tableColumn{names})
			used = names.least
		}
		last := len(bands) - 1
		bands[last] = append(bands[last], c)
		used += c.least
	}
	for _, band := range bands {
		squeeze(band, f.width)
		spread(band, f.width)
	}
	return bands
}

// tighten gives up the width wanted for choices where the table would not fit with it.
func tighten(columns []tableColumn, width float64) {
	least := 0.0
	for _, c := range columns {
		least += c.least
	}
	for i, c := range columns {
		if least > width && c.tight > 0 {
			columns[i].least = c.tight
		}
	}
}

// narrowest is the least width in mm in which the choices of e take at most so many lines.
func narrowest(e *protocols.Entry, lines int) float64 {
	width := 0.0
	for _, c := range e.Choices {
		width = max(width, tickWidth(e, c, column)-tickSpace+0.1)
	}
	for ; width < ticksWidth(e, column); width++ {
		var b page.Block
		if ticks(&b, e, 0, 0, width, column) <= float64(lines)*(style.TickSide+tickLead) {
			break
		}
	}
	return width
}

// squeeze brings columns that are too wide together nearer to their least widths, all by
// the same share of what they can give.
func squeeze(columns []tableColumn, width float64) {
	wanted, least := 0.0, 0.0
	for _, c := range columns {
		wanted += c.width
		least += c.least
	}
	if wanted <= width {
		return
	}
	share := (width - least) / (wanted - least)
	for i, c := range columns {
		columns[i].width = c.least + share*(c.width-c.least)
	}
}

// spread deals the width to spare out by eagerness, up to what each column can use.
func spread(columns []tableColumn, width float64) {
	for range columns { // each round fills at least one column or ends
		spare, eager := width, 0.0
		for _, c := range columns {
			spare -= c.width
			if c.width < c.most {
				eager += c.eager
			}
		}
		if spare < 0.01 || eager == 0 {
			return
		}
		for i, c := range columns {
			if c.width < c.most {
				columns[i].width = min(c.most, c.width+spare*c.eager/eager)
			}
		}
	}
}

func bandName(band, bands int) string { return fmt.Sprintf(", part %d of %d", band, bands) }

// headWidth is the width of the longest word in a column's head.
func (c tableColumn) headWidth() float64 {
	widest := 0.0
	for _, word := range strings.Fields(c.name) {
		widest = max(widest, columnHd.Width(word))
	}
	if c.entry != nil {
		widest = max(widest, columnHd.Width(c.unit()))
		if c.entry.Required {
			widest += columnHd.Width(required + "\u00a0")
		}
	}
	return min(widest+2*cellInset+0.3, rowNameMost)
}

func (c tableColumn) unit() string {
	if c.entry == nil || c.entry.Unit == (quantity.Unit{}) || c.entry.Unit.Print() == "" {
		return ""
	}
	return "(" + c.entry.Unit.Print() + ")"
}

func (c tableColumn) headHeight() float64 {
	var b page.Block
	return c.printHead(&b, 0, 0) + 1.6
}

// printHead prints name, unit and details, and gives the lower edge.
func (c tableColumn) printHead(b *page.Block, x, top float64) float64 {
	name := c.name
	if c.entry != nil && c.entry.Required {
		name = required + "\u00a0" + name
	}
	room := c.width - 2*cellInset
	top = b.Lines(x+cellInset, top, room, columnHd, name)
	top = b.Lines(x+cellInset, top, room, columnHd, c.unit())
	for _, d := range c.details {
		top = b.Lines(x+cellInset, top, room, small, d)
	}
	return top
}
