package report

import (
	"fmt"
	"math"
	"testing"
	"time"

	"spatsheet/calc/season"
	"spatsheet/calc/stats"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// grown are so many batches measured two to four times, spread over half a year; every shift
// spreads them otherwise.
func grown(n, shift int) season.Report {
	var r season.Report
	for i := range n {
		g := season.Growth{Batch: fmt.Sprintf("T-26-N%d", i+1)}
		start := time.Date(2026, 1, 5+i*(37+shift)%180, 0, 0, 0, 0, time.UTC)
		for j := range 2 + (i+shift)%3 {
			m := 0.4 + float64(j)*(1.8+0.25*math.Mod(float64(i+shift)*1.7, 4))
			g.Samples = append(g.Samples, season.LengthSample{At: start.AddDate(0, 0, j*(40+i%7*3)),
				Mean: stats.Interval{Estimate: m, Low: m * 0.93, High: m * 1.07}, Number: 30, HasLimits: j > 0})
		}
		r.Growth = append(r.Growth, g)
	}
	return r
}

// onNames is a canvas that remembers names, what is drawn of curves, and leaders.
type onNames struct {
	names   map[string]box
	strokes [][]page.Point
	leaders int
}

func (c *onNames) Path(points []page.Point, p page.Pen) {
	switch p.Colour {
	case style.Leader:
		c.leaders++
	case style.Faint, style.Ink:
	default:
		c.strokes = append(c.strokes, points)
	}
}

func (c *onNames) Shape(points []page.Point, _ style.Colour) { c.Path(points, page.Pen{}) }

func (c *onNames) Shapes(list [][]page.Point, _ style.Colour) {
	for _, points := range list {
		c.Path(points, page.Pen{})
	}
}

func (c *onNames) Outlined(points []page.Point, _ style.Colour, _ page.Pen) {
	c.Path(points, page.Pen{})
}

func (c *onNames) Text(x, y float64, l page.Font, say string) {
	if len(say) > 4 && say[:2] == "T-" {
		c.names[say] = box{x, y - l.Ascent()*0.75, x + l.Width(say), y} // capitals and figures
	}
}

// touched tells a name with another one or a stroke in it; empty for none. Strokes are looked
// at every tenth of a millimetre.
func (c *onNames) touched() string {
	for say, b := range c.names {
		for other, o := range c.names {
			if say < other && b.meets(o) {
				return say + " and " + other
			}
		}
		for _, s := range c.strokes {
			for i := 1; i < len(s); i++ {
				from, to := s[i-1], s[i]
				steps := math.Ceil(10 * math.Hypot(to.X-from.X, to.Y-from.Y))
				for k := range int(steps) + 1 {
					at := float64(k) / max(1, steps)
					x, y := from.X+at*(to.X-from.X), from.Y+at*(to.Y-from.Y)
					if x > b.left && x < b.right && y > b.top && y < b.bottom {
						return fmt.Sprintf("%s and a stroke at %.1f, %.1f mm", say, x, y)
					}
				}
			}
		}
	}
	return ""
}

func growthNames(t *testing.T, r season.Report, width float64) *onNames {
	t.Helper()
	f := growth(r).parts[0].(pictures)[0]
	c := &onNames{names: map[string]box{}}
	f.draw(c, 0, 0, width)
	return c
}

// TestNamesOfGrowthTouchNothing, wherever curves end; above mostBeside they stand in a row,
// above mostNamed there are none.
func TestNamesOfGrowthTouchNothing(t *testing.T) {
	beside := 0
	for _, n := range []int{1, 2, 3, 5, 8, 12, 13, 20, 40, 60, 61, 80} {
		for shift := range 6 {
			for _, width := range []float64{170, screenWidth} {
				c := growthNames(t, grown(n, shift), width)
				want := n
				if n > mostNamed {
					want = 0
				}
				if len(c.names) != want {
					t.Fatalf("%d curves: %d names, want %d", n, len(c.names), want)
				}
				if say := c.touched(); say != "" {
					t.Errorf("%d curves, shift %d, %g mm: %s touch", n, shift, width, say)
				}
				switch {
				case c.leaders != 0 && c.leaders != want, c.leaders == 0 && n > mostBeside && n <= mostNamed:
					t.Errorf("%d curves: %d leaders", n, c.leaders)
				case c.leaders == 0 && n > 1 && n <= mostBeside:
					beside++
				}
			}
		}
	}
	if beside < 20 {
		t.Errorf("names stand beside their curves in %d figures; that many were too full for it?", beside)
	}
}

// TestNamesWhereCurvesMeet: a curve that begins where another ends leaves both their names
// beside them; curves that end at one place have theirs in a row.
func TestNamesWhereCurvesMeet(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 2, n, 0, 0, 0, 0, time.UTC) }
	curve := func(batch string, from int, low float64, to int, high float64) season.Growth {
		return season.Growth{Batch: batch, Samples: []season.LengthSample{{At: day(from), Mean: stats.Interval{Estimate: low}},
			{At: day(to), Mean: stats.Interval{Estimate: high}}}}
	}
	apart := func(n int) (list []season.Growth) { // ends in a row to the right, going down
		for i := range n {
			list = append(list, curve(fmt.Sprintf("T-26-N%d", i+1), 20*i, 0.4, 20*i+15, 9-0.6*float64(i)))
		}
		return list
	}
	for name, c := range map[string]struct {
		list   []season.Growth
		beside bool
	}{
		"few, far apart":      {apart(mostBeside), true},
		"many, far apart":     {apart(mostBeside + 1), false},
		"one after the other": {[]season.Growth{curve("T-26-N1", 1, 0.4, 60, 2.4), curve("T-26-B1", 60, 2.4, 120, 7)}, true},
		"a name in the way": {[]season.Growth{curve("T-26-N1", 1, 0.4, 49, 2.9), curve("T-26-N2", 10, 0.4, 60, 2.4),
			curve("T-26-B1", 60, 2.4, 120, 7), curve("T-26-N3", 40, 0.4, 75, 2.3)}, false},
		"none in the way": {[]season.Growth{curve("T-26-N2", 10, 0.4, 60, 2.4), curve("T-26-B1", 60, 2.4, 120, 7),
			curve("T-26-N3", 40, 0.4, 75, 2.3)}, true},
		"to one place": {[]season.Growth{curve("T-26-N1", 1, 0.4, 60, 3), curve("T-26-N2", 30, 0.4, 60, 3), curve("T-26-N3", 100, 0.4, 140, 9)}, false},
	} {
		got := growthNames(t, season.Report{Growth: c.list}, 170)
		if say := got.touched(); say != "" || len(got.names) != len(c.list) || (got.leaders == 0) != c.beside {
			t.Errorf("%s: %d names, %d leaders, touching: %q", name, len(got.names), got.leaders, say)
		}
	}
}
