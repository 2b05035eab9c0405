package report

import (
	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// onPDF draws on the current page of a PDF.
type onPDF struct{ pdf *gofpdf.Fpdf }

func (o onPDF) path(points []place, p pen) {
	o.pdf.SetDrawColor(p.colour.R, p.colour.G, p.colour.B)
	o.pdf.SetLineWidth(p.width)
	o.pdf.SetDashPattern(p.dash, 0)
	o.pdf.MoveTo(points[0].x, points[0].y)
	for _, at := range points[1:] {
		o.pdf.LineTo(at.x, at.y)
	}
	o.pdf.DrawPath("D")
}

func (o onPDF) shape(points []place, fill style.Colour) {
	o.pdf.SetFillColor(fill.R, fill.G, fill.B)
	o.pdf.MoveTo(points[0].x, points[0].y)
	for _, at := range points[1:] {
		o.pdf.LineTo(at.x, at.y)
	}
	o.pdf.ClosePath()
	o.pdf.DrawPath("F")
}

func (o onPDF) text(x, y float64, l letters, say string) {
	say, _ = style.Printable(say)
	if say == "" {
		return
	}
	weight := ""
	if l.bold {
		weight = "B"
	}
	switch l.anchor {
	case aboutMiddle:
		x -= l.width(say) / 2
	case toEnd:
		x -= l.width(say)
	}
	o.pdf.SetTextColor(l.colour.R, l.colour.G, l.colour.B)
	o.pdf.SetFont(style.Family, weight, l.sizePt)
	o.pdf.Text(x, y, say)
}
