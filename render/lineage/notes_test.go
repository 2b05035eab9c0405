package lineage

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc/pedigree"
	"spatsheet/render/page"
)

// wide is a drawing that is higher and wider than a page: strips are broken, and lines run
// over every side of their parts.
func wide(t *testing.T) *Drawing {
	list := twoGenerations()
	for n := 3; n < 7; n++ {
		list = append(list, line(2024, n)...)
	}
	return drawing(t, list, "")
}

// ends walks a line in small steps and tells where it comes onto a tile and leaves it.
func ends(a, b page.Point, on tile) (in, out page.Point, starts, stops, any bool) {
	const steps = 2000
	for i := range steps + 1 {
		share := float64(i) / steps
		p := page.At(a.X+(b.X-a.X)*share, a.Y+(b.Y-a.Y)*share)
		if p.X < on.left || p.X > on.right || p.Y < on.top || p.Y > on.bottom {
			continue
		}
		if !any {
			in, starts = p, i == 0
		}
		out, stops, any = p, i == steps, true
	}
	return in, out, starts, stops, any && math.Hypot(out.X-in.X, out.Y-in.Y) > 0.5
}

// partly tells whether a box stands on a part of a page and on another.
func partly(n *node, part tile) bool {
	l, top := left(n.column), n.y+columnTop-n.height/2
	inX, inY := l < part.right && l+boxWidth > part.left, top < part.bottom && top+n.height > part.top
	return !n.bend && inX && inY && !onOnePage(n, []tile{part})
}

// TestNoBoxIsCut: of a box that is not whole on a part of a page, nothing is on it.
func TestNoBoxIsCut(t *testing.T) {
	d := wide(t)
	parts := 0
	for _, paper := range papers {
		_, tiles := d.tiles(paper[0], paper[1])
		for i, part := range tiles {
			shown := d.shown(part)
			for _, column := range d.lay.columns {
				for _, n := range column {
					if n.bend {
						continue
					}
					there := 0
					for _, m := range n.box(left(n.column), n.y+columnTop-n.height/2) {
						if slices.ContainsFunc(shown, func(other page.Mark) bool { return reflect.DeepEqual(m, other) }) {
							there++
						}
					}
					whole := onOnePage(n, []tile{part})
					if whole != (there > 0) {
						t.Errorf("part %d has %d marks of %s, whole on it: %v", i, there, n.code, whole)
					}
					if partly(n, part) {
						parts++
					}
				}
			}
		}
	}
	if parts == 0 {
		t.Error("no box stands where a page ends: nothing is tested")
	}
}

// named tells whether a note that begins with words stands within 12 mm of a place.
func named(notes []page.Mark, p page.Point, words string) bool {
	return slices.ContainsFunc(notes, func(m page.Mark) bool {
		l, top, r, bottom := m.Extent()
		off := math.Hypot(math.Max(0, math.Max(l-p.X, p.X-r)), math.Max(0, math.Max(top-p.Y, p.Y-bottom)))
		return strings.HasPrefix(m.(page.Words).Text, words) && off < 12
	})
}

// TestEveryCutLineIsNamed at each side of each part of a page, close to where it is cut,
// and nothing is named that is not there.
func TestEveryCutLineIsNamed(t *testing.T) {
	d := wide(t)
	for _, paper := range papers {
		level := 0
		_, tiles := d.tiles(paper[0], paper[1])
		for i, part := range tiles {
			want := 0
			notes := d.crossings(part)
			check := func(p page.Point, words string) {
				want++
				if p.Y-part.top < 0.1 || part.bottom-p.Y < 0.1 {
					level++
				}
				if !named(notes, p, words) {
					t.Errorf("part %d: no note %q near %v: %v", i, words, p, notes)
				}
			}
			for _, column := range d.lay.columns {
				for _, n := range column {
					for _, e := range n.from {
						in, out, starts, stops, any := ends(e.a.leaves(e), n.enters(e), part)
						if any && (!starts || partly(e.a, part)) {
							check(in, "from "+source(e))
						}
						if any && (!stops || partly(n, part)) {
							check(out, "to "+e.ends.code)
						}
					}
				}
			}
			got := 0
			for _, m := range notes {
				if words := m.(page.Words).Text; strings.HasPrefix(words, "from ") || strings.HasPrefix(words, "to ") {
					got++
				}
				if l, top, r, bottom := m.Extent(); l < part.left || r > part.right || top < part.top || bottom > part.bottom {
					t.Errorf("part %d: note %q leaves it", i, m.(page.Words).Text)
				}
			}
			if got != want {
				t.Errorf("part %d has %d notes, want %d", i, got, want)
			}
		}
		if level == 0 {
			t.Error("no line crosses the top or bottom of a part: nothing is tested of them")
		}
	}
}

// TestNumbersStandWithTheChild: where a part that has the line's end cuts the number, the
// note where the line is cut tells it, and the number is not on the part.
func TestNumbersStandWithTheChild(t *testing.T) {
	d := drawing(t, twoGenerations(), "")
	tested := 0
	for _, column := range d.lay.columns {
		for _, n := range column {
			for _, e := range n.from {
				number, ok := e.number()
				if !ok {
					continue
				}
				tested++
				part := tile{left: number.X + 1, right: d.width + stub, top: 0, bottom: d.height}
				var notes []string
				for _, m := range d.crossings(part) {
					notes = append(notes, m.(page.Words).Text)
				}
				if want := "from " + source(e) + ", " + e.label; !strings.Contains(strings.Join(notes, " "), want) {
					t.Errorf("%q is not in %q", want, notes)
				}
				if slices.Contains(d.shown(part), page.Mark(number)) {
					t.Errorf("%q is cut", number.Text)
				}
			}
		}
	}
	if tested < 8 {
		t.Errorf("%d numbers tested", tested)
	}
}

// TestNotesNameWholeCodes, inside their part of the page, off their own line and off what
// is there already.
func TestNotesNameWholeCodes(t *testing.T) {
	part := tile{left: 100, right: 300, top: 0, bottom: 100}
	for _, code := range []string{"KS-26-01", "HL-27-01-ACCLIMATION", "WWWWWWWWWWWWWWWWWWWW"} {
		for _, c := range []struct{ p, inside page.Point }{
			{page.At(300, 55), page.At(285, 50)}, {page.At(100, 50), page.At(120, 60)}, {page.At(100, 60), page.At(120, 50)},
			{page.At(200, 100), page.At(190, 80)}, {page.At(200, 100), page.At(210, 80)}, {page.At(200, 0), page.At(190, 30)},
			{page.At(200, 0), page.At(230, 8)},
		} {
			taken := []area{{202, 90, 240, 97}} // a box right of the line at the bottom
			got := ""
			for _, m := range note(c.p, c.inside, "from "+code, part, taken) {
				got += m.(page.Words).Text
				here := areaOf(m)
				if here.left < part.left || here.right > part.right || here.top < part.top || here.bottom > part.bottom || here.right-here.left > columnGap-5 {
					t.Errorf("%q at %v stands at %v", m.(page.Words).Text, c.p, here)
				}
				if here.meets(taken[0]) {
					t.Errorf("%q at %v stands on a box", m.(page.Words).Text, c.p)
				}
				for i := range 1001 {
					x, y := c.p.X+(c.inside.X-c.p.X)*float64(i)/1000, c.p.Y+(c.inside.Y-c.p.Y)*float64(i)/1000
					if here.meets(area{x, y, x, y}) {
						t.Errorf("%q at %v stands on its line", m.(page.Words).Text, c.p)
						break
					}
				}
			}
			if strings.ReplaceAll(got, " ", "") != "from"+code {
				t.Errorf("got %q of %q", got, code)
			}
		}
	}
}

// TestTypeIsSixPoints at least, as small as a page may make it.
func TestTypeIsSixPoints(t *testing.T) {
	d := wide(t)
	scale, tiles := d.tiles(papers[0][0], papers[0][1])
	marks := slices.Concat(d.scene, d.lay.dateMarks())
	for _, part := range tiles {
		marks = append(marks, d.crossings(part)...)
	}
	for _, m := range marks {
		if words, ok := m.(page.Words); ok && words.Font.SizePt*scale < 6-1e-9 {
			t.Errorf("%q is of %g pt", words.Text, words.Font.SizePt*scale)
		}
	}
}

// TestLinesThatRunBack, of a batch dated before its parent, are clipped as others are.
func TestLinesThatRunBack(t *testing.T) {
	part := tile{left: 0, right: 100, top: 0, bottom: 50}
	for _, c := range []struct {
		a, b, in, out page.Point
		on            bool
	}{
		{page.At(150, 30), page.At(50, 30), page.At(100, 30), page.At(50, 30), true},
		{page.At(50, 30), page.At(-50, 30), page.At(50, 30), page.At(0, 30), true},
		{page.At(20, -10), page.At(40, 70), page.At(22.5, 0), page.At(35, 50), true},
		{page.At(20, 60), page.At(40, 70), page.Point{}, page.Point{}, false},
		{page.At(100, 30), page.At(150, 30), page.Point{}, page.Point{}, false},
	} {
		in, out, on := part.within(c.a, c.b)
		if fmt.Sprint(in, out, on) != fmt.Sprint(c.in, c.out, c.on) {
			t.Errorf("%v to %v: got %v %v %v, want %v %v %v", c.a, c.b, in, out, on, c.in, c.out, c.on)
		}
	}
}

// TestPowersAreRaised on lines and in boxes, as on the other papers, and not shortened.
func TestPowersAreRaised(t *testing.T) {
	d := drawing(t, line(2024, 1), "")
	var words []string
	for _, m := range d.scene {
		if w, ok := m.(page.Words); ok {
			words = append(words, w.Text)
		}
	}
	for _, lot := range traced(t, line(2024, 1)).Lots {
		for _, c := range lot.Counts {
			if c.Unit == "cells" && lot.Group == pedigree.Supply && !slices.Contains(words, number(c.Number)+" cells") {
				t.Errorf("%s is not in %q", number(c.Number), words)
			}
		}
	}
	if got := number(1.0634e11); got != "1.063\u00a0×\u00a010¹¹" {
		t.Errorf("got %q", got)
	}
}
