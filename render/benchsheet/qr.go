package benchsheet

import (
	"github.com/jung-kurt/gofpdf"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// code is a QR code with its quiet border, drawn as one path of rectangles.
type code struct {
	x, y, side float64
	qr         style.Code
}

// newCode makes the sheet's QR code: batch code, a blank, digest.
func newCode(s *calc.Sheet) (code, error) {
	q, err := style.CodeOf(s.Plan.Batch + " " + s.Digest)
	return code{qr: q}, err
}

func (c code) at(x, y, side float64) code {
	c.x, c.y, c.side = x, y, side
	return c
}

func (c code) moved(dx, dy float64) mark { return c.at(c.x+dx, c.y+dy, c.side) }

// border is the width of the quiet border in mm.
func (c code) border() float64 { return c.qr.Border(c.side) }

// flush places the code so that its black squares end at right and begin at top.
func (c code) flush(right, top, side float64) code {
	c.side = side
	return c.at(right-side+c.border(), top-c.border(), side)
}

// extent leaves the quiet border out: nothing is printed there.
func (c code) extent() (left, top, right, bottom float64) {
	return c.x + c.border(), c.y + c.border(), c.x + c.side - c.border(), c.y + c.side - c.border()
}

func (c code) draw(pdf *gofpdf.Fpdf) { c.qr.Draw(pdf, c.x, c.y, c.side) }
