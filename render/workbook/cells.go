package workbook

import (
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// reader reads cells, asking for each format and each sheet's merged ranges once.
type reader struct {
	file    *excelize.File
	formats map[int]format
	merged  map[string][]area
	scans   map[string]*scanned // sheets as they stand in the file, by name
}

type area struct{ left, top, right, bottom int }

func newReader(f *excelize.File) *reader {
	return &reader{file: f, formats: map[int]format{}, merged: map[string][]area{}}
}

func (r *reader) from1904() bool {
	props, err := r.file.GetWorkbookProps()
	return err == nil && props.Date1904 != nil && *props.Date1904
}

// cell reads one cell as found.
func (r *reader) cell(t target) (calc.Cell, error) {
	out := calc.Cell{Sheet: t.sheet, Ref: t.ref}
	text, err := r.file.GetCellValue(t.sheet, t.ref)
	if err != nil {
		return out, err
	}
	kind, err := r.file.GetCellType(t.sheet, t.ref)
	if err != nil {
		return out, err
	}
	if out.Formula, err = r.formula(t); err != nil {
		return out, err
	}
	out.Kind, out.Text, out.Number = content(kind, text)
	f, err := r.format(t)
	if err != nil {
		return out, err
	}
	out.Format, out.DateLike, out.Percent = f.code, f.dateLike, f.percent
	if out.Merged, err = r.isMerged(t); err != nil {
		return out, err
	}
	out.Hidden, err = r.isHidden(t)
	return out, err
}

// content tells the kind of a cell from its type and its stored text: programs differ in
// the type they write for numbers and texts.
func content(kind excelize.CellType, text string) (calc.CellKind, string, float64) {
	switch kind {
	case excelize.CellTypeBool:
		return calc.CellTruth, map[string]string{"1": "TRUE", "0": "FALSE", "TRUE": "TRUE", "FALSE": "FALSE"}[strings.ToUpper(text)], 0
	case excelize.CellTypeError:
		return calc.CellError, text, 0
	case excelize.CellTypeUnset, excelize.CellTypeNumber:
		if text == "" {
			return calc.CellBlank, "", 0
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) || strings.ContainsAny(text, "xX_") { // NaN, 1e999 and 0x1p4 are no numbers here
			return calc.CellText, text, 0
		}
		return calc.CellNumber, text, x
	}
	if text == "" {
		return calc.CellBlank, "", 0
	}
	return calc.CellText, text, 0
}

func (r *reader) formula(t target) (string, error) {
	formula, err := r.file.GetCellFormula(t.sheet, t.ref)
	if s := r.scans[t.sheet]; formula == "" && s != nil && s.formulas[placeOf(t.row, t.col)] {
		formula = "?" // one that is written elsewhere, such as a shared one's
	}
	return strings.TrimPrefix(formula, "="), err
}

func (r *reader) isMerged(t target) (bool, error) {
	areas, ok := r.merged[t.sheet]
	if !ok {
		merges, err := r.file.GetMergeCells(t.sheet, true)
		if err != nil {
			return false, err
		}
		for _, m := range merges {
			if a, ok := parseArea(m.GetStartAxis(), m.GetEndAxis()); ok {
				areas = append(areas, a)
			}
		}
		r.merged[t.sheet] = areas
	}
	if t.wide {
		return true, nil
	}
	for _, a := range areas {
		if a.covers(t.row, t.col) {
			return true, nil
		}
	}
	return false, nil
}

func parseArea(start, end string) (area, bool) {
	left, top, err := excelize.CellNameToCoordinates(start)
	if err != nil {
		return area{}, false
	}
	right, bottom, err := excelize.CellNameToCoordinates(end)
	return area{min(left, right), min(top, bottom), max(left, right), max(top, bottom)}, err == nil
}

func (a area) covers(row, col int) bool {
	return a.left <= col && col <= a.right && a.top <= row && row <= a.bottom
}

// isHidden asks for row and column; the row exists by now, since its format was read.
func (r *reader) isHidden(t target) (bool, error) {
	row, err := r.file.GetRowVisible(t.sheet, t.row)
	if err != nil {
		return false, err
	}
	col, err := r.file.GetColVisible(t.sheet, column(t.col))
	return !row || !col, err
}
