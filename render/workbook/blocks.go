package workbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// boxColumn is where single boxes stand, and the first of a table without printed parts.
const boxColumn = 2

// block is boxes whose cells make one range: single boxes below one another, or a table.
type block struct {
	area
	table   bool
	partial bool         // a table that is filled in as far as the work goes
	runs    []entryCells // the entries, from the top down or from the left
}

// entryCells is the cells of one entry in a block: a single box, or a column of a table.
type entryCells struct {
	area
	entry *protocols.Entry
}

// singleBlock is single boxes, one in each row from top down.
func singleBlock(top int, boxes []calc.Box) block {
	b := block{area: area{boxColumn, top, boxColumn, top + len(boxes) - 1}}
	for i, x := range boxes {
		b.runs = append(b.runs, entryCells{area{boxColumn, top + i, boxColumn, top + i}, x.Entry})
	}
	return b
}

// tableBlock is a table's boxes, from its first box to the right and down.
func tableBlock(left, top int, t *calc.Table) block {
	bottom, columns := top+len(t.Rows)-1, t.Definition.Columns
	b := block{area: area{left, top, left + len(columns) - 1, bottom}, table: true, partial: t.Definition.Partial}
	for c := range columns {
		b.runs = append(b.runs, entryCells{area{left + c, top, left + c, bottom}, &columns[c]})
	}
	return b
}

// must are the runs to be filled in.
func (b block) must() []entryCells {
	return slices.DeleteFunc(slices.Clone(b.runs), func(r entryCells) bool { return !r.entry.Required })
}

// begun is a formula over the rows of a table: whether something stands in them.
func (b block) begun() string {
	var cells []string
	for _, r := range b.runs {
		cells = append(cells, "("+r.String()+`<>"")`)
	}
	return strings.Join(cells, "+") + ">0"
}

func (a area) String() string {
	from, to := a.first(), column(a.right)+strconv.Itoa(a.bottom)
	if from == to {
		return from
	}
	return from + ":" + to
}

// first is the cell at the top left.
func (a area) first() string { return column(a.left) + strconv.Itoa(a.top) }

// fixed is the range with $ before everything, for rules that go from cell to cell.
func (a area) fixed() string {
	return fmt.Sprintf("$%s$%d:%s", column(a.left), a.top, a.end())
}

// end is the cell at the bottom right, with $ before its parts.
func (a area) end() string { return fmt.Sprintf("$%s$%d", column(a.right), a.bottom) }

func (a area) size() int { return (a.right - a.left + 1) * (a.bottom - a.top + 1) }

// joined writes runs as ranges, those that touch as one, with something between them.
func joined(runs []entryCells, between string) string {
	var ranges []string
	for i := 0; i < len(runs); {
		a := runs[i].area
		for i++; i < len(runs); i++ {
			next := runs[i].area
			below := next.left == a.left && next.right == a.right && next.top == a.bottom+1
			beside := next.top == a.top && next.bottom == a.bottom && next.left == a.right+1
			if !below && !beside {
				break
			}
			a.right, a.bottom = next.right, next.bottom
		}
		ranges = append(ranges, a.String())
	}
	return strings.Join(ranges, between)
}
