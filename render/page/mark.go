package page

import (
	"math"

	"spatsheet/render/style"
)

// Mark is one thing drawn on a page; lengths are in mm from the page's upper left corner, or
// from a block's while that is not placed yet.
type Mark interface {
	Moved(dx, dy float64) Mark
	Extent() (left, top, right, bottom float64)
	Draw(c Canvas)
}

// Words is a line of text; Y is its baseline.
type Words struct {
	X, Y   float64
	Font   Font
	Text   string
	Ground bool // on white, so that lines do not cross it
}

// groundRim is how far the white ground of words reaches beside them, mm.
const groundRim = 0.4

// Moved gives the words elsewhere.
func (w Words) Moved(dx, dy float64) Mark { w.X += dx; w.Y += dy; return w }

// Extent is the room that the words take, in mm.
func (w Words) Extent() (left, top, right, bottom float64) {
	size, x := w.Font.SizePt*style.PointMM, w.Font.start(w.X, w.Text)
	return x, w.Y - style.AscentShare*size, x + w.Font.Width(w.Text), w.Y + (style.Leading-style.AscentShare)*size
}

// Draw draws the words, over their ground where they have one.
func (w Words) Draw(c Canvas) {
	if w.Ground {
		l, t, r, b := w.Extent()
		c.Shape(Rectangle(l-groundRim, t, r-l+2*groundRim, b-t), style.White)
	}
	c.Text(w.X, w.Y, w.Font, w.Text)
}

// Line is a straight black line.
type Line struct {
	X1, Y1, X2, Y2, Width float64
	Dashed                bool
}

// Moved gives the line elsewhere.
func (l Line) Moved(dx, dy float64) Mark {
	l.X1, l.X2, l.Y1, l.Y2 = l.X1+dx, l.X2+dx, l.Y1+dy, l.Y2+dy
	return l
}

// Extent is the room between the line's ends, in mm.
func (l Line) Extent() (left, top, right, bottom float64) {
	return min(l.X1, l.X2), min(l.Y1, l.Y2), max(l.X1, l.X2), max(l.Y1, l.Y2)
}

// Draw draws the line.
func (l Line) Draw(c Canvas) {
	p := Pen{Width: l.Width}
	if l.Dashed {
		p.Dash = []float64{0.8, 0.8}
	}
	c.Path([]Point{{l.X1, l.Y1}, {l.X2, l.Y2}}, p)
}

// Frame is a rectangle: outlined when LineWidth is above zero, and grey or white inside.
type Frame struct {
	X, Y, W, H, LineWidth float64
	Grey                  bool
}

// Moved gives the frame elsewhere.
func (f Frame) Moved(dx, dy float64) Mark { f.X += dx; f.Y += dy; return f }

// Extent is the rectangle, in mm.
func (f Frame) Extent() (left, top, right, bottom float64) { return f.X, f.Y, f.X + f.W, f.Y + f.H }

// Draw draws the frame.
func (f Frame) Draw(c Canvas) {
	outlined(c, Rectangle(f.X, f.Y, f.W, f.H), f.Grey, Pen{Width: f.LineWidth})
}

// Path is a black line through several points or, closed, a shape with a border.
type Path struct {
	Points []Point
	Closed bool
	Grey   bool // filled with the one grey; else white when closed
	Pen    Pen
}

// Moved gives the path elsewhere.
func (p Path) Moved(dx, dy float64) Mark {
	p.Points = Scaled{Scale: 1, DX: dx, DY: dy}.at(p.Points)
	return p
}

// Extent is the room between the path's points, in mm.
func (p Path) Extent() (left, top, right, bottom float64) {
	left, top, right, bottom = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range p.Points {
		left, top, right, bottom = min(left, q.X), min(top, q.Y), max(right, q.X), max(bottom, q.Y)
	}
	return left, top, right, bottom
}

// Draw draws the path.
func (p Path) Draw(c Canvas) {
	if !p.Closed {
		c.Path(p.Points, p.Pen)
		return
	}
	outlined(c, p.Points, p.Grey, p.Pen)
}

// outlined fills a shape white or grey, and draws its border where the pen has a width.
func outlined(c Canvas, points []Point, grey bool, p Pen) {
	fill := style.White
	if grey {
		fill = style.Ground
	}
	if p.Width > 0 {
		c.Outlined(points, fill, p)
		return
	}
	c.Shape(points, fill)
}

// Code is the black squares of a QR code; X, Y is the upper left corner of its quiet border,
// which Side includes.
type Code struct {
	style.Code
	X, Y, Side float64
}

// Flush places the code so that its black squares end at right and begin at top.
func (q Code) Flush(right, top, side float64) Code {
	border := q.Border(side)
	return Code{q.Code, right - side + border, top - border, side}
}

// Moved gives the code elsewhere.
func (q Code) Moved(dx, dy float64) Mark { q.X += dx; q.Y += dy; return q }

// Extent leaves the quiet border out: nothing is printed there.
func (q Code) Extent() (left, top, right, bottom float64) {
	border := q.Border(q.Side)
	return q.X + border, q.Y + border, q.X + q.Side - border, q.Y + q.Side - border
}

// Draw draws the squares as one path.
func (q Code) Draw(c Canvas) {
	var list [][]Point
	for _, r := range q.Rectangles(q.X, q.Y, q.Side) {
		list = append(list, Rectangle(r.X, r.Y, r.Width, r.Height))
	}
	c.Shapes(list, style.Black)
}

// Drawing is a mark that draws itself, such as a figure or a row of a table: By is told where
// its upper left corner is.
type Drawing struct {
	X, Y, W, H float64
	By         func(c Canvas, x, y float64)
}

// Moved gives the drawing elsewhere.
func (d Drawing) Moved(dx, dy float64) Mark { d.X += dx; d.Y += dy; return d }

// Extent is the room that the drawing takes, in mm.
func (d Drawing) Extent() (left, top, right, bottom float64) { return d.X, d.Y, d.X + d.W, d.Y + d.H }

// Draw draws it.
func (d Drawing) Draw(c Canvas) { d.By(c, d.X, d.Y) }
