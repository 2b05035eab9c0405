package report

import (
	"strconv"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// onPDF draws on one page of a PDF. Paths are written as the page description has them,
// many thousand in a season; gofpdf would format each corner by itself. It is told of pen
// and fill only where they change.
type onPDF struct {
	pdf    *gofpdf.Fpdf
	k      float64 // points in a mm
	height float64 // of the page, mm
	pen    *pen    // as set last; nil before the first
	fill   *style.Colour
	room   []byte
}

func newOnPDF(pdf *gofpdf.Fpdf) *onPDF {
	_, height := pdf.GetPageSize()
	return &onPDF{pdf: pdf, k: pdf.GetConversionRatio(), height: height}
}

func (o *onPDF) path(points []place, p pen) {
	o.setPen(p)
	o.corners(points)
	o.write("S")
}

func (o *onPDF) shape(points []place, fill style.Colour) {
	o.setFill(fill)
	o.corners(points)
	o.write("h f")
}

func (o *onPDF) outlined(points []place, fill style.Colour, p pen) {
	o.setPen(p)
	o.setFill(fill)
	o.corners(points)
	o.write("b")
}

func (o *onPDF) setPen(p pen) {
	if o.pen == nil || o.pen.colour != p.colour {
		o.pdf.SetDrawColor(p.colour.R, p.colour.G, p.colour.B)
	}
	if o.pen == nil || o.pen.width != p.width {
		o.pdf.SetLineWidth(p.width)
	}
	if o.pen == nil || len(o.pen.dash)+len(p.dash) > 0 {
		o.pdf.SetDashPattern(p.dash, 0)
	}
	o.pen = &p
}

func (o *onPDF) setFill(c style.Colour) {
	if o.fill == nil || *o.fill != c {
		o.pdf.SetFillColor(c.R, c.G, c.B)
	}
	o.fill = &c
}

// corners begins a path.
func (o *onPDF) corners(points []place) {
	o.room = o.room[:0]
	for i, at := range points {
		o.room = append(strconv.AppendFloat(o.room, at.x*o.k, 'f', 2, 64), ' ')
		o.room = append(strconv.AppendFloat(o.room, (o.height-at.y)*o.k, 'f', 2, 64), ' ')
		if i == 0 {
			o.room = append(o.room, "m "...)
		} else {
			o.room = append(o.room, "l "...)
		}
	}
}

// write ends a path with what is done with it.
func (o *onPDF) write(painted string) {
	o.room = append(o.room, painted...)
	o.pdf.RawWriteStr(string(o.room))
}

func (o *onPDF) text(x, y float64, l letters, say string) {
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
