package report

import (
	"math"

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

// points draws the parts of a series' points that are seen.
func (p *plot) points(s *series, seen []parts) {
	look := lookOf(s)
	bar := pen{colour: look.Colour, width: 2 * halfBar}
	for i, pt := range s.points {
		x, y := p.atX(pt.x), p.atY(pt.y)
		if seen[i]&barX != 0 {
			p.c.path([]place{{p.atX(pt.xLow), y}, {p.atX(pt.xTop), y}}, bar)
		}
		if seen[i]&barY != 0 {
			p.c.path([]place{{x, p.atY(pt.yLow)}, {x, p.atY(pt.yTop)}}, bar)
		}
		switch {
		case seen[i]&sign == 0:
		case pt.tall:
			p.c.path([]place{{x, y - tallReach}, {x, y + tallReach}}, pen{colour: look.Colour, width: 2 * halfTall})
		default:
			mark(p.c, x, y, look)
		}
		if pt.label != "" {
			p.c.text(x+1.6, y-0.9, letters{sizePt: small.sizePt - 0.5, colour: style.Ink}, pt.label)
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

// seen tells which parts of each series' points are to be seen. Of many thousand points in
// one figure most lie wholly under others that are drawn after them.
func (p *plot) seen() [][]parts {
	f := newField(p.left-3, p.top-3, p.right+3, p.bottom+3)
	out := make([][]parts, len(p.figure.series))
	for i := len(out) - 1; i >= 0; i-- { // what is drawn last is seen first
		s := &p.figure.series[i]
		marker := markerDots()[lookOf(s).Marker]
		out[i] = make([]parts, len(s.points))
		for n := len(s.points) - 1; n >= 0; n-- {
			pt := &s.points[n]
			x, y := p.atX(pt.x), p.atY(pt.y)
			switch {
			case pt.tall && f.box(x-halfTall, y-tallReach, x+halfTall, y+tallReach), !pt.tall && s.marker && f.marker(x, y, marker):
				out[i][n] |= sign
			}
			if pt.hasY && f.box(x-halfBar, p.atY(pt.yTop), x+halfBar, p.atY(pt.yLow)) {
				out[i][n] |= barY
			}
			if pt.hasX && f.box(p.atX(pt.xLow), y-halfBar, p.atX(pt.xTop), y+halfBar) {
				out[i][n] |= barX
			}
		}
	}
	return out
}

// outline gives the corners of a marker, whether its inside is white with a border, and
// false for one that is strokes alone.
func outline(marker style.Marker, x, y float64) (corner []place, hollow, ok bool) {
	r := markerSize
	switch marker {
	case style.Disc, style.Ring:
		return round(x, y, r), marker == style.Ring, true
	case style.Square, style.OpenSquare:
		return corners(x, y, r*0.9), marker == style.OpenSquare, true
	case style.Triangle:
		return []place{{x, y - r*1.2}, {x + r*1.1, y + r*0.8}, {x - r*1.1, y + r*0.8}}, true, true
	case style.Diamond:
		return []place{{x, y - r*1.3}, {x + r*1.3, y}, {x, y + r*1.3}, {x - r*1.3, y}}, false, true
	}
	return nil, false, false
}

// mark draws a marker.
func mark(c canvas, x, y float64, look style.Curve) {
	r, stroke := markerSize, pen{colour: look.Colour, width: 2 * halfBorder}
	corner, hollow, ok := outline(look.Marker, x, y)
	switch {
	case !ok: // style.Cross
		c.path([]place{{x - r, y - r}, {x + r, y + r}}, stroke)
		c.path([]place{{x - r, y + r}, {x + r, y - r}}, stroke)
	case hollow:
		c.outlined(corner, white, stroke)
	default:
		c.shape(corner, look.Colour)
	}
}

var white = style.Colour{R: 255, G: 255, B: 255}

func round(x, y, r float64) []place {
	out := make([]place, 16)
	for i := range out {
		out[i] = place{x + r*sixteenths[i].x, y + r*sixteenths[i].y}
	}
	return out
}

// sixteenths are the corners of a round marker of size 1.
var sixteenths = func() (out [16]place) {
	for i := range out {
		a := float64(i) * math.Pi / 8
		out[i] = place{math.Cos(a), math.Sin(a)}
	}
	return out
}()

func corners(x, y, r float64) []place {
	return []place{{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}}
}
