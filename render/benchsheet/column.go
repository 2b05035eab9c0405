package benchsheet

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/quantity"
	"spatsheet/protocols"
	"spatsheet/render/style"
)

// Sizes in mm of the cells of entry tables. Site choice.
const (
	cellInset    = 1.8
	tableDate    = 25.0 // "2026-02-14" by hand
	tableTime    = 19.0 // "18:05" by hand
	tableDigit   = 3.4  // a digit in a table is written smaller than in a box
	initialsCell = 18.0
	rowNameMost  = 45.0
)

// tableColumn is a column of an entry table: the names of the rows, an amount printed in
// every row, or an entry.
type tableColumn struct {
	name    string
	details []string // under the name: unit, how it is worked out, range
	entry   *protocols.Entry
	shown   int     // index into Row.Shown; -1 for the names of the rows
	width   float64 // in mm
	most    float64 // width beyond which it gains nothing
	eager   float64 // its share of width to spare
}

func (c tableColumn) font() font {
	if c.shown < 0 {
		return body
	}
	return font{style.ShownPt, true}
}

func (c tableColumn) text(row calc.Row) string {
	if c.shown < 0 {
		return row.Label
	}
	return row.Shown[c.shown].Format(0)
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
		c.width = max(c.width, min(most, c.font().width(c.text(row))+2*cellInset+0.5))
	}
	c.most = c.width
	return c
}

func (f *form) entryColumn(t *calc.Table, e *protocols.Entry) tableColumn {
	c := tableColumn{name: e.Label, entry: e, details: f.columnDetails(t, e)}
	switch {
	case e.Kind == protocols.KindTime:
		c.width, c.most, c.eager = tableDate+tableTime, 54, 0.5
	case e.Kind == protocols.KindDate:
		c.width, c.most, c.eager = tableDate, 34, 0.5
	case e.Kind == protocols.KindChoice:
		c.width, c.most, c.eager = 30, ticksWidth(e, column)+2*cellInset, 5
	case e.Kind == protocols.KindText && strings.EqualFold(e.Label, "initials"):
		c.width, c.most = initialsCell, 24
	case e.Kind == protocols.KindText:
		c.width, c.most, c.eager = 34, 1000, 3
	default:
		c.width, c.most, c.eager = max(18, digits(e)*tableDigit+3), 60, 1
	}
	c.width = max(c.width, c.headWidth())
	if c.most < c.width {
		c.most = c.width
	}
	return c
}

// columnDetails is what stands under the name of an entry column.
func (f *form) columnDetails(t *calc.Table, e *protocols.Entry) []string {
	var details []string
	if e.Kind == protocols.KindTime {
		details = append(details, "date and time")
	}
	if e.How != "" {
		details = append(details, "= "+e.How)
	}
	if a, ok := f.sheet.Amount(e.Planned); ok && !shows(t, a) {
		details = append(details, "planned "+a.Rounded.Format(0))
	}
	if e.HasRange {
		details = append(details, rangeText(e))
	}
	if e.Note != "" {
		details = append(details, e.Note)
	}
	return details
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
	names := columns[0]
	bands := [][]tableColumn{{names}}
	used := names.width
	for _, c := range columns[1:] {
		c.width = min(c.width, f.width-names.width)
		if used+c.width > f.width {
			bands = append(bands, []tableColumn{names})
			used = names.width
		}
		last := len(bands) - 1
		bands[last] = append(bands[last], c)
		used += c.width
	}
	for _, band := range bands {
		spread(band, f.width)
	}
	return bands
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
		widest = max(widest, columnHd.width(word))
	}
	if c.entry != nil {
		widest = max(widest, columnHd.width(c.unit()))
		if c.entry.Required {
			widest += columnHd.width(required + " ")
		}
	}
	return min(widest+2*cellInset, rowNameMost)
}

func (c tableColumn) unit() string {
	if c.entry == nil || c.entry.Unit == (quantity.Unit{}) || c.entry.Unit.Print() == "" {
		return ""
	}
	return "(" + c.entry.Unit.Print() + ")"
}

func (c tableColumn) headHeight() float64 {
	var b block
	return c.printHead(&b, 0, 0) + 1.6
}

// printHead prints name, unit and details, and gives the lower edge.
func (c tableColumn) printHead(b *block, x, top float64) float64 {
	name := c.name
	if c.entry != nil && c.entry.Required {
		name = required + " " + name
	}
	room := c.width - 2*cellInset
	top = b.lines(x+cellInset, top, room, columnHd, name)
	top = b.lines(x+cellInset, top, room, columnHd, c.unit())
	for _, d := range c.details {
		top = b.lines(x+cellInset, top, room, small, d)
	}
	return top
}
