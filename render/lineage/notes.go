package lineage

import (
	"math"

	"spatsheet/render/style"
)

// crossings are the notes of a tile, each where a line that is on it is cut by a side, or
// ends at a box that is not shown: the batch that the line leads to, or the one that it comes from. The latter has the number
// on the line as well where that is not whole on the tile.
func (d *Drawing) crossings(t tile) []mark {
	var marks []mark
	taken := d.obstacles(t)
	put := func(p, inside at, words string) {
		for _, m := range note(p, inside, words, t, taken) {
			marks = append(marks, m)
			taken = append(taken, areaOf(m))
		}
	}
	for _, column := range d.lay.columns {
		for _, n := range column {
			for _, e := range n.from {
				a, b := e.a.leaves(e), n.enters(e)
				in, out, on := t.within(a, b)
				if !on {
					continue
				}
				if in != a || t.hides(e.a) {
					words := "from " + source(e)
					if number, ok := e.number(); ok && out == b && !t.hasNumber(number) {
						words += ", " + e.label
					}
					put(in, b, words)
				}
				if out != b || t.hides(n) {
					put(out, a, "to "+e.ends.code)
				}
			}
		}
	}
	return marks
}

// source is the batch at the beginning of a whole line.
func source(e *edge) string {
	for e.a.bend {
		e = e.a.from[0]
	}
	return e.a.code
}

// hasNumber tells whether a number on a line is whole on the tile, clear of the notes at
// its right side.
func (t tile) hasNumber(number text) bool {
	l, top, r, bottom := number.extent()
	return l >= t.left && r <= t.right-stub && top >= t.top && bottom <= t.bottom
}

// within is the part of the line from a to b that is on the tile; on is false where less
// than half a millimetre is.
// Source: clipping by parameters of Liang and Barsky (1984), from memory.
func (t tile) within(a, b at) (in, out at, on bool) {
	from, to := 0.0, 1.0
	for _, side := range [][2]float64{{a.x - b.x, a.x - t.left}, {b.x - a.x, t.right - a.x}, {a.y - b.y, a.y - t.top}, {b.y - a.y, t.bottom - a.y}} {
		outward, room := side[0], side[1]
		switch {
		case outward == 0 && room < 0:
			return in, out, false
		case outward < 0:
			from = math.Max(from, room/outward)
		case outward > 0:
			to = math.Min(to, room/outward)
		}
	}
	if (to-from)*math.Hypot(b.x-a.x, b.y-a.y) < 0.5 {
		return in, out, false
	}
	in, out = a, b
	if from > 0 {
		in = at{a.x + (b.x-a.x)*from, a.y + (b.y-a.y)*from}
	}
	if to < 1 {
		out = at{a.x + (b.x-a.x)*to, a.y + (b.y-a.y)*to}
	}
	return in, out, true
}

// area is a rectangle, mm of the drawing.
type area struct{ left, top, right, bottom float64 }

func areaOf(m mark) area {
	l, top, r, bottom := m.extent()
	return area{l, top, r, bottom}
}

// within tells whether a is in b, to a hundredth.
func (a area) within(b area) bool {
	return a.left > b.left-0.01 && a.right < b.right+0.01 && a.top > b.top-0.01 && a.bottom < b.bottom+0.01
}

func (t tile) area() area { return area{t.left, t.top, t.right, t.bottom} }

// area of a box; that of a bend is not drawn.
func (n *node) area() area {
	l, top := left(n.column), n.y+columnTop-n.height/2
	return area{l, top, l + boxWidth, top + n.height}
}

// hides tells whether a tile has a part of a box only, which is not shown on it then.
func (t tile) hides(n *node) bool {
	return !n.bend && n.area().meets(t.area()) && !n.area().within(t.area())
}

func (a area) meets(b area) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// obstacles are the boxes, arrow heads and numbers of a tile: notes keep off them.
func (d *Drawing) obstacles(t tile) []area {
	var taken []area
	for _, m := range d.shown(t) {
		switch m := m.(type) {
		case path:
			if m.closed {
				taken = append(taken, areaOf(m))
			}
		case text:
			if m.ground {
				taken = append(taken, areaOf(m))
			}
		}
	}
	return taken
}

// note stands where a line is cut at p by a side of a tile, or ends there without its box; inside is its other end. Of the
// places beside the line it takes the first that is on the tile and clear of what is taken,
// or else the one that meets least. A long note takes more than one line.
func note(p, inside at, words string, t tile, taken []area) []mark {
	widest := columnGap - 5
	if t.right-p.x < 0.01 {
		widest = stub - 0.6
	}
	lines := broken(words, style.Regular(), textPt, widest)
	size := at{0, float64(len(lines)) * style.LineMM(textPt)}
	for _, line := range lines {
		size.x = math.Max(size.x, style.Regular().Width(line, textPt))
	}
	var places []at
	switch {
	case p.x-t.left < 0.01 || t.right-p.x < 0.01:
		places = atSide(p, inside, size, t)
	case p.y-t.top < 0.01 || t.bottom-p.y < 0.01:
		places = atLevel(p, inside, size, t)
	default:
		places = atEnd(p, inside, size, t)
	}
	best, fewest := places[0], math.MaxInt
	for _, corner := range places {
		here := area{corner.x, corner.y, corner.x + size.x, corner.y + size.y}
		meets := 0
		for _, other := range taken {
			if here.meets(other) {
				meets++
			}
		}
		if here.left < t.left || here.right > t.right || here.top < t.top || here.bottom > t.bottom {
			meets += 2
		}
		if meets < fewest {
			best, fewest = corner, meets
		}
	}
	var marks []mark
	for i, line := range lines {
		marks = append(marks, text{best.x, best.y + float64(i)*style.LineMM(textPt) + style.AscentShare*textPt*style.PointMM, textPt, false, line, false})
	}
	return marks
}

// offLine is the room between a line and its note, mm.
const offLine = 0.7

// atSide are places, by their upper left corners, at the left or right side of a tile: above
// the line and under it, then further off.
func atSide(p, inside, size at, t tile) []at {
	x := p.x + 0.4
	if t.right-p.x < 0.01 {
		x = p.x - size.x - 0.4
	}
	one, other := height(p, inside, x), height(p, inside, x+size.x)
	var places []at
	for i := range 4 {
		off := offLine + float64(i)*style.LineMM(textPt)/2
		places = append(places, at{x, math.Min(one, other) - off - size.y}, at{x, math.Max(one, other) + off})
	}
	return places
}

// atLevel are places at the upper or lower side of a tile: on that side of the line where it
// is off the tile, then along a flat line or else on its other side, then further in.
func atLevel(p, inside, size at, t tile) []at {
	bottom, right := t.bottom-p.y < 0.01, inside.x > p.x
	var places []at
	for i := range 5 {
		deep := 0.3 + float64(i)*style.LineMM(textPt)
		y := t.top + deep
		if bottom {
			y = t.bottom - deep - size.y
		}
		// where the line passes the inner edge of the note
		far := p.x + (inside.x-p.x)*(deep+size.y)/math.Max(math.Abs(inside.y-p.y), 0.01)
		out, other := at{p.x + offLine, y}, at{far - offLine - size.x, y}
		if right {
			out, other = at{p.x - offLine - size.x, y}, at{far + offLine, y}
		}
		if i == 0 && math.Abs(inside.x-p.x) > 2*math.Abs(inside.y-p.y) {
			other = along(p, inside, size, bottom)
		}
		places = append(places, out, other)
	}
	return places
}

// along is the place on a flat line that is cut at p, or under it.
func along(p, inside, size at, above bool) at {
	x := p.x
	if inside.x < p.x {
		x -= size.x
	}
	one, other := height(p, inside, x), height(p, inside, x+size.x)
	if above {
		return at{x, math.Min(one, other) - offLine - size.y}
	}
	return at{x, math.Max(one, other) + offLine}
}

// atEnd are places behind the end of a line, where a box is left out: level with it, then
// above and under that.
func atEnd(p, inside, size at, t tile) []at {
	x := p.x + offLine
	if inside.x > p.x {
		x = p.x - offLine - size.x
	}
	var places []at
	for _, step := range []float64{0, -1, 1, -2, 2} {
		y := p.y - size.y/2 + step*style.LineMM(textPt)
		places = append(places, at{x, math.Max(t.top, math.Min(y, t.bottom-size.y))})
	}
	return places
}
