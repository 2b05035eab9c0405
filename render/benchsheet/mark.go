package benchsheet

import (
	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// font is a face at a size.
type font struct {
	sizePt float64
	bold   bool
}

func (f font) face() *style.Face { return style.FaceOf(f.bold) }

func (f font) width(text string) float64 { return f.face().Width(text, f.sizePt) }
func (f font) line() float64             { return style.LineMM(f.sizePt) }
func (f font) ascent() float64           { return style.AscentMM(f.sizePt) }

// wrap breaks text into lines, made fit for print first.
func (f font) wrap(s string, width float64) []string {
	s, _ = style.Printable(s)
	return f.face().Wrap(s, f.sizePt, width)
}

// mark is one thing drawn on a page; lengths are in mm from the page's upper left corner,
// or from the block's while it is not placed yet.
type mark interface {
	moved(dx, dy float64) mark
	extent() (left, top, right, bottom float64)
	draw(pdf *gofpdf.Fpdf)
}

// words is a line of text; y is its baseline.
type words struct {
	x, y float64
	font font
	text string
}

func (w words) moved(dx, dy float64) mark { w.x += dx; w.y += dy; return w }

func (w words) extent() (left, top, right, bottom float64) {
	size := w.font.sizePt * style.PointMM
	return w.x, w.y - style.AscentShare*size, w.x + w.font.width(w.text), w.y + (style.Leading-style.AscentShare)*size
}

func (w words) draw(pdf *gofpdf.Fpdf) {
	weight := ""
	if w.font.bold {
		weight = "B"
	}
	pdf.SetFont(style.Family, weight, w.font.sizePt)
	pdf.Text(w.x, w.y, w.text)
}

// line is a straight black line.
type line struct {
	x1, y1, x2, y2, width float64
	dashed                bool
}

func (l line) moved(dx, dy float64) mark {
	l.x1, l.x2, l.y1, l.y2 = l.x1+dx, l.x2+dx, l.y1+dy, l.y2+dy
	return l
}

func (l line) extent() (left, top, right, bottom float64) {
	return min(l.x1, l.x2), min(l.y1, l.y2), max(l.x1, l.x2), max(l.y1, l.y2)
}

func (l line) draw(pdf *gofpdf.Fpdf) {
	pdf.SetLineWidth(l.width)
	if l.dashed {
		pdf.SetDashPattern([]float64{0.8, 0.8}, 0)
		defer pdf.SetDashPattern(nil, 0)
	}
	pdf.Line(l.x1, l.y1, l.x2, l.y2)
}

// frame is a rectangle: outlined when lineWidth is above zero, and grey or white inside.
type frame struct {
	x, y, w, h, lineWidth float64
	grey                  bool
}

func (f frame) moved(dx, dy float64) mark { f.x += dx; f.y += dy; return f }

func (f frame) extent() (left, top, right, bottom float64) { return f.x, f.y, f.x + f.w, f.y + f.h }

func (f frame) draw(pdf *gofpdf.Fpdf) {
	level := 255
	if f.grey {
		level = style.Grey
	}
	pdf.SetFillColor(level, level, level)
	drawing := "F"
	if f.lineWidth > 0 {
		pdf.SetLineWidth(f.lineWidth)
		drawing = "FD"
	}
	pdf.Rect(f.x, f.y, f.w, f.h, drawing)
}
