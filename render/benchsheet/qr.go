package benchsheet

import (
	"fmt"

	"github.com/jung-kurt/gofpdf"
	"rsc.io/qr"

	"spatsheet/calc"
)

// quiet is the free border of a QR code in modules. Source: ISO/IEC 18004, from memory.
const quiet = 4

// code is a QR code with its quiet border, drawn as one path of rectangles: sharp at any
// size, and without seams between rows.
type code struct {
	x, y, side float64
	qr         *qr.Code
}

// newCode makes the sheet's QR code: batch code, a blank, digest.
func newCode(s *calc.Sheet) (code, error) {
	q, err := qr.Encode(s.Plan.Batch+" "+s.Digest, qr.M)
	if err != nil {
		return code{}, fmt.Errorf("QR code of batch %q: %w", s.Plan.Batch, err)
	}
	return code{qr: q}, nil
}

func (c code) at(x, y, side float64) code {
	c.x, c.y, c.side = x, y, side
	return c
}

func (c code) moved(dx, dy float64) mark { return c.at(c.x+dx, c.y+dy, c.side) }

// border is the width of the quiet border in mm.
func (c code) border() float64 { return c.side * quiet / float64(c.qr.Size+2*quiet) }

// flush places the code so that its black squares end at right and begin at top.
func (c code) flush(right, top, side float64) code {
	c.side = side
	return c.at(right-side+c.border(), top-c.border(), side)
}

// extent leaves the quiet border out: nothing is printed there.
func (c code) extent() (left, top, right, bottom float64) {
	return c.x + c.border(), c.y + c.border(), c.x + c.side - c.border(), c.y + c.side - c.border()
}

func (c code) draw(pdf *gofpdf.Fpdf) {
	module := c.side / float64(c.qr.Size+2*quiet)
	pdf.SetFillColor(0, 0, 0)
	for row := range c.qr.Size {
		for start := 0; start < c.qr.Size; start++ {
			end := start
			for end < c.qr.Size && c.qr.Black(end, row) {
				end++
			}
			if end > start {
				rectangle(pdf, c.x+module*float64(start+quiet), c.y+module*float64(row+quiet), module*float64(end-start), module)
				start = end
			}
		}
	}
	pdf.DrawPath("F")
}

func rectangle(pdf *gofpdf.Fpdf, x, y, w, h float64) {
	pdf.MoveTo(x, y)
	pdf.LineTo(x+w, y)
	pdf.LineTo(x+w, y+h)
	pdf.LineTo(x, y+h)
	pdf.ClosePath()
}
