package workbook

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Cells farther out than this were not reached by inserting rows and columns into a
// printed workbook; reading there would only cost memory. Site choice.
const (
	maxRow    = 20000
	maxColumn = 500
)

// target is the cell that a defined name points at.
type target struct {
	sheet    string
	ref      string
	row, col int
	wide     bool // the name covers more than one cell
}

// targets reads every defined name of a workbook once, by name in lower case. A name of
// the whole workbook goes before one of a single sheet, which copying a sheet makes; one
// that points at two places points nowhere.
func targets(f *excelize.File) map[string]target {
	sheets := map[string]string{}
	for _, name := range f.GetSheetList() {
		sheets[strings.ToLower(name)] = name
	}
	out, local, twice := map[string]target{}, map[string]bool{}, map[string]bool{}
	for _, n := range f.GetDefinedName() {
		key := strings.ToLower(n.Name)
		isLocal := n.Scope != "Workbook"
		before, known := out[key]
		if known && isLocal {
			continue
		}
		t, ok := parseTarget(n.RefersTo)
		if ok {
			t.sheet, ok = sheets[strings.ToLower(t.sheet)]
		}
		if known && !local[key] {
			twice[key] = twice[key] || t != before
			continue
		}
		if ok {
			out[key], local[key] = t, isLocal
		}
	}
	for key := range twice {
		if twice[key] {
			delete(out, key)
		}
	}
	return out
}

// parseTarget reads "'1 Set up'!$B$7", as the office programs write it.
func parseTarget(refers string) (target, bool) {
	refers = strings.TrimPrefix(strings.TrimSpace(refers), "=")
	bang := strings.LastIndex(refers, "!")
	if bang <= 0 || strings.Contains(refers, "#REF!") {
		return target{}, false
	}
	sheet, cells := strings.TrimPrefix(refers[:bang], "$"), strings.ReplaceAll(refers[bang+1:], "$", "")
	if len(sheet) >= 2 && sheet[0] == '\'' && sheet[len(sheet)-1] == '\'' {
		sheet = strings.ReplaceAll(sheet[1:len(sheet)-1], "''", "'")
	}
	first, last, isRange := strings.Cut(cells, ":")
	col, row, err := excelize.CellNameToCoordinates(first)
	if err != nil || row > maxRow || col > maxColumn {
		return target{}, false
	}
	ref := column(col) + strconv.Itoa(row)
	return target{sheet: sheet, ref: ref, row: row, col: col, wide: isRange && last != first}, true
}
