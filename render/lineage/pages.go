package lineage

import "math"

// room is what a page has for the drawing between title and legend.
func room(width, height float64) (w, h float64) {
	return width - 2*edgeRoom, height - 2*edgeRoom - headRoom - legendHeight
}

const (
	pageTop   = edgeRoom + headRoom - 2 // where the drawing begins on a page
	dateStrip = bodyTop - pageTop       // the dates over a part of it
	stub      = 20.0                    // how much of a line stands right of a strip's last column
	boxMargin = 2.0                     // around the boxes of a part
	noteRoom  = 4.0                     // above the boxes of a part: room for a note
)

// tiles breaks the drawing over pages: one where it fits, else strips of whole columns, as
// many under each other as a page holds; where a strip is higher than a page, it is broken
// between boxes. A strip begins with the gap before its first column, so that no number on
// a line is cut.
func (d *Drawing) tiles(width, height float64) (scale float64, tiles []tile) {
	w, h := room(width, height)
	columns := len(d.lay.columns)
	wide := float64(columns)*(boxWidth+columnGap) - columnGap
	high := columnTop + d.lay.height + boxMargin - bodyTop
	scale = math.Min(1, math.Min((w-2)/(wide+2), h/(dateStrip+high)))
	if scale >= leastScale {
		return scale, []tile{{edgeRoom - 1, bodyTop, edgeRoom + wide + 1, bodyTop + high, 0, pageTop + dateStrip*scale}}
	}
	scale = leastScale
	perStrip := max(1, int((w/scale-stub)/(boxWidth+columnGap)+1e-9))
	page, y := 0, pageTop
	for first := 0; first < columns; first += perStrip {
		l, r := left(first)-columnGap+0.4, left(first)+float64(perStrip)*(boxWidth+columnGap)-columnGap+stub
		if first == 0 {
			l = left(0) - 1
		}
		for _, band := range d.bands(h/scale-dateStrip, first, first+perStrip) {
			tall := (band[1] - band[0] + dateStrip) * scale
			if y > pageTop && y+tall > pageTop+h {
				page, y = page+1, pageTop
			}
			tiles = append(tiles, tile{l, band[0], r, band[1], page, y + dateStrip*scale})
			y += tall + stripGap
		}
	}
	return scale, tiles
}

// bands breaks the height of a strip, columns first to before end, into pieces of at most
// high: between boxes where it can. Every box is whole on one of them, and none is without
// a box; lines above and below all boxes go along where there is room.
func (d *Drawing) bands(high float64, first, end int) [][2]float64 {
	var out [][2]float64
	top, bottom := d.boxesFrom(math.Inf(-1), first, end)
	top, bottom = top-boxMargin, bottom+boxMargin
	for bottom-top > high {
		cut := top + high
		for y := cut; y > top+high/2; y -= 0.5 {
			if !d.cutsBox(y, first, end) {
				cut = y
				break
			}
		}
		out = append(out, [2]float64{top, cut})
		next, _ := d.boxesFrom(cut, first, end)
		switch next -= 1; {
		case math.IsInf(next, 1): // all were whole, without the margin
			return out
		case next <= top: // a box higher than the page
			next = cut
		case next > cut:
			next = math.Max(cut, next-noteRoom)
		}
		top = next
	}
	lowest, highest := d.linesOf(first, end)
	bottom = math.Max(bottom, math.Min(lowest, top+high))
	if len(out) == 0 {
		top = math.Min(top, math.Max(highest, bottom-high))
	}
	return append(out, [2]float64{top, bottom})
}

// boxesFrom is where the boxes of a strip begin and end, of those that end below y.
func (d *Drawing) boxesFrom(y float64, first, end int) (top, bottom float64) {
	top, bottom = math.Inf(1), math.Inf(-1)
	for _, column := range d.lay.columns[first:min(end, len(d.lay.columns))] {
		for _, n := range column {
			if low := n.y + columnTop + n.height/2; !n.bend && low > y {
				top, bottom = math.Min(top, low-n.height), math.Max(bottom, low)
			}
		}
	}
	return top, bottom
}

// linesOf is how far down and up the lines of a strip reach, with those to its neighbours.
func (d *Drawing) linesOf(first, end int) (lowest, highest float64) {
	lowest, highest = math.Inf(-1), math.Inf(1)
	for _, column := range d.lay.columns[max(first-1, 0):min(end+1, len(d.lay.columns))] {
		for _, n := range column {
			lowest = math.Max(lowest, n.y+columnTop+boxMargin)
			highest = math.Min(highest, n.y+columnTop-boxMargin-noteRoom)
		}
	}
	return lowest, highest
}

// cutsBox tells whether a level line would cut a box of a strip.
func (d *Drawing) cutsBox(y float64, first, end int) bool {
	for _, column := range d.lay.columns[first:min(end, len(d.lay.columns))] {
		for _, n := range column {
			if !n.bend && math.Abs(n.y+columnTop-y) < n.height/2+0.5 {
				return true
			}
		}
	}
	return false
}
