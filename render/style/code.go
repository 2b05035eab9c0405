package style

import (
	"fmt"

	"rsc.io/qr"
)

// Quiet is the free border of a QR code in modules. Source: ISO/IEC 18004, from memory.
const Quiet = 4

// Code is a QR code to be drawn: its black squares as rectangles, sharp at any size.
type Code struct{ qr *qr.Code }

// CodeOf makes the QR code of a text, of which about 15 % may be spoilt (level M).
//
// Error: a text longer than a QR code holds.
func CodeOf(text string) (Code, error) {
	q, err := qr.Encode(text, qr.M)
	if err != nil {
		return Code{}, fmt.Errorf("QR code of %q: %w", text, err)
	}
	return Code{qr: q}, nil
}

// Modules is how many squares the code has on a side, without its quiet border.
func (c Code) Modules() int { return c.qr.Size }

// Border is the width of the quiet border of a code whose side, border included, is given;
// both in mm.
func (c Code) Border(side float64) float64 { return side * Quiet / float64(c.qr.Size+2*Quiet) }

// Rectangle is a black rectangle; lengths in mm.
type Rectangle struct{ X, Y, Width, Height float64 }

// Rectangles draws the code with the upper left corner of its quiet border at x, y; side
// includes the border. Squares beside each other in a row are one rectangle, without seams.
func (c Code) Rectangles(x, y, side float64) []Rectangle {
	module := side / float64(c.qr.Size+2*Quiet)
	var list []Rectangle
	for row := range c.qr.Size {
		for start := 0; start < c.qr.Size; start++ {
			end := start
			for end < c.qr.Size && c.qr.Black(end, row) {
				end++
			}
			if end > start {
				list = append(list, Rectangle{x + module*float64(start+Quiet), y + module*float64(row+Quiet), module * float64(end-start), module})
				start = end
			}
		}
	}
	return list
}
