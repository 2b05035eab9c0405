package report

import (
	"fmt"
	"io"

	"spatsheet/render/page"
)

// figure is a picture of numbers, the same for paper and screen.
type figure struct {
	caption string // what is seen, with everything needed to read it
	x, y    axis
	series  []series
	height  float64 // mm, without the caption
	beside  bool    // names stand at the curves' ends where all have room there, else in a row at the right
}

// mostNamed is how many curves of a figure have their names printed: more of them, a line
// each, would not go on a page. Site choice.
const mostNamed = 60

// heightNamed is the height of a figure of so many curves, with a line for each name, in
// mm; site choice.
func heightNamed(curves int) float64 { return max(62, 12+3.4*float64(curves)) }

// nameFew takes the names off too many curves, and says so; height is that of a figure
// without names.
func (f *figure) nameFew(height float64) {
	if len(f.series) <= mostNamed {
		return
	}
	for i := range f.series {
		f.series[i].label = ""
	}
	f.height = height
	f.caption += fmt.Sprintf(" %d are too many to name.", len(f.series))
}

// axis runs from low to high; a tick may stand for a category.
type axis struct {
	label     string
	low, high float64
	ticks     []tick
	category  bool // ticks are names, printed wide and without grid lines
}

type tick struct {
	at    float64
	label string
	head  bool // a heading over categories
}

// series is one curve, or one kind of points.
type series struct {
	label  string // printed at its end; empty for none
	look   int    // into style.Curves, from the first again after the last
	line   bool
	step   bool // the line goes level, then down
	marker bool
	faint  bool // thin: limits
	points []point
}

// point is one thing seen; bars show an interval.
type point struct {
	x, y       float64
	xLow, xTop float64
	hasX       bool
	yLow, yTop float64
	hasY       bool
	tall       bool   // drawn as an upright stroke instead of a marker: a pooled value, a censored animal
	label      string // printed beside it
}

// svg draws a figure as one SVG element that needs nothing from outside.
func (f *figure) svg(w io.Writer, width float64) {
	s := page.NewSVG(w, width, f.height, "", printable(f.caption))
	f.draw(s, 1, 0, width-2)
	s.Close()
}
