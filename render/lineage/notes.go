package lineage

import (
	"math"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// crossings are the notes of a tile, each where a line that is on it is cut by a side, or
// ends at a box that is not shown: the batch that the line leads to, or the one that it comes from. The latter has the number
// on the line as well where that is not whole on the tile.
func (d *Drawing) crossings(t tile) []page.Mark {
	var marks []page.Mark
	taken := d.obstacles(t)
	put := func(p, inside page.Point, words string) {
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
func (t tile) hasNumber(number page.Words) bool {
	l, top, r, bottom := number.Extent()
	return l >= t.left && r <= t.right-stub && top >= t.top && bottom <= t.bottom
}

// within is the part of the line from a to b that is on the tile; on is false where less
// than half a millimetre is.
// Source: clipping by parameters of Liang and Barsky (1984), from memory.
func (t tile) within(a, b page.Point) (in, out page.Point, on bool) {
	from, to := 0.0, 1.0
	for _, side := range [][2]float64{{a.X - b.X, a.X - t.left}, {b.X - a.X, t.right - a.X}, {a.Y - b.Y, a.Y - t.top}, {b.Y - a.Y, t.bottom - a.Y}} {
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
	if (to-from)*math.Hypot(b.X-a.X, b.Y-a.Y) < 0.5 {
		return in, out, false
	}
	in, out = a, b
	if from > 0 {
		in = page.At(a.X+(b.X-a.X)*from, a.Y+(b.Y-a.Y)*from)
	}
	if to < 1 {
		out = page.At(a.X+(b.X-a.X)*to, a.Y+(b.Y-a.Y)*to)
	}
	return in, out, true
}

// area is a rectangle, mm of the drawing.
type area struct{ left, top, right, bottom float64 }

func areaOf(m page.Mark) area {
	l, top, r, bottom := m.Extent()
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
		case page.Path:
			if m.Closed {
				taken = append(taken, areaOf(m))
			}
		case page.Words:
			if m.Ground {
				taken = append(taken, areaOf(m))
			}
		}
	}
	return taken
}

// note stands where a line is cut at p by a side of a tile, or ends there without its box; inside is its other end. Of the
// places beside the line it takes the first that is on the tile and clear of what is taken,
// or else the one that meets least. A long note takes more than one line.
func note(p, inside page.Point, words string, t tile, taken []area) []page.Mark {
	widest := columnGap - 5
	if t.right-p.X < 0.01 {
		widest = stub - 0.6
	}
	lines := broken(words, style.Regular(), textPt, widest)
	size := page.At(0, float64(len(lines))*style.LineMM(textPt))
	for _, line := range lines {
		size.X = math.Max(size.X, style.Regular().Width(line, textPt))
	}
	var places []page.Point
	switch {
	case p.X-t.left < 0.01 || t.right-p.X < 0.01:
		places = atSide(p, inside, size, t)
	case p.Y-t.top < 0.01 || t.bottom-p.Y < 0.01:
		places = atLevel(p, inside, size, t)
	default:
		places = atEnd(p, inside, size, t)
	}
	best, fewest := places[0], math.MaxInt
	for _, corner := range places {
		here := area{corner.X, corner.Y, corner.X + size.X, corner.Y + size.Y}
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
	var marks []page.Mark
	for i, line := range lines {
		marks = append(marks, page.Words{X: best.X, Y: best.Y + float64(i)*style.LineMM(textPt) +
			style.AscentShare*textPt*style.PointMM, Font: page.Font{SizePt: textPt}, Text: line})
	}
	return marks
}

// offLine is the room between a line and its note, mm.
const offLine = 0.7

// atSide are places, by their upper left corners, at the left or right side of a tile: above
// the line and under it, then further off.
func atSide(p, inside, size page.Point, t tile) []page.Point {
	x := p.X + 0.4
	if t.right-p.X < 0.01 {
		x = p.X - size.X - 0.4
	}
	one, other := height(p, inside, x), height(p, inside, x+size.X)
	var places []page.Point
	for i := range 4 {
		off := offLine + float64(i)*style.LineMM(textPt)/2
		places = append(places, page.At(x, math.Min(one, other)-off-size.Y), page.At(x, math.Max(one, other)+off))
	}
	return places
}

// atLevel are places at the upper or lower side of a tile: on that side of the line where it
// is off the tile, then along a flat line or else on its other side, then further in.
func atLevel(p, inside, size page.Point, t tile) []page.Point {
	bottom, right := t.bottom-p.Y < 0.01, inside.X > p.X
	var places []page.Point
	for i := range 5 {
		deep := 0.3 + float64(i)*style.LineMM(textPt)
		y := t.top + deep
		if bottom {
			y = t.bottom - deep - size.Y
		}
		// where the line passes the inner edge of the note
		far := p.X + (inside.X-p.X)*(deep+size.Y)/math.Max(math.Abs(inside.Y-p.Y), 0.01)
		out, other := page.At(p.X+offLine, y), page.At(far-offLine-size.X, y)
		if right {
			out, other = page.At(p.X-offLine-size.X, y), page.At(far+offLine, y)
		}
		if i == 0 && math.Abs(inside.X-p.X) > 2*math.Abs(inside.Y-p.Y) {
			other = along(p, inside, size, bottom)
		}
		places = append(places, out, other)
	}
	return places
}

// along is the place on a flat line that is cut at p, or under it.
func along(p, inside, size page.Point, above bool) page.Point {
	x := p.X
	if inside.X < p.X {
		x -= size.X
	}
	one, other := height(p, inside, x), height(p, inside, x+size.X)
	if above {
		return page.At(x, math.Min(one, other)-offLine-size.Y)
	}
	return page.At(x, math.Max(one, other)+offLine)
}

// atEnd are places behind the end of a line, where a box is left out: level with it, then
// above and under that.
func atEnd(p, inside, size page.Point, t tile) []page.Point {
	x := p.X + offLine
	if inside.X > p.X {
		x = p.X - offLine - size.X
	}
	var places []page.Point
	for _, step := range []float64{0, -1, 1, -2, 2} {
		y := p.Y - size.Y/2 + step*style.LineMM(textPt)
		places = append(places, page.At(x, math.Max(t.top, math.Min(y, t.bottom-size.Y))))
	}
	return places
}
