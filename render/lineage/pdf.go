package lineage

import (
	"fmt"
	"slices"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// leastScale is the smallest that type may become on paper: 8 points to 6. Site choice.
const leastScale = 0.75

// tile is a part of the drawing (left to bottom, mm of the drawing) and where it goes on
// its page; the dates of its columns stand above it.
type tile struct {
	left, top, right, bottom float64
	page                     int     // from 0
	y                        float64 // of its top, mm of the page
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

// frame draws a page's title, number and legend.
func (d *Drawing) frame(pdf *gofpdf.Fpdf, number, of int, width, height float64) {
	plain := canvas{pdf, 1, 0, 0}
	for _, m := range append(d.pageHead(number, of, width), legend(edgeRoom, height-edgeRoom-legendHeight+legendGap)...) {
		plain.draw(m)
	}
}

// tile draws one part of the drawing under its dates; a number that is not whole on it is
// left out, and stands in the note at the line.
func (d *Drawing) tile(pdf *gofpdf.Fpdf, scale float64, t tile) {
	over := canvas{pdf, scale, edgeRoom - t.left*scale, t.y - bodyTop*scale}
	for _, m := range d.datesOver(t) {
		over.draw(m)
	}
	pdf.ClipRect(edgeRoom, t.y, (t.right-t.left)*scale, (t.bottom-t.top)*scale, false)
	c := canvas{pdf, scale, edgeRoom - t.left*scale, t.y - t.top*scale}
	for _, m := range append(d.shown(t), d.crossings(t)...) {
		c.draw(m)
	}
	pdf.ClipEnd()
}

// datesOver are the dates of a tile's columns, where they stand in the whole drawing.
func (d *Drawing) datesOver(t tile) []mark {
	return slices.DeleteFunc(d.lay.dateMarks(), func(m mark) bool {
		l, _, r, _ := m.extent()
		return l < t.left || r > t.right
	})
}

// shown are the marks of the scene on a tile, without boxes that would be cut: each is whole
// on another.
func (d *Drawing) shown(t tile) []mark {
	var hidden []area
	for _, column := range d.lay.columns {
		for _, n := range column {
			if t.hides(n) {
				hidden = append(hidden, n.area())
			}
		}
	}
	var marks []mark
	for _, m := range d.scene {
		here := areaOf(m)
		label, isText := m.(text)
		switch number := isText && label.ground; {
		case !here.meets(t.area()):
		case number && !t.hasNumber(label):
		case !number && slices.ContainsFunc(hidden, here.within):
		default:
			marks = append(marks, m)
		}
	}
	return marks
}

func (d *Drawing) pageHead(number, of int, width float64) []mark {
	head := text{edgeRoom, edgeRoom + 4, style.TitlePt, true, cut(d.Title, style.Bold(), style.TitlePt, width-2*edgeRoom-30), false}
	count := text{0, edgeRoom + 4, style.SmallPt, false, fmt.Sprintf("page %d of %d", number, of), false}
	count.x = width - edgeRoom - count.wide()
	return []mark{head, count}
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
