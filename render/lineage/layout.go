package lineage

import (
	"cmp"
	"math"
	"slices"

	"spatsheet/calc/pedigree"
)

// mostRows of boxes in one column.
const mostRows = 7

// Measures of the whole, mm.
const (
	edgeRoom     = 6.0  // around the drawing
	headRoom     = 12.0 // the title
	dateRoom     = 7.0  // dates over the columns
	legendHeight = 24.0
)

// layout is nodes in columns; the nodes of a column stand from top to bottom.
type layout struct {
	columns [][]*node
	dates   []string // over each column
	height  float64  // of the tallest column
}

// newLayout gives every node its place. Nodes come by date: a column holds batches of one
// stretch of time, and begins anew where one of them has its parent in it.
func newLayout(nodes []*node) *layout {
	l := &layout{}
	l.inColumns(nodes)
	l.addBends(nodes)
	l.order()
	l.places()
	return l
}

func (l *layout) inColumns(nodes []*node) {
	here := 0
	placed := map[*node]bool{}
	rows := 0
	for _, n := range nodes {
		wantsNext := rows >= mostRows
		for _, e := range n.from {
			wantsNext = wantsNext || placed[e.a] && e.a.column >= here
		}
		if wantsNext {
			here, rows = here+1, 0
		}
		n.column = here
		placed[n] = true
		rows++
		for len(l.columns) <= here {
			l.columns = append(l.columns, nil)
		}
		l.columns[here] = append(l.columns[here], n)
	}
	for _, column := range l.columns {
		l.dates = append(l.dates, datesOf(column))
	}
}

func datesOf(column []*node) string {
	first, last := "", ""
	for _, n := range column {
		if n.lot == nil {
			continue
		}
		day := n.lot.Start.Format("2006-01-02")
		if first == "" || day < first {
			first = day
		}
		last = max(last, day)
	}
	if first == last {
		return first
	}
	return first + " to " + last
}

// addBends cuts lines over more than one column into parts, one for each gap. Lines that
// run back, of batches dated before their parents, stay whole.
func (l *layout) addBends(nodes []*node) {
	for _, n := range nodes {
		for _, e := range slices.Clone(n.from) {
			for column := e.a.column + 1; column < n.column; column++ {
				bend := &node{bend: true, column: column, height: bendRoom}
				l.columns[column] = append(l.columns[column], bend)
				part := &edge{a: e.a, b: bend, carries: e.carries, ends: e.ends}
				e.a.to[slices.Index(e.a.to, e)] = part
				bend.from = []*edge{part}
				bend.to = []*edge{e}
				e.a = bend
			}
		}
	}
}

// order lessens crossings: each column by the mean place of its neighbours, forth and back.
// Source: the barycentre rule of Sugiyama, Tagawa and Toda (1981), from memory.
func (l *layout) order() {
	const sweeps = 8
	place := map[*node]float64{}
	number := func() {
		for _, column := range l.columns {
			for i, n := range column {
				place[n] = float64(i) - float64(len(column)-1)/2
			}
		}
	}
	number()
	for sweep := range sweeps {
		for i := range l.columns {
			column, ends := l.columns[i], func(n *node) []*node { return n.parents() }
			if sweep%2 == 1 {
				column, ends = l.columns[len(l.columns)-1-i], func(n *node) []*node { return n.children() }
			}
			wanted := map[*node]float64{}
			for _, n := range column {
				wanted[n] = mean(ends(n), place, place[n])
			}
			slices.SortStableFunc(column, func(a, b *node) int { return cmp.Compare(wanted[a], wanted[b]) })
			number()
		}
	}
}

func (n *node) parents() []*node {
	var out []*node
	for _, e := range n.from {
		out = append(out, e.a)
	}
	return out
}

func (n *node) children() []*node {
	var out []*node
	for _, e := range n.to {
		out = append(out, e.b)
	}
	return out
}

func mean(nodes []*node, of map[*node]float64, otherwise float64) float64 {
	if len(nodes) == 0 {
		return otherwise
	}
	sum := 0.0
	for _, n := range nodes {
		sum += of[n]
	}
	return sum / float64(len(nodes))
}

// places stacks the columns, then moves nodes towards their neighbours as far as the
// others of the column allow.
func (l *layout) places() {
	for _, column := range l.columns {
		y := 0.0
		for _, n := range column {
			n.y = y + n.height/2
			y += n.height + rowGap
		}
		for _, n := range column { // around one middle line
			n.y -= (y - rowGap) / 2
		}
	}
	const sweeps = 10
	for sweep := range sweeps {
		for i := range l.columns {
			if sweep%2 == 0 {
				settle(l.columns[i], (*node).parents)
			} else {
				settle(l.columns[len(l.columns)-1-i], (*node).children)
			}
		}
	}
	l.fromZero()
}

// settle puts a column's nodes where their neighbours are, then pushes apart those that
// overlap: down from the top, and the whole back by half of what that took.
func settle(column []*node, ends func(*node) []*node) {
	wanted := make([]float64, len(column))
	for i, n := range column {
		wanted[i] = n.y
		if around := ends(n); len(around) > 0 {
			sum := 0.0
			for _, m := range around {
				sum += m.y
			}
			wanted[i] = sum / float64(len(around))
		}
	}
	shift := 0.0
	for i, n := range column {
		n.y = wanted[i]
		if i > 0 {
			above := column[i-1]
			n.y = math.Max(n.y, above.y+(above.height+n.height)/2+rowGap)
		}
		shift += n.y - wanted[i]
	}
	for _, n := range column {
		n.y -= shift / float64(len(column))
	}
}

// fromZero lets the topmost box begin at 0.
func (l *layout) fromZero() {
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, column := range l.columns {
		for _, n := range column {
			top, bottom = math.Min(top, n.y-n.height/2), math.Max(bottom, n.y+n.height/2)
		}
	}
	for _, column := range l.columns {
		for _, n := range column {
			n.y = math.Round((n.y-top)*100) / 100 // hundredths of a mm: the same on every machine
		}
	}
	l.height = bottom - top
}

func (l *layout) size() (width, height float64) {
	return math.Max(2*edgeRoom+float64(len(l.columns))*(boxWidth+columnGap)-columnGap, legendWidth), headRoom + dateRoom + l.height + legendHeight + 2*edgeRoom
}

// left is the left side of a column's boxes.
func left(column int) float64 { return edgeRoom + float64(column)*(boxWidth+columnGap) }

// groups in the order of the legend.
var groups = []struct {
	group pedigree.Group
	says  string
}{
	{pedigree.FromShore, "from the shore"}, {pedigree.Kept, "animals"}, {pedigree.Spawned, "spawning"}, {pedigree.Larvae, "larvae"},
	{pedigree.Spat, "spat"}, {pedigree.Released, "release"}, {pedigree.Supply, "plates, feed"}, {"", "not collected"},
}
