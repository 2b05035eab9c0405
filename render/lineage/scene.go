package lineage

import (
	"math"
	"slices"

	"spatsheet/calc/pedigree"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

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
func (l *layout) dateMarks() []page.Mark {
	var marks []page.Mark
	for i, dates := range l.dates {
		marks = append(marks, page.Words{X: left(i), Y: bodyTop - 2, Font: page.Font{SizePt: textPt}, Text: dates})
	}
	return marks
}

// scene draws lines first, then boxes over them.
func (l *layout) scene() []page.Mark {
	var marks []page.Mark
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
func (n *node) box(x, y float64) []page.Mark {
	shape := page.Path{Points: outline(n.group(), x, y, boxWidth, n.height), Closed: true, Pen: page.Pen{Width: boxLine}}
	switch {
	case n.marked:
		shape.Grey, shape.Pen.Width = true, markedLine
	case n.group() == pedigree.Supply:
		shape.Pen.Dash = []float64{1.5, 1}
	case n.lot == nil:
		shape.Pen.Dash = []float64{0.4, 1}
	}
	marks := []page.Mark{shape}
	left, top := x+n.inset()+padding, y+padding
	for i, line := range n.head {
		marks = append(marks, page.Words{X: left, Y: top + (float64(i)*style.Leading+style.AscentShare)*n.headPt*style.PointMM,
			Font: page.Font{SizePt: n.headPt, Bold: true}, Text: line})
	}
	baseline := top + n.headHeight()
	for i, line := range n.lines {
		marks = append(marks, page.Words{X: left, Y: baseline +
			(float64(i)*style.Leading+style.AscentShare)*textPt*style.PointMM, Font: page.Font{SizePt: textPt}, Text: line})
	}
	return marks
}

// outline is the shape of a group: from the shore and onto it pointed at one side,
// spawnings at both, larvae round, spat with corners cut.
func outline(group pedigree.Group, x, y, w, h float64) []page.Point {
	r, b, m := x+w, y+h, y+h/2
	switch group {
	case pedigree.FromShore: // a pennant, its cut at the left
		return []page.Point{page.At(x, y), page.At(r, y), page.At(r, b), page.At(x, b), page.At(x+point*0.7, m)}
	case pedigree.Released:
		return []page.Point{page.At(x, y), page.At(r-point, y), page.At(r, m), page.At(r-point, b), page.At(x, b)}
	case pedigree.Spawned:
		return []page.Point{page.At(x+point, y), page.At(r-point, y), page.At(r, m), page.At(r-point, b), page.At(x+point, b), page.At(x, m)}
	case pedigree.Spat:
		const c = 2.5
		return []page.Point{page.At(x+c, y), page.At(r-c, y), page.At(r, y+c), page.At(r, b-c), page.At(r-c, b), page.At(x+c, b),
			page.At(x, b-c), page.At(x, y+c)}
	case pedigree.Larvae:
		return rounded(x, y, w, h, 4)
	}
	return []page.Point{page.At(x, y), page.At(r, y), page.At(r, b), page.At(x, b)}
}

// rounded is a rectangle whose corners are quarter circles, each of eight strokes.
func rounded(x, y, w, h, radius float64) []page.Point {
	var points []page.Point
	centres := []page.Point{page.At(x+w-radius, y+radius), page.At(x+w-radius, y+h-radius), page.At(x+radius, y+h-radius), page.At(x+radius, y+radius)}
	for corner, c := range centres {
		for i := range 9 {
			angle := (float64(corner-1) + float64(i)/8) * math.Pi / 2
			points = append(points, page.At(round(c.X+radius*math.Cos(angle)), round(c.Y+radius*math.Sin(angle))))
		}
	}
	return points
}

func round(x float64) float64 { return math.Round(x*1000) / 1000 }

// leaves and enters are where lines touch a node's sides: apart from each other, in the
// order of the nodes at their other ends.
func (n *node) leaves(e *edge) page.Point {
	x := left(n.column) + boxWidth
	if n.group() == pedigree.Released || n.group() == pedigree.Spawned {
		return page.At(x, n.y+columnTop)
	}
	return page.At(x, n.side(n.to, e, func(e *edge) float64 { return e.b.y }))
}

func (n *node) enters(e *edge) page.Point {
	x := left(n.column)
	if n.group() == pedigree.Spawned && len(n.from) == 1 {
		return page.At(x, n.y+columnTop)
	}
	y := n.side(n.from, e, func(e *edge) float64 { return e.a.y })
	if n.group() == pedigree.Spawned { // along the slanted sides
		x += point * math.Abs(y-n.y-columnTop) / (n.height / 2)
	}
	return page.At(x, y)
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
func (n *node) links() []page.Mark {
	var marks []page.Mark
	for _, e := range n.from {
		a, b := e.a.leaves(e), n.enters(e)
		line := page.Path{Points: []page.Point{a, b}, Pen: page.Pen{Width: linkLine, Dash: strokes[e.carries]}}
		if n.bend {
			line.Points = append(line.Points, page.At(b.X+boxWidth, b.Y))
		} else {
			marks = append(marks, arrow(a, b))
		}
		marks = append(marks, line)
	}
	return marks
}

// arrow is a small head at b.
func arrow(a, b page.Point) page.Path {
	const length, half = 2.2, 0.8
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	if d == 0 {
		d = 1
	}
	ux, uy := (b.X-a.X)/d, (b.Y-a.Y)/d
	back := page.At(b.X-ux*length, b.Y-uy*length)
	return page.Path{Points: []page.Point{b, page.At(round(back.X-uy*half), round(back.Y+ux*half)),
		page.At(round(back.X+uy*half), round(back.Y-ux*half))}, Closed: true, Pen: page.Pen{Width: linkLine}}
}

// labels puts on each line, before its child, the number that the parent had left.
func (n *node) labels() []page.Mark {
	var marks []page.Mark
	for _, e := range n.from {
		if t, ok := e.number(); ok {
			marks = append(marks, t)
		}
	}
	return marks
}

// number is the number on a line; ok is false where it has none.
func (e *edge) number() (t page.Words, ok bool) {
	if e.label == "" || e.b.bend {
		return t, false
	}
	t = page.Words{Font: page.Font{SizePt: textPt}, Text: cut(e.label, style.Regular(), textPt, columnGap-5), Ground: true}
	a, b := e.a.leaves(e), e.b.enters(e)
	const share = 0.42 // of the way: clear of the arrow head and of the box left
	t.X = round(math.Min(a.X+(b.X-a.X)*share, b.X-4) - t.Font.Width(t.Text)/2)
	if b.X > a.X {
		t.X = round(math.Max(t.X, a.X+1.5))
	}
	y := b.Y
	if b.X != a.X {
		y = height(a, b, t.X+t.Font.Width(t.Text)/2)
	}
	t.Y = round(y + 0.36*textPt*style.PointMM)
	return t, true
}

// height is that of the line from a to b at x.
func height(a, b page.Point, x float64) float64 { return a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X) }
