package check

import (
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
)

func TestWhatStandsOutsideIsAFinding(t *testing.T) {
	s := sheet(t)
	at := calc.Cell{Sheet: "step 1", Ref: "C9", Kind: calc.CellText, Text: "mL"}
	cases := map[string]struct {
		change calc.Change
		want   string
		says   string
	}{
		"typed":       {calc.Change{Kind: calc.TypedOutside, Cell: at}, "warning typed-outside ", "not read"},
		"changed":     {calc.Change{Kind: calc.PrintedChanged, Cell: at, Was: "L"}, "warning printed-changed ", `it was "L"`},
		"gone":        {calc.Change{Kind: calc.PrintedGone, Cell: calc.Cell{Sheet: "step 1"}, Was: "L"}, "warning printed-gone ", `"L" was printed`},
		"sheet added": {calc.Change{Kind: calc.SheetAdded, Cell: at, Cells: 3}, "note sheet-added ", "3 cells"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			f := filled(t, s, nil)
			f.Changes = []calc.Change{c.change}
			found := Sheet(s, f).Findings
			if got := codes(found); !slices.Equal(got, []string{c.want}) {
				t.Fatalf("got %q, want %q", got, c.want)
			}
			if !strings.Contains(found[0].Says, c.says) || found[0].Remedy == "" || found[0].Sheet != "step 1" {
				t.Errorf("got %+v, want it to say %q", found[0], c.says)
			}
		})
	}
}

func TestManyOutsideAreCounted(t *testing.T) {
	s := sheet(t)
	f := filled(t, s, nil)
	for range mostOutside + 7 {
		f.Changes = append(f.Changes, calc.Change{Kind: calc.TypedOutside, Cell: calc.Cell{Sheet: "step 1", Ref: "Z9", Text: "x"}})
	}
	found := Sheet(s, f).Findings
	if last := found[len(found)-1]; len(found) != mostOutside+1 || last.Code != "more-outside" || !strings.Contains(last.Says, "7 more") {
		t.Errorf("got %d findings, the last %+v", len(found), last)
	}
}

func TestBoxesThatMovedAreTold(t *testing.T) {
	s := sheet(t)
	place := func(sheet, ref string) func(c *calc.Cell) {
		return func(c *calc.Cell) { c.Sheet, c.Ref = sheet, ref }
	}
	// In filled, the boxes stand in rows of their own, B1 and on, each step on its sheet.
	cases := map[string]struct {
		key  calc.Key
		move func(c *calc.Cell)
		want string
	}{
		"below the others":       {"water_temperature", place("step 1", "B900"), "warning box-moved water_temperature"},
		"on another step's":      {"water_temperature", place("step 2", "B900"), "warning box-moved water_temperature"},
		"where another stands":   {"water_temperature", place("step 1", "B1"), "error box-shared water_temperature"},
		"where an amount stands": {"water_temperature", place("Working", "D1"), "error box-shared water_temperature"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			f := filled(t, s, nil)
			cell := f.Cells[c.key]
			c.move(&cell)
			f.Cells[c.key] = cell
			if got := codes(Sheet(s, f).Findings); !slices.Contains(got, c.want) {
				t.Errorf("got %q, want %q among them", got, c.want)
			}
		})
	}
}

func TestCellsComeInOrder(t *testing.T) {
	order := []string{"B2", "Z2", "AA2", "A3", "B10", "A11"}
	for i := range order {
		for k := range order {
			if got, want := before(order[i], order[k]), i < k; got != want {
				t.Errorf("%s before %s: got %t, want %t", order[i], order[k], got, want)
			}
		}
	}
}
