package report

import (
	"math"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Half of what points are drawn with, in mm; site choice.
const (
	halfBar    = 0.15
	halfTall   = 0.3 // of an upright stroke, across
	tallReach  = 1.5
	halfBorder = 0.15
)

func lookOf(s *series) style.Curve { return style.Curves[s.look%len(style.Curves)] }

// points draws a series' points. Of many thousand points most fall on the spot of another one;
// of those the last is drawn.
func (p *plot) points(s *series) {
	look := lookOf(s)
	bar := page.Pen{Colour: look.Colour, Width: 2 * halfBar}
	seen := p.seen(s)
	for i, pt := range s.points {
		x, y := p.atX(pt.x), p.atY(pt.y)
		if seen[i]&barX != 0 {
			p.c.Path([]page.Point{page.At(p.atX(pt.xLow), y), page.At(p.atX(pt.xTop), y)}, bar)
		}
		if seen[i]&barY != 0 {
			p.c.Path([]page.Point{page.At(x, p.atY(pt.yLow)), page.At(x, p.atY(pt.yTop))}, bar)
		}
		switch {
		case seen[i]&sign == 0:
		case pt.tall:
			p.c.Path([]page.Point{page.At(x, y-tallReach), page.At(x, y+tallReach)}, page.Pen{Colour: look.Colour, Width: 2 * halfTall})
		default:
			mark(p.c, x, y, look)
		}
		if pt.label != "" {
			p.c.Text(x+1.6, y-0.9, page.Font{SizePt: small.SizePt - 0.5, Colour: style.Ink}, pt.label)
		}
	}
}

// parts are what a point is drawn with.
type parts uint8

const (
	barX parts = 1 << iota
	barY
	sign // its marker, or the upright stroke instead
)

// spot is how near to each other points look like one, in mm: a ninth of half a marker.
// Site choice.
const spot = 0.1

// drawnAt is what one part of a point looks like, to a spot: of a bar both ends.
type drawnAt struct {
	part           parts
	tall           bool
	x, y, toX, toY int32
}

// seen tells which parts of a series' points are drawn: each once at its spot, where it
// comes last.
func (p *plot) seen(s *series) []parts {
	out, taken := make([]parts, len(s.points)), map[drawnAt]bool{}
	near := func(mm float64) int32 { return int32(math.Round(mm / spot)) }
	for i := len(s.points) - 1; i >= 0; i-- {
		pt := &s.points[i]
		x, y := near(p.atX(pt.x)), near(p.atY(pt.y))
		draw := func(at drawnAt) {
			if !taken[at] {
				taken[at] = true
				out[i] |= at.part
			}
		}
		if pt.tall || s.marker {
			draw(drawnAt{sign, pt.tall, x, y, x, y})
		}
		if pt.hasY {
			draw(drawnAt{barY, false, x, near(p.atY(pt.yLow)), x, near(p.atY(pt.yTop))})
		}
		if pt.hasX {
			draw(drawnAt{barX, false, near(p.atX(pt.xLow)), y, near(p.atX(pt.xTop)), y})
		}
	}
	return out
}

// outline gives the corners of a marker, whether its inside is white with a border, and
// false for one that is strokes alone.
func outline(marker style.Marker, x, y float64) (corner []page.Point, hollow, ok bool) {
	r := markerSize
	switch marker {
	case style.Disc, style.Ring:
		return round(x, y, r), marker == style.Ring, true
	case style.Square, style.OpenSquare:
		return corners(x, y, r*0.9), marker == style.OpenSquare, true
	case style.Triangle:
		return []page.Point{page.At(x, y-r*1.2), page.At(x+r*1.1, y+r*0.8), page.At(x-r*1.1, y+r*0.8)}, true, true
	case style.Diamond:
		return []page.Point{page.At(x, y-r*1.3), page.At(x+r*1.3, y), page.At(x, y+r*1.3), page.At(x-r*1.3, y)}, false, true
	}
	return nil, false, false
}

// mark draws a marker.
func mark(c page.Canvas, x, y float64, look style.Curve) {
	r, stroke := markerSize, page.Pen{Colour: look.Colour, Width: 2 * halfBorder}
	corner, hollow, ok := outline(look.Marker, x, y)
	switch {
	case !ok: // style.Cross
		c.Path([]page.Point{page.At(x-r, y-r), page.At(x+r, y+r)}, stroke)
		c.Path([]page.Point{page.At(x-r, y+r), page.At(x+r, y-r)}, stroke)
	case hollow:
		c.Outlined(corner, style.White, stroke)
	default:
		c.Shape(corner, look.Colour)
	}
}

func round(x, y, r float64) []page.Point {
	out := make([]page.Point, 16)
	for i := range out {
		out[i] = page.At(x+r*sixteenths[i].X, y+r*sixteenths[i].Y)
	}
	return out
}

// sixteenths are the corners of a round marker of size 1.
var sixteenths = func() (out [16]page.Point) {
	for i := range out {
		a := float64(i) * math.Pi / 8
		out[i] = page.At(math.Cos(a), math.Sin(a))
	}
	return out
}()

func corners(x, y, r float64) []page.Point {
	return []page.Point{page.At(x-r, y-r), page.At(x+r, y-r), page.At(x+r, y+r), page.At(x-r, y+r)}
}
