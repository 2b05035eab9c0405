package lineage

import (
	"math"
	"slices"

	"spatsheet/calc/pedigree"
	"spatsheet/render/style"
)

// mark is one thing drawn; lengths in mm from the drawing's upper left corner.
type mark interface {
	extent() (left, top, right, bottom float64)
}

// at is a place in mm.
type at struct{ x, y float64 }

// path is a line or, closed, a shape.
type path struct {
	points []at
	closed bool
	grey   bool      // filled with the one grey; else white when closed
	width  float64   // of the line, mm
	dash   []float64 // mm; nil is a whole line
}

// text is a line of text; y is its baseline.
type text struct {
	x, y   float64
	sizePt float64
	bold   bool
	words  string
	ground bool // on white, so that lines do not cross it
}

func (p path) extent() (left, top, right, bottom float64) {
	left, top, right, bottom = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range p.points {
		left, top, right, bottom = math.Min(left, q.x), math.Min(top, q.y), math.Max(right, q.x), math.Max(bottom, q.y)
	}
	return left, top, right, bottom
}

func (t text) extent() (left, top, right, bottom float64) {
	size := t.sizePt * style.PointMM
	return t.x, t.y - style.AscentShare*size, t.x + t.wide(), t.y + (style.Leading-style.AscentShare)*size
}

func (t text) wide() float64 {
	return style.FaceOf(t.bold).Width(t.words, t.sizePt)
}

// Line widths, mm.
const (
	boxLine    = 0.35
	markedLine = style.HeavyLine
	linkLine   = 0.3
)

// strokes of links: what they carry, told apart without colour.
var strokes = map[pedigree.Carry][]float64{
	pedigree.CarriesLine: nil, pedigree.CarriesStock: {4, 1.2}, pedigree.CarriesOther: {0.5, 1.1},
}

// columnTop is where the topmost box begins, bodyTop where the drawing does under its dates.
const (
	columnTop = edgeRoom + headRoom + dateRoom
	bodyTop   = columnTop - 3
)

// dateMarks are the dates over the columns of the whole drawing.
func (l *layout) dateMarks() []mark {
	var marks []mark
	for i, dates := range l.dates {
		marks = append(marks, text{left(i), bodyTop - 2, textPt, false, dates, false})
	}
	return marks
}

// scene draws lines first, then boxes over them.
func (l *layout) scene() []mark {
	var marks []mark
	for _, column := range l.columns {
		for _, n := range column {
			marks = append(marks, n.links()...)
		}
	}
	for _, column := range l.columns {
		for _, n := range column {
			if !n.bend {
				marks = append(marks, n.box(left(n.column), n.y+columnTop-n.height/2)...)
			}
		}
	}
	for _, column := range l.columns {
		for _, n := range column {
			marks = append(marks, n.labels()...)
		}
	}
	return marks
}

// box draws a node with its upper left corner at x, y.
func (n *node) box(x, y float64) []mark {
	shape := path{points: outline(n.group(), x, y, boxWidth, n.height), closed: true, width: boxLine}
	switch {
	case n.marked:
		shape.grey, shape.width = true, markedLine
	case n.group() == pedigree.Supply:
		shape.dash = []float64{1.5, 1}
	case n.lot == nil:
		shape.dash = []float64{0.4, 1}
	}
	marks := []mark{shape}
	left, top := x+n.inset()+padding, y+padding
	for i, line := range n.head {
		marks = append(marks, text{left, top + (float64(i)*style.Leading+style.AscentShare)*n.headPt*style.PointMM, n.headPt, true, line, false})
	}
	baseline := top + n.headHeight()
	for i, line := range n.lines {
		marks = append(marks, text{left, baseline + (float64(i)*style.Leading+style.AscentShare)*textPt*style.PointMM, textPt, false, line, false})
	}
	return marks
}

// outline is the shape of a group: from the shore and onto it pointed at one side,
// spawnings at both, larvae round, spat with corners cut.
func outline(group pedigree.Group, x, y, w, h float64) []at {
	r, b, m := x+w, y+h, y+h/2
	switch group {
	case pedigree.FromShore: // a pennant, its cut at the left
		return []at{{x, y}, {r, y}, {r, b}, {x, b}, {x + point*0.7, m}}
	case pedigree.Released:
		return []at{{x, y}, {r - point, y}, {r, m}, {r - point, b}, {x, b}}
	case pedigree.Spawned:
		return []at{{x + point, y}, {r - point, y}, {r, m}, {r - point, b}, {x + point, b}, {x, m}}
	case pedigree.Spat:
		const c = 2.5
		return []at{{x + c, y}, {r - c, y}, {r, y + c}, {r, b - c}, {r - c, b}, {x + c, b}, {x, b - c}, {x, y + c}}
	case pedigree.Larvae:
		return rounded(x, y, w, h, 4)
	}
	return []at{{x, y}, {r, y}, {r, b}, {x, b}}
}

// rounded is a rectangle whose corners are quarter circles, each of eight strokes.
func rounded(x, y, w, h, radius float64) []at {
	var points []at
	centres := []at{{x + w - radius, y + radius}, {x + w - radius, y + h - radius}, {x + radius, y + h - radius}, {x + radius, y + radius}}
	for corner, c := range centres {
		for i := range 9 {
			angle := (float64(corner-1) + float64(i)/8) * math.Pi / 2
			points = append(points, at{round(c.x + radius*math.Cos(angle)), round(c.y + radius*math.Sin(angle))})
		}
	}
	return points
}

func round(x float64) float64 { return math.Round(x*1000) / 1000 }

// leaves and enters are where lines touch a node's sides: apart from each other, in the
// order of the nodes at their other ends.
func (n *node) leaves(e *edge) at {
	x := left(n.column) + boxWidth
	if n.group() == pedigree.Released || n.group() == pedigree.Spawned {
		return at{x, n.y + columnTop}
	}
	return at{x, n.side(n.to, e, func(e *edge) float64 { return e.b.y })}
}

func (n *node) enters(e *edge) at {
	x := left(n.column)
	if n.group() == pedigree.Spawned && len(n.from) == 1 {
		return at{x, n.y + columnTop}
	}
	y := n.side(n.from, e, func(e *edge) float64 { return e.a.y })
	if n.group() == pedigree.Spawned { // along the slanted sides
		x += point * math.Abs(y-n.y-columnTop) / (n.height / 2)
	}
	return at{x, y}
}

func (n *node) side(edges []*edge, e *edge, other func(*edge) float64) float64 {
	sorted := slices.Clone(edges)
	slices.SortStableFunc(sorted, func(a, b *edge) int {
		switch {
		case other(a) < other(b):
			return -1
		case other(a) > other(b):
			return 1
		}
		return 0
	})
	i := slices.Index(sorted, e)
	room := n.height * 0.8
	return columnTop + n.y - room/2 + room*(float64(i)+0.5)/float64(len(sorted))
}

// links draws the lines that enter a node; through a bend they run level.
func (n *node) links() []mark {
	var marks []mark
	for _, e := range n.from {
		a, b := e.a.leaves(e), n.enters(e)
		line := path{points: []at{a, b}, width: linkLine, dash: strokes[e.carries]}
		if n.bend {
			line.points = append(line.points, at{b.x + boxWidth, b.y})
		} else {
			marks = append(marks, arrow(a, b))
		}
		marks = append(marks, line)
	}
	return marks
}

// arrow is a small head at b.
func arrow(a, b at) path {
	const length, half = 2.2, 0.8
	d := math.Hypot(b.x-a.x, b.y-a.y)
	if d == 0 {
		d = 1
	}
	ux, uy := (b.x-a.x)/d, (b.y-a.y)/d
	back := at{b.x - ux*length, b.y - uy*length}
	return path{points: []at{b, {round(back.x - uy*half), round(back.y + ux*half)}, {round(back.x + uy*half), round(back.y - ux*half)}}, closed: true, width: linkLine}
}

// labels puts on each line, before its child, the number that the parent had left.
func (n *node) labels() []mark {
	var marks []mark
	for _, e := range n.from {
		if t, ok := e.number(); ok {
			marks = append(marks, t)
		}
	}
	return marks
}

// number is the number on a line; ok is false where it has none.
func (e *edge) number() (t text, ok bool) {
	if e.label == "" || e.b.bend {
		return t, false
	}
	t = text{sizePt: textPt, words: cut(e.label, style.Regular(), textPt, columnGap-5), ground: true}
	a, b := e.a.leaves(e), e.b.enters(e)
	const share = 0.42 // of the way: clear of the arrow head and of the box left
	t.x = round(math.Min(a.x+(b.x-a.x)*share, b.x-4) - t.wide()/2)
	if b.x > a.x {
		t.x = round(math.Max(t.x, a.x+1.5))
	}
	y := b.y
	if b.x != a.x {
		y = height(a, b, t.x+t.wide()/2)
	}
	t.y = round(y + 0.36*textPt*style.PointMM)
	return t, true
}

// height is that of the line from a to b at x.
func height(a, b at, x float64) float64 { return a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x) }
