package check

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// mostOutside is how many findings a sheet gets for what stands outside its boxes, before
// the rest is only counted. Site choice.
const mostOutside = 40

// outside tells what was typed outside the boxes, and what is not as it was printed: none
// of it is read, and none of it goes unsaid.
func (r *reader) outside() {
	count := map[string]int{}
	for _, c := range r.filled.Changes {
		if count[c.Cell.Sheet]++; count[c.Cell.Sheet] <= mostOutside {
			r.findings = append(r.findings, changed(c))
		}
	}
	for _, c := range r.filled.Changes { // in the order of the sheets
		if over := count[c.Cell.Sheet] - mostOutside; over > 0 {
			count[c.Cell.Sheet] = 0
			r.findings = append(r.findings, Finding{
				Level: protocols.Warning, Code: "more-outside", Sheet: c.Cell.Sheet,
				Says:   fmt.Sprintf("%d more cells of this sheet are not as printed", over),
				Remedy: "copy the readings into a freshly printed workbook of the same plan, each into its box",
			})
		}
	}
}

func changed(c calc.Change) Finding {
	f := Finding{Level: protocols.Warning, Sheet: c.Cell.Sheet, Ref: c.Cell.Ref, Raw: strings.TrimSpace(c.Cell.Text)}
	switch c.Kind {
	case calc.TypedOutside:
		f.Code, f.Says = "typed-outside", "this was typed outside the boxes, where it is not read"
		f.Remedy = "type a reading into its box, and a remark into a note on the cell"
	case calc.PrintedChanged:
		f.Code, f.Entry = "printed-changed", c.Was
		f.Says = fmt.Sprintf("the printed text was changed: it was %q", c.Was)
		f.Remedy = "put it back, and see whether the readings beside it were written in the printed unit and for the printed step"
	case calc.PrintedGone:
		f.Code, f.Entry = "printed-gone", c.Was
		f.Says = fmt.Sprintf("%q was printed on this sheet and is gone", c.Was)
		f.Remedy = "put it back, or look at the bench sheet when the readings beside it are doubtful"
	case calc.SheetAdded:
		f.Level, f.Code = protocols.Note, "sheet-added"
		f.Says = fmt.Sprintf("this sheet was not printed; nothing on it is read (%d cells hold something)", c.Cells)
		f.Remedy = "nothing to do if it holds remarks; type readings into the boxes of the printed sheets"
	}
	return f
}

// moved tells boxes that stand in another order than they were printed in: inserted rows
// and columns keep the order, a box cut and pasted does not, and then its reading may be
// one that was meant for another.
func (r *reader) moved(readings []calc.Reading) {
	r.astray(readings)
	last := map[string]int{} // by sheet: the box before
	told := map[int]bool{}
	for i := range readings {
		sheet := readings[i].Sheet
		if readings[i].Ref == "" {
			continue
		}
		k, ok := last[sheet]
		last[sheet] = i
		if !ok || !before(readings[i].Ref, readings[k].Ref) {
			continue
		}
		for _, one := range []int{k, i} {
			if other := &readings[k+i-one]; !told[one] {
				told[one] = true
				r.find(&readings[one], protocols.Warning, "box-moved",
					fmt.Sprintf("this box and %q stand in another order than printed: one of them was moved", other.Printed),
					"see whether each reading stands beside its own label; do not move boxes by cut and paste")
			}
		}
	}
}

// astray tells boxes that stand on another sheet than the others of their step.
func (r *reader) astray(readings []calc.Reading) {
	boxes := r.sheet.Boxes()
	count := make([]map[string]int, len(r.sheet.Steps))
	most := make([]string, len(r.sheet.Steps))
	for i, box := range boxes {
		sheet := readings[i].Sheet
		if readings[i].Ref == "" {
			continue
		}
		if count[box.Step] == nil {
			count[box.Step] = map[string]int{}
		}
		if count[box.Step][sheet]++; count[box.Step][sheet] > count[box.Step][most[box.Step]] {
			most[box.Step] = sheet
		}
	}
	for i, box := range boxes {
		if sheet := readings[i].Sheet; readings[i].Ref != "" && sheet != most[box.Step] {
			r.find(&readings[i], protocols.Warning, "box-moved",
				fmt.Sprintf("this box stands on another sheet than its step's others, %q: it was moved", most[box.Step]),
				"see whether each reading stands beside its own label; do not move boxes by cut and paste")
		}
	}
}

// before compares two cells of a sheet, "B7", by row and then by column.
func before(a, b string) bool {
	colA, rowA := splitRef(a)
	colB, rowB := splitRef(b)
	if len(rowA) != len(rowB) || rowA != rowB {
		return len(rowA) < len(rowB) || len(rowA) == len(rowB) && rowA < rowB
	}
	return len(colA) < len(colB) || len(colA) == len(colB) && colA < colB
}

func splitRef(ref string) (col, row string) {
	i := strings.IndexAny(ref, "0123456789")
	return ref[:max(i, 0)], ref[max(i, 0):]
}
