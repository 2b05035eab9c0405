// Package page is what every printed form is made with: type and pens, one canvas with a PDF
// and an SVG behind it, marks that know their extent, and blocks that are placed on pages.
//
// What may enter: lengths in mm, text, shapes. What may not: anything of a sheet, a season or a
// calendar; each form decides what it says and where, and hands blocks or marks over. How
// pages are broken is decided here alone, in Paginate.
package page

import "spatsheet/render/style"

// Point is a place in mm, from the upper left corner, y downwards.
type Point struct{ X, Y float64 }

// At is the point x, y.
func At(x, y float64) Point { return Point{x, y} }

// Pen draws lines.
type Pen struct {
	Colour style.Colour // black is the zero value
	Width  float64      // mm
	Dash   []float64    // mm drawn and left out; nil is a whole line
}

// Anchor is which part of a text stands at its place.
type Anchor int

// The anchors.
const (
	FromStart Anchor = iota
	AboutMiddle
	ToEnd
)

// Font is how text looks: a face at a size, and which way it goes from its place.
type Font struct {
	SizePt float64
	Bold   bool
	Colour style.Colour
	Anchor Anchor
}

// Face is the typeface.
func (f Font) Face() *style.Face { return style.FaceOf(f.Bold) }

// Width of a text in mm.
func (f Font) Width(text string) float64 { return f.Face().Width(text, f.SizePt) }

// Line is the distance of baselines in mm.
func (f Font) Line() float64 { return style.LineMM(f.SizePt) }

// Ascent is how far below a line's upper edge its baseline stands, in mm.
func (f Font) Ascent() float64 { return style.AscentMM(f.SizePt) }

// Wrap makes text fit for print and breaks it into lines; none for no text.
func (f Font) Wrap(text string, width float64) []string {
	text, _ = style.Printable(text)
	return f.Face().Wrap(text, f.SizePt, width)
}

// Shorten makes text fit for print in one line of a width.
func (f Font) Shorten(text string, width float64) string {
	text, _ = style.Printable(text)
	return f.Face().Shorten(text, f.SizePt, width)
}

// start is where a text begins that is anchored at x.
func (f Font) start(x float64, text string) float64 {
	switch f.Anchor {
	case AboutMiddle:
		return x - f.Width(text)/2
	case ToEnd:
		return x - f.Width(text)
	}
	return x
}

// Canvas is what marks and figures are drawn on; lengths in mm, y downwards.
type Canvas interface {
	Path(points []Point, p Pen)                        // an open line
	Shape(points []Point, fill style.Colour)           // a filled polygon
	Shapes(list [][]Point, fill style.Colour)          // several that may touch, without seams between them
	Outlined(points []Point, fill style.Colour, p Pen) // the same with its border
	Text(x, y float64, f Font, text string)            // y is the baseline
}

// Rectangle gives the corners of a rectangle.
func Rectangle(x, y, w, h float64) []Point {
	return []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// Scaled is a canvas drawn on another one at a scale and a shift in mm: type and lines too.
type Scaled struct {
	On            Canvas
	Scale, DX, DY float64
}

func (s Scaled) at(points []Point) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{p.X*s.Scale + s.DX, p.Y*s.Scale + s.DY}
	}
	return out
}

func (s Scaled) pen(p Pen) Pen {
	dash := make([]float64, len(p.Dash))
	for i, d := range p.Dash {
		dash[i] = d * s.Scale
	}
	return Pen{p.Colour, p.Width * s.Scale, dash}
}

// Path draws an open line.
func (s Scaled) Path(points []Point, p Pen) { s.On.Path(s.at(points), s.pen(p)) }

// Shape fills a polygon.
func (s Scaled) Shape(points []Point, fill style.Colour) { s.On.Shape(s.at(points), fill) }

// Shapes fills polygons.
func (s Scaled) Shapes(list [][]Point, fill style.Colour) {
	moved := make([][]Point, len(list))
	for i, points := range list {
		moved[i] = s.at(points)
	}
	s.On.Shapes(moved, fill)
}

// Outlined fills a polygon and draws its border.
func (s Scaled) Outlined(points []Point, fill style.Colour, p Pen) {
	s.On.Outlined(s.at(points), fill, s.pen(p))
}

// Text draws a line of text.
func (s Scaled) Text(x, y float64, f Font, text string) {
	f.SizePt *= s.Scale
	s.On.Text(x*s.Scale+s.DX, y*s.Scale+s.DY, f, text)
}
