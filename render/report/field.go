package report

import (
	"math"
	"sync"

	"spatsheet/render/style"
)

// dot is how fine a field looks, in mm: 508 dots an inch, finer than a screen, and than a
// marker's border by five sixths. Site choice.
const dot = 0.05

// mostDots bounds a field: 8 MB.
const mostDots = 64 << 20

// field remembers which dots of a figure are drawn on, from the last thing drawn to the
// first. It is nil where a figure is too large to look at; all is seen then.
type field struct {
	left, top   float64
	wide, high  int // dots
	wordsInARow int
	drawn       []uint64
}

func newField(left, top, right, bottom float64) *field {
	wide, high := math.Ceil((right-left)/dot), math.Ceil((bottom-top)/dot)
	if !(wide > 0 && high > 0 && wide*high <= mostDots) {
		return nil
	}
	words := (int(wide) + 63) / 64
	return &field{left: left, top: top, wide: int(wide), high: int(high), wordsInARow: words, drawn: make([]uint64, words*int(high))}
}

// box draws on a box and tells whether any of it is seen.
func (f *field) box(left, top, right, bottom float64) (seen bool) {
	if f == nil {
		return true
	}
	x0, x1 := ends((left-f.left)/dot, (right-f.left)/dot)
	y0, y1 := ends((top-f.top)/dot, (bottom-f.top)/dot)
	if !f.holds(x0, y0, x1, y1) {
		return true
	}
	for y := y0; y < y1; y++ {
		seen = f.row(y, x0, x1) || seen
	}
	return seen
}

// ends are the dots from one end to the other, at least one.
func ends(from, to float64) (first, after int) {
	first, after = int(math.Round(from)), int(math.Round(to))
	return first, max(after, first+1)
}

// holds says whether dots lie in the field; what does not is always seen.
func (f *field) holds(x0, y0, x1, y1 int) bool {
	return x0 >= 0 && y0 >= 0 && x1 <= f.wide && y1 <= f.high
}

// row draws on the dots of a row and tells whether one of them was not drawn on.
func (f *field) row(y, x0, x1 int) (seen bool) {
	words := f.drawn[y*f.wordsInARow : (y+1)*f.wordsInARow]
	for w := x0 / 64; w <= (x1-1)/64; w++ {
		mask := ^uint64(0)
		if w == x0/64 {
			mask &= ^uint64(0) << (x0 % 64)
		}
		if w == (x1-1)/64 {
			mask &= ^uint64(0) >> (63 - (x1-1)%64)
		}
		seen = seen || words[w]&mask != mask
		words[w] |= mask
	}
	return seen
}

// dots are those of a marker, row by row, from its middle.
type dots struct {
	rows []dotRow
	open bool // strokes alone: what is under it is seen
}

type dotRow struct{ y, x0, x1 int }

// marker draws a marker and tells whether any of it is seen.
func (f *field) marker(x, y float64, s dots) (seen bool) {
	if f == nil || s.open {
		return true
	}
	atX, atY := int(math.Round((x-f.left)/dot)), int(math.Round((y-f.top)/dot))
	reach := int(2 * markerSize / dot)
	if !f.holds(atX-reach, atY-reach, atX+reach, atY+reach) {
		return true
	}
	for _, r := range s.rows {
		seen = f.row(atY+r.y, atX+r.x0, atX+r.x1) || seen
	}
	return seen
}

// markerDots are the dots of each marker.
var markerDots = sync.OnceValue(func() map[style.Marker]dots {
	out := map[style.Marker]dots{}
	for _, c := range style.Curves {
		out[c.Marker] = dotsOf(c.Marker)
	}
	return out
})

// dotsOf finds the dots whose middle lies in a marker or on its border.
func dotsOf(marker style.Marker) dots {
	corner, hollow, ok := outline(marker, 0, 0)
	if !ok {
		return dots{open: true}
	}
	border := 0.0
	if hollow {
		border = halfBorder
	}
	var s dots
	reach := int(2 * markerSize / dot)
	for y := -reach; y < reach; y++ {
		row := dotRow{y: y, x0: reach, x1: -reach}
		for x := -reach; x < reach; x++ {
			if within(corner, (float64(x)+0.5)*dot, (float64(y)+0.5)*dot, border) {
				row.x0, row.x1 = min(row.x0, x), max(row.x1, x+1)
			}
		}
		if row.x0 < row.x1 {
			s.rows = append(s.rows, row)
		}
	}
	return s
}

// within says whether a place lies in a polygon that bulges everywhere outwards, its
// corners clockwise as seen on paper, or no farther than border from a side of it.
func within(corner []place, x, y, border float64) bool {
	for i, a := range corner {
		b := corner[(i+1)%len(corner)]
		across := (b.x-a.x)*(y-a.y) - (b.y-a.y)*(x-a.x)
		if across < -border*math.Hypot(b.x-a.x, b.y-a.y) {
			return false
		}
	}
	return true
}
