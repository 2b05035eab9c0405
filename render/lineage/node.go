package lineage

import (
	"fmt"
	"strings"

	"spatsheet/calc/pedigree"
	"spatsheet/protocols/quantity"
	"spatsheet/render/style"
)

// Measures of the drawing in mm. Site choice: a box holds four or five short lines.
const (
	boxWidth  = 44.0
	point     = 5.0  // how far a pointed side reaches
	padding   = 1.6  // between line and text
	columnGap = 28.0 // between columns: room for a number on the line
	rowGap    = 5.0
	bendRoom  = 5.0 // the height that a line passing through a column takes
)

// Type of the drawing; a code is smaller, down to leastCodePt, where it is too long for its
// box, and below that goes on in the next line.
const (
	codePt      = 9.5
	leastCodePt = 8.0
	textPt      = 8.0
)

// mostLines of a box that one text may take: a site's name may be a whole sentence.
const mostLines = 3

// node is a batch in the drawing, a batch that is named and not collected (lot nil), or a
// bend: the place where a line passes a column.
type node struct {
	lot    *pedigree.Lot
	code   string
	bend   bool
	marked bool
	head   []string // the code as it stands in the box
	headPt float64
	lines  []string // under the code
	column int
	y      float64 // of the middle
	height float64
	from   []*edge
	to     []*edge
}

// edge is a link, or a part of one between two bends.
type edge struct {
	a, b    *node
	carries pedigree.Carry
	label   string // of the part that enters the child
	ends    *node  // the child at the end of the whole line
}

// nodesOf makes a node of each lot and of each parent that is not collected.
func nodesOf(l *pedigree.Lineage, lots []*pedigree.Lot, marked *pedigree.Lot) []*node {
	var nodes []*node
	byCode := map[string]*node{}
	drawn := map[*pedigree.Lot]bool{}
	for _, lot := range lots {
		drawn[lot] = true
	}
	for _, lot := range lots {
		for _, link := range lot.Parents {
			if link.Parent == nil && byCode[link.Code] == nil {
				missing := &node{code: link.Code, lines: []string{"not collected"}}
				byCode[link.Code] = missing
				nodes = append(nodes, missing.sized())
			}
		}
		n := &node{lot: lot, code: lot.Batch, marked: lot == marked, lines: linesOf(l, lot)}
		byCode[lot.Batch] = n
		nodes = append(nodes, n.sized())
	}
	for _, lot := range lots {
		for _, link := range lot.Parents {
			if link.Parent == nil || drawn[link.Parent] {
				join(byCode[link.Code], byCode[lot.Batch], link)
			}
		}
	}
	return nodes
}

func join(a, b *node, link *pedigree.Link) {
	e := &edge{a: a, b: b, carries: link.Carries, label: labelOf(link), ends: b}
	a.to, b.from = append(a.to, e), append(b.from, e)
}

// number is a count to four figures, powers raised as on the other papers.
func number(x float64) string { return style.Powers(quantity.FormatNumber(x, 4)) }

// labelOf tells the numbers that the parent had left; shares and densities only where nothing else was.
func labelOf(link *pedigree.Link) string {
	var parts, others []string
	for _, g := range link.Gave {
		words := number(g.Value.Value()) + " " + g.Value.Unit().Symbol()
		if counted(g.Value.Unit().Symbol()) {
			parts = append(parts, words)
		} else {
			others = append(others, words)
		}
	}
	if len(parts) == 0 {
		parts = others
	}
	if link.Parent != nil && link.Revision != link.Parent.Revision {
		parts = append(parts, fmt.Sprintf("rev. %d", link.Revision))
	}
	return strings.Join(parts, ", ")
}

// linesOf is what stands in a box under its code.
func linesOf(l *pedigree.Lineage, lot *pedigree.Lot) []string {
	lines := []string{lot.Protocol}
	when := lot.Start.Format("2006-01-02")
	if lot.Group != pedigree.Supply {
		when += "  " + l.Heritage(lot).Generation.Says()
	}
	if lot.Revision > 1 {
		when += fmt.Sprintf("  rev. %d", lot.Revision)
	}
	lines = append(lines, when)
	shown := 0
	for _, c := range lot.Counts {
		if counted(c.Unit) && shown < 2 {
			lines = append(lines, number(c.Number)+" "+c.Unit)
			shown++
		}
	}
	switch {
	case lot.Founding != nil:
		lines = append(lines, lot.Founding.Site+", permit "+lot.Founding.Permit)
	case lot.Spawning != nil && lot.Spawning.Best() > 0:
		lines = append(lines, fmt.Sprintf("%d F × %d M, Ne %s", lot.Spawning.Mothers, lot.Spawning.Fathers, quantity.FormatNumber(lot.Spawning.Best(), 3)))
	case lot.Release != nil:
		lines = append(lines, fmt.Sprintf("%s, %d plots", lot.Release.Site, len(lot.Release.Plots)))
	}
	return lines
}

// counted tells counts from shares and densities, by their unit.
func counted(unit string) bool { return !strings.ContainsAny(unit, "%/") }

// sized breaks code and lines where the box ends, and fits the box's height to them.
func (n *node) sized() *node {
	width := boxWidth - 2*(n.inset()+padding)
	for n.headPt = codePt; n.headPt > leastCodePt && style.Bold().Width(n.code, n.headPt) > width; n.headPt -= 0.5 {
	}
	n.head = broken(n.code, style.Bold(), n.headPt, width)
	var lines []string
	for _, text := range n.lines {
		parts := broken(text, style.Regular(), textPt, width)
		if len(parts) > mostLines {
			rest := strings.Join(parts[mostLines-1:], " ")
			parts = append(parts[:mostLines-1:mostLines-1], cut(rest, style.Regular(), textPt, width))
		}
		lines = append(lines, parts...)
	}
	n.lines = lines
	n.height = n.headHeight() + float64(len(n.lines))*style.LineMM(textPt) + 2*padding
	return n
}

func (n *node) headHeight() float64 { return float64(len(n.head)) * style.LineMM(n.headPt) }

// broken breaks text into lines of a width: at blanks, and a word that is wider after a
// hyphen or before the sign of a version.
func broken(text string, face *style.Face, sizePt, width float64) []string {
	text, _ = style.Printable(text)
	var words []string
	for _, word := range strings.Split(text, " ") {
		if face.Width(word, sizePt) > width {
			word = breakWord(word, face, sizePt, width)
		}
		words = append(words, word)
	}
	return face.Wrap(strings.Join(words, " "), sizePt, width)
}

// breakWord puts blanks into a word where lines of a width end.
func breakWord(word string, face *style.Face, sizePt, width float64) string {
	var out, line strings.Builder
	for _, part := range strings.SplitAfter(strings.ReplaceAll(word, "@", "\x00@"), "-") {
		for piece := range strings.SplitSeq(part, "\x00") {
			if line.Len() > 0 && face.Width(line.String()+piece, sizePt) > width {
				out.WriteString(line.String() + " ")
				line.Reset()
			}
			line.WriteString(piece)
		}
	}
	return out.String() + line.String()
}

// cut shortens a line to a width, with an ellipsis.
func cut(text string, face *style.Face, sizePt, width float64) string {
	text, _ = style.Printable(text)
	return face.Shorten(text, sizePt, width)
}

func (n *node) group() pedigree.Group {
	if n.lot == nil {
		return ""
	}
	return n.lot.Group
}

// inset is how much of the width a shape takes at each side.
func (n *node) inset() float64 {
	switch n.group() {
	case pedigree.FromShore, pedigree.Spawned, pedigree.Released:
		return point * 0.8
	}
	return 0
}
