package report

import (
	"testing"

	"pgregory.net/rapid"

	"spatsheet/render/style"
)

// owned is a field that remembers which part drew each dot last, asked dot by dot.
type owned map[[2]int]int

func (o owned) draw(f *field, part int, s *series, pt point, p *plot) {
	x, y := p.atX(pt.x), p.atY(pt.y)
	if part%2 == 0 { // the bar comes first
		x0, x1 := ends((x-halfBar-f.left)/dot, (x+halfBar-f.left)/dot)
		y0, y1 := ends((p.atY(pt.yTop)-f.top)/dot, (p.atY(pt.yLow)-f.top)/dot)
		for i := x0; i < x1; i++ {
			for j := y0; j < y1; j++ {
				o[[2]int{i, j}] = part
			}
		}
		return
	}
	cx, _ := ends((x-f.left)/dot, 0)
	cy, _ := ends((y-f.top)/dot, 0)
	corner, hollow, _ := outline(lookOf(s).Marker, 0, 0)
	border := 0.0
	if hollow {
		border = halfBorder
	}
	for i := -40; i < 40; i++ {
		for j := -40; j < 40; j++ {
			if within(corner, (float64(i)+0.5)*dot, (float64(j)+0.5)*dot, border) {
				o[[2]int{cx + i, cy + j}] = part
			}
		}
	}
}

// TestOnlyWhatIsHiddenIsLeftOut draws points in order, dot by dot: what owns a dot in the
// end is drawn, and what owns none is not.
func TestOnlyWhatIsHiddenIsLeftOut(t *testing.T) {
	hidden := 0
	rapid.Check(t, func(r *rapid.T) {
		f := &figure{x: axis{low: 0, high: 100}, y: axis{low: 0, high: 100}, height: 40}
		p := &plot{figure: f, left: 10, top: 5, right: 30, bottom: 25}
		for range rapid.IntRange(1, 3).Draw(r, "series") {
			s := series{look: rapid.IntRange(0, 5).Draw(r, "look"), marker: true}
			for range rapid.IntRange(0, 40).Draw(r, "points") {
				y := rapid.Float64Range(5, 95).Draw(r, "y")
				s.points = append(s.points, point{x: rapid.Float64Range(0, 100).Draw(r, "x"), y: y, yLow: y - 5, yTop: y + 5, hasY: true})
			}
			f.series = append(f.series, s)
		}
		o, part := owned{}, 0
		field := newField(p.left-3, p.top-3, p.right+3, p.bottom+3)
		for i := range f.series {
			for _, pt := range f.series[i].points {
				o.draw(field, part, &f.series[i], pt, p)
				o.draw(field, part+1, &f.series[i], pt, p)
				part += 2
			}
		}
		owns := map[int]bool{}
		for _, by := range o {
			owns[by] = true
		}
		part = 0
		for i, list := range p.seen() {
			for n, got := range list {
				if (got&barY != 0) != owns[part] || (got&sign != 0) != owns[part+1] {
					r.Errorf("series %d, point %d: seen %b, but its bar owns dots: %v, its marker: %v", i, n, got, owns[part], owns[part+1])
				}
				if !owns[part] || !owns[part+1] {
					hidden++
				}
				part += 2
			}
		}
	})
	if hidden == 0 {
		t.Error("nothing was hidden in any figure")
	}
}

// TestLargeFieldsAreNotLookedAt draws all of a figure that is too large to look at.
func TestLargeFieldsAreNotLookedAt(t *testing.T) {
	f := newField(0, 0, 1e5, 1e5)
	if f != nil || !f.box(1, 1, 2, 2) || !f.box(1, 1, 2, 2) || !f.marker(1, 1, dotsOf(style.Disc)) {
		t.Error("want no field, and all seen")
	}
}
