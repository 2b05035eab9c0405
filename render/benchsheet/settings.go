package benchsheet

import (
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// printed is a table that is only read.
type printed struct {
	title  string
	heads  []string
	shares []float64 // of the width; they add up to 1
	bold   int       // the column in bold
	fresh  bool      // begins a page
}

func (p printed) head(width float64, continued string) page.Block {
	b := page.Block{Before: 5, Keep: true, Fresh: p.fresh && continued == ""}
	top := b.Lines(0, 0, width, titleFont, p.title+continued) + 0.8
	x := 0.0
	b.Shade(0, top, width, columnHd.Line()+1.2)
	for i, h := range p.heads {
		b.Text(x+1, top+0.6, columnHd, h)
		x += p.shares[i] * width
	}
	return b
}

func (p printed) blocks(width float64, rows [][]string) []page.Block {
	blocks := []page.Block{p.head(width, "")}
	for i, row := range rows {
		b := page.Block{Keep: i < len(rows)-1 && (i == 0 || i == len(rows)-2), Repeat: func() page.Block { return p.head(width, " (continued)") }}
		x, lower := 0.0, 0.0
		for c, cell := range row {
			face := column
			if c == p.bold {
				face = columnHd
			}
			lower = max(lower, b.Lines(x+1, 0.7, p.shares[c]*width-2, face, cell))
			x += p.shares[c] * width
		}
		b.Rule(0, lower+0.5, width, lower+0.5, style.HairLine)
		blocks = append(blocks, b)
	}
	return blocks
}

// settings lists every value this sheet was computed from.
func (f *form) settings() []page.Block {
	var rows [][]string
	for _, v := range f.sheet.Settings {
		rows = append(rows, []string{v.Setting.Label, v.Setting.ID, show(v.Quantity), string(v.From), v.Source})
	}
	t := printed{
		title:  "Settings of this batch",
		heads:  []string{"setting", "name in formulas", "value", "from", "source"},
		shares: []float64{0.33, 0.21, 0.2, 0.09, 0.17}, bold: 2, fresh: true,
	}
	return t.blocks(f.width, rows)
}

// sources gives the full text of every source.
func (f *form) sources() []page.Block {
	if len(f.sheet.Protocol.Sources) == 0 {
		return nil
	}
	var rows [][]string
	for _, s := range f.sheet.Protocol.Sources {
		rows = append(rows, []string{s.ID, s.Text})
	}
	t := printed{title: "Sources", heads: []string{"source", "text"}, shares: []float64{0.14, 0.86}, bold: 0}
	return t.blocks(f.width, rows)
}
