package pedigree

import (
	"fmt"
	"math"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// leastScale is the smallest that type may become on paper: 7.5 points to 5.6. Site choice.
const leastScale = 0.75

// tile is a part of the drawing (left to bottom, mm of the drawing) and where it goes on
// its page.
type tile struct {
	left, top, right, bottom float64
	page                     int     // from 0
	y                        float64 // mm of the page
}

// stripGap is the room between two strips of columns on one page, mm.
const stripGap = 5.0

// document draws the pages.
func (d *Drawing) document(paper style.Paper) *gofpdf.Fpdf {
	width, height := paper.Height, paper.Width // landscape
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: width, Ht: height}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(d.last)
	pdf.SetModificationDate(d.last)
	pdf.SetTitle(d.Title, true)
	pdf.SetCreator("spatsheet", true)
	pdf.SetAutoPageBreak(false, 0)
	style.AddFaces(pdf, nil)
	scale, tiles := d.tiles(width, height)
	pages := tiles[len(tiles)-1].page + 1
	for i, t := range tiles {
		if i == 0 || t.page != tiles[i-1].page {
			pdf.AddPage()
			d.frame(pdf, t.page+1, pages, width, height)
		}
		d.tile(pdf, scale, t)
	}
	return pdf
}

// room is what a page has for the drawing between title and legend.
func room(width, height float64) (w, h float64) {
	return width - 2*edgeRoom, height - 2*edgeRoom - headRoom - legendHeight
}

// pageTop is where the drawing begins on a page.
const pageTop = edgeRoom + headRoom - 2

// tiles breaks the drawing over pages: one where it fits, else strips of whole columns, as
// many under each other as a page holds; where a strip is higher than a page, it is broken
// between boxes. A strip begins with the gap before its first column, so that no number on
// a line is cut.
func (d *Drawing) tiles(width, height float64) (scale float64, tiles []tile) {
	w, h := room(width, height)
	columns := len(d.lay.columns)
	wide := float64(columns)*(boxWidth+columnGap) - columnGap
	high := columnTop + d.lay.height + 2 - pageTop
	scale = math.Min(1, math.Min((w-2)/(wide+2), h/high))
	if scale >= leastScale {
		return scale, []tile{{edgeRoom - 1, pageTop, edgeRoom + wide + 1, pageTop + high, 0, pageTop}}
	}
	scale = leastScale
	perStrip := max(1, int((w/scale-stub)/(boxWidth+columnGap)))
	page, y := 0, pageTop
	for first := 0; first < columns; first += perStrip {
		l, r := left(first)-columnGap+0.4, left(first)+float64(perStrip)*(boxWidth+columnGap)-columnGap+stub
		if first == 0 {
			l = left(0) - 1
		}
		for _, band := range d.bands(h/scale, first, first+perStrip) {
			tall := (band[1] - band[0]) * scale
			if y > pageTop && y+tall > pageTop+h {
				page, y = page+1, pageTop
			}
			tiles = append(tiles, tile{l, band[0], r, band[1], page, y})
			y += tall + stripGap
		}
	}
	return scale, tiles
}

// stub is how much of a line stands right of a strip's last column, mm.
const stub = 19.5

// bands breaks the height of a strip, columns first to before end, into pieces of at most
// high: between boxes where it can. Where boxes stand in each other's way, the next piece
// begins above those that are cut, so that every box is whole on one of them.
func (d *Drawing) bands(high float64, first, end int) [][2]float64 {
	var out [][2]float64
	top, bottom := pageTop, d.bottomOf(first, end)
	for bottom-top > high {
		cut, next := top+high, top+high
		for y := cut; y > top+high/2; y -= 0.5 {
			if len(d.boxesAt(y, first, end)) == 0 {
				cut, next = y, y
				break
			}
		}
		for _, n := range d.boxesAt(cut, first, end) {
			next = math.Min(next, n.y+columnTop-n.height/2-1)
		}
		out = append(out, [2]float64{top, cut})
		if next <= top { // a box higher than the page
			next = cut
		}
		top = next
	}
	return append(out, [2]float64{top, bottom})
}

// bottomOf is where a strip ends, with the lines to its neighbours.
func (d *Drawing) bottomOf(first, end int) float64 {
	bottom := 0.0
	for i := max(first-1, 0); i < min(end+1, len(d.lay.columns)); i++ {
		for _, n := range d.lay.columns[i] {
			low := n.y
			if i >= first && i < end {
				low += n.height / 2
			}
			bottom = math.Max(bottom, low)
		}
	}
	return columnTop + bottom + 2
}

// boxesAt lists the boxes that a level line would cut.
func (d *Drawing) boxesAt(y float64, first, end int) []*node {
	var cut []*node
	for _, column := range d.lay.columns[first:min(end, len(d.lay.columns))] {
		for _, n := range column {
			if !n.bend && math.Abs(n.y+columnTop-y) < n.height/2+0.5 {
				cut = append(cut, n)
			}
		}
	}
	return cut
}

// frame draws a page's title, number and legend.
func (d *Drawing) frame(pdf *gofpdf.Fpdf, number, of int, width, height float64) {
	plain := canvas{pdf, 1, 0, 0}
	for _, m := range append(d.pageHead(number, of, width), legend(edgeRoom, height-edgeRoom-legendHeight+8)...) {
		plain.draw(m)
	}
}

// tile draws one part of the drawing; numbers on lines that would be cut stand on the part
// that has the line's end.
func (d *Drawing) tile(pdf *gofpdf.Fpdf, scale float64, t tile) {
	pdf.ClipRect(edgeRoom, t.y, (t.right-t.left)*scale, (t.bottom-t.top)*scale, false)
	c := canvas{pdf, scale, edgeRoom - t.left*scale, t.y - t.top*scale}
	for _, m := range d.scene {
		l, top, r, bottom := m.extent()
		label, isText := m.(text)
		switch {
		case r < t.left || l > t.right || bottom < t.top || top > t.bottom:
		case isText && label.ground && (l < t.left || r > t.right-stub):
		default:
			c.draw(m)
		}
	}
	for _, m := range d.crossings(t) {
		c.draw(m)
	}
	pdf.ClipEnd()
}

func (d *Drawing) pageHead(number, of int, width float64) []mark {
	head := text{edgeRoom, edgeRoom + 4, style.TitlePt, true, cut(d.Title, style.Bold(), style.TitlePt, width-2*edgeRoom-30), false}
	count := text{0, edgeRoom + 4, style.SmallPt, false, fmt.Sprintf("page %d of %d", number, of), false}
	count.x = width - edgeRoom - count.wide()
	return []mark{head, count}
}

// crossings names the batch that a line cut by the right side of a tile leads to, and the
// one that a line at its left side comes from.
func (d *Drawing) crossings(t tile) []mark {
	var marks []mark
	for _, column := range d.lay.columns {
		for _, n := range column {
			for _, e := range n.from {
				a, b := e.a.leaves(e), n.enters(e)
				if a.x < t.right && b.x > t.right {
					marks = append(marks, note(a, b, t.right, "to "+e.ends.code, t)...)
				}
				if a.x <= t.left && b.x > t.left {
					marks = append(marks, note(a, b, t.left, "from "+source(e), t)...)
				}
			}
		}
	}
	return marks
}

// note stands above a line where it meets a side of a tile, inside of it and clear of a
// number on the line; a long code takes more than one line.
func note(a, b at, x float64, words string, t tile) []mark {
	const sizePt = textPt - 1.5
	lines := broken(words, style.Regular(), sizePt, stub-1.5)
	wide := 0.0
	for _, line := range lines {
		wide = math.Max(wide, style.Regular().Width(line, sizePt))
	}
	left := x + 0.5
	if x > t.left {
		left = x - wide - 0.5
	}
	y := math.Min(height(a, b, left), height(a, b, left+wide)) - 1.7
	var marks []mark
	for i, line := range lines {
		marks = append(marks, text{left, y - float64(len(lines)-1-i)*style.LineMM(sizePt), sizePt, false, line, false})
	}
	return marks
}

// height is that of the line from a to b at x.
func height(a, b at, x float64) float64 { return a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x) }

// source is the batch at the beginning of a whole line.
func source(e *edge) string {
	for e.a.bend {
		e = e.a.from[0]
	}
	return e.a.code
}

// canvas is a page with a scale and a shift.
type canvas struct {
	pdf           *gofpdf.Fpdf
	scale, dx, dy float64
}

func (c canvas) draw(m mark) {
	switch m := m.(type) {
	case path:
		c.path(m)
	case text:
		c.text(m)
	}
}

func (c canvas) path(p path) {
	c.pdf.SetDrawColor(0, 0, 0)
	c.pdf.SetLineWidth(p.width * c.scale)
	var dash []float64
	for _, l := range p.dash {
		dash = append(dash, l*c.scale)
	}
	c.pdf.SetDashPattern(dash, 0)
	var points []gofpdf.PointType
	for _, q := range p.points {
		points = append(points, gofpdf.PointType{X: q.x*c.scale + c.dx, Y: q.y*c.scale + c.dy})
	}
	if p.closed {
		level := 255
		if p.grey {
			level = style.Grey
		}
		c.pdf.SetFillColor(level, level, level)
		c.pdf.Polygon(points, "FD")
		return
	}
	for i := 1; i < len(points); i++ {
		c.pdf.Line(points[i-1].X, points[i-1].Y, points[i].X, points[i].Y)
	}
}

func (c canvas) text(t text) {
	if t.ground {
		l, top, r, bottom := t.extent()
		c.pdf.SetFillColor(255, 255, 255)
		c.pdf.Rect((l-0.4)*c.scale+c.dx, top*c.scale+c.dy, (r-l+0.8)*c.scale, (bottom-top)*c.scale, "F")
	}
	weight := ""
	if t.bold {
		weight = "B"
	}
	c.pdf.SetTextColor(0, 0, 0)
	c.pdf.SetFont(style.Family, weight, t.sizePt*c.scale)
	c.pdf.Text(t.x*c.scale+c.dx, t.y*c.scale+c.dy, t.words)
}
