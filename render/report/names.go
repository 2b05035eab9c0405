package report

import (
	"cmp"
	"math"
	"slices"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// mostBeside is how many curves may have their names beside their ends: with more of them
// the eye looks for a name longer than it takes to follow a leader. Site choice.
const mostBeside = 12

// nameClear is how far a name beside a curve's end stays off everything drawn, in mm; site
// choice.
const nameClear = 0.3

// endName is a curve's name on its way to a free place.
type endName struct {
	series *series
	from   page.Point // the curve's end
	y      float64    // of the name in a row at the right
}

// endNames prints the names of curves: beside their ends where the figure wants that and
// all of them have room there, else in a row at the right.
func (p *plot) endNames() {
	var list []endName
	for i := range p.figure.series {
		s := &p.figure.series[i]
		if s.label == "" || len(s.points) == 0 {
			continue
		}
		last := s.points[len(s.points)-1]
		at := page.At(p.atX(last.x), p.atY(last.y))
		list = append(list, endName{s, at, at.Y})
	}
	slices.SortStableFunc(list, func(a, b endName) int { return cmp.Compare(a.y, b.y) })
	if p.figure.beside && len(list) <= mostBeside {
		if boxes, ok := p.besideEnds(list); ok {
			for i, b := range boxes {
				p.c.Text(b.left, b.bottom-nameHeight()*0.27, small, name(list[i].series.label))
			}
			return
		}
	}
	p.nameRow(list)
}

// nameRow prints the names at the right below each other, moved apart where they meet,
// with a leader from each curve's end.
func (p *plot) nameRow(list []endName) {
	apart(list, min(small.Line(), (p.bottom-p.top)/float64(max(1, len(list)))), p.top, p.bottom)
	for _, n := range list {
		look := lookOf(n.series)
		x := p.right + 3
		if n.series.line {
			p.c.Path([]page.Point{n.from, page.At(x-0.6, n.y)}, page.Pen{Colour: style.Leader, Width: 0.15, Dash: []float64{0.3, 0.7}})
		}
		mark(p.c, x+0.6, n.y, look)
		p.c.Text(x+2, n.y+small.Ascent()*0.36, small, name(n.series.label))
	}
}

// apart moves names so that neighbours, sorted downwards, stand a line from each other.
func apart(list []endName, line, top, bottom float64) {
	y := top
	for i := range list {
		list[i].y = max(list[i].y, y)
		y = list[i].y + line
	}
	y = bottom
	for i := len(list) - 1; i >= 0; i-- {
		list[i].y = min(list[i].y, y)
		y = list[i].y - line
	}
}

// besideEnds finds each name a place beside the end of its curve where it meets no curve,
// no point, no bar and no other name, and is nearer to its own end than to any other; not
// ok when one has none.
func (p *plot) besideEnds(list []endName) (boxes []box, ok bool) {
	drawn := p.drawn()
	for i, n := range list {
		at := slices.IndexFunc(p.places(n), func(b box) bool {
			for _, d := range drawn {
				if b.crossed(d[0], d[1]) {
					return false
				}
			}
			for _, other := range boxes {
				if b.meets(other) {
					return false
				}
			}
			for j, other := range list {
				if j != i && b.distance(other.from) <= b.distance(n.from) {
					return false
				}
			}
			return b.top > p.top-1 && b.bottom < p.bottom && b.left > p.left
		})
		if at < 0 {
			return nil, false
		}
		boxes = append(boxes, p.places(n)[at])
	}
	return boxes, true
}

// nameHeight of a line of a name, in mm.
func nameHeight() float64 { return small.Line() * 0.9 }

// places are where a name may stand, the best first: at the right of the curve's end, a
// little higher or lower, or over the end of a curve that comes from below.
func (p *plot) places(n endName) []box {
	wide, high := small.Width(name(n.series.label)), nameHeight()
	var out []box
	for _, step := range []float64{0, -0.5, 0.5, -1, 1} {
		x, y := n.from.X+1.8, n.from.Y+step*high
		out = append(out, box{x, y - high/2, x + wide, y + high/2})
	}
	return append(out, box{n.from.X - wide, n.from.Y - 1.7*high, n.from.X, n.from.Y - 0.7*high})
}

// drawn are the strokes of all curves, bars and points.
func (p *plot) drawn() [][2]page.Point {
	var out [][2]page.Point
	for _, s := range p.figure.series {
		for i, pt := range s.points {
			x, y := p.atX(pt.x), p.atY(pt.y)
			if i > 0 && s.line {
				out = append(out, [2]page.Point{page.At(p.atX(s.points[i-1].x), p.atY(s.points[i-1].y)), page.At(x, y)})
			}
			if pt.hasY {
				out = append(out, [2]page.Point{page.At(x, p.atY(pt.yLow)), page.At(x, p.atY(pt.yTop))})
			}
			out = append(out, [2]page.Point{page.At(x-markerSize, y-markerSize), page.At(x+markerSize, y+markerSize)},
				[2]page.Point{page.At(x-markerSize, y+markerSize), page.At(x+markerSize, y-markerSize)})
		}
	}
	return out
}

// box is a place with an extent, in mm.
type box struct{ left, top, right, bottom float64 }

func (b box) meets(other box) bool {
	return b.left < other.right && other.left < b.right && b.top < other.bottom && other.top < b.bottom
}

// distance from the box to a point outside of it.
func (b box) distance(to page.Point) float64 {
	return math.Hypot(max(b.left-to.X, 0, to.X-b.right), max(b.top-to.Y, 0, to.Y-b.bottom))
}

// crossed tells whether a straight stroke comes into the box or nearer than nameClear.
func (b box) crossed(from, to page.Point) bool {
	first, last := 0.0, 1.0 // shares of the stroke's length that may be inside
	for _, along := range [][4]float64{{from.X, to.X, b.left, b.right}, {from.Y, to.Y, b.top, b.bottom}} {
		start, way, low, high := along[0], along[1]-along[0], along[2]-nameClear, along[3]+nameClear
		if way == 0 {
			if start < low || start > high {
				return false
			}
			continue
		}
		in, out := (low-start)/way, (high-start)/way
		first, last = max(first, min(in, out)), min(last, max(in, out))
	}
	return first <= last
}
