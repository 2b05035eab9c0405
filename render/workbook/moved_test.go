package workbook

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// edited lets a test change a workbook as a person could in an office program.
func edited(t *testing.T, content []byte, change func(f *excelize.File) error) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := change(f); err != nil {
		t.Fatal(err)
	}
	out, err := bytesOf(f)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

const firstStep = "1 Set up the beakers"

func TestBoxesAreFoundWhereverTheyWent(t *testing.T) {
	cases := map[string]func(f *excelize.File) error{
		"rows inserted above":       func(f *excelize.File) error { return f.InsertRows(firstStep, 3, 7) },
		"rows inserted among boxes": func(f *excelize.File) error { return f.InsertRows(firstStep, 20, 3) },
		"columns inserted":          func(f *excelize.File) error { return f.InsertCols(firstStep, "B", 2) },
		"an empty row removed":      func(f *excelize.File) error { return f.RemoveRow(firstStep, 5) },
		"sheets reordered":          func(f *excelize.File) error { return f.MoveSheet("Working", "Start") },
		"a sheet added":             func(f *excelize.File) error { _, err := f.NewSheet("mine"); return err },
		"the manifest shown":        func(f *excelize.File) error { return f.SetSheetVisible(manifestSheet, true) },
		"properties gone": func(f *excelize.File) error {
			return f.SetDocProps(&excelize.DocProperties{Title: "x", Identifier: "y"})
		},
		"the manifest's name is gone":  func(f *excelize.File) error { return f.DeleteDefinedName(&excelize.DefinedName{Name: manifestName}) },
		"a name of a sheet, same word": localTwin,
	}
	sheet := sample(t, "spawning")
	values := everyBox(sheet)
	content := filledIn(t, written(t, sheet), values)
	for name, change := range cases {
		t.Run(name, func(t *testing.T) {
			filled := read(t, edited(t, content, change))
			checkCells(t, filled, values)
			checkLocked(t, sheet, filled)
		})
	}
	for old, name := range map[string]string{firstStep: "it's 'mine' now! = 5", manifestSheet: "Sheet 99"} {
		t.Run(old+" renamed", func(t *testing.T) {
			filled := read(t, renamed(t, content, old, name))
			checkCells(t, filled, values)
			checkLocked(t, sheet, filled)
		})
	}
}

// renamed gives a sheet another name, as office programs do: excelize 2.11.1 leaves the
// defined names of a sheet with a blank in its name behind.
func renamed(t *testing.T, content []byte, old, name string) []byte {
	escape := strings.NewReplacer("&", "&amp;", "'", "&#39;", "<", "&lt;").Replace
	return repacked(t, content, "xl/workbook.xml", func(b []byte) []byte {
		return []byte(strings.NewReplacer(
			`name="`+old+`"`, `name="`+escape(name)+`"`,
			escape(quoteTab(old))+"!", escape(quoteTab(name))+"!",
			">"+old+"!", ">"+escape(quoteTab(name))+"!",
		).Replace(string(b)))
	})
}

// localTwin is what copying a sheet does: the same names again, for the copy only.
func localTwin(f *excelize.File) error {
	if _, err := f.NewSheet("copy"); err != nil {
		return err
	}
	return f.SetDefinedName(&excelize.DefinedName{Name: "e_water_temperature", RefersTo: "copy!$A$1", Scope: "copy"})
}

func TestNamesThatLostTheirCellAreTold(t *testing.T) {
	content := written(t, sample(t, "spawning"))
	cases := map[string]struct {
		change func(f *excelize.File) error
		lost   []string
	}{
		"the box's row deleted, as spreadsheet programs write it": {pointNowhere("e_water_ph", "'"+firstStep+"'!#REF!"), []string{"water_ph"}},
		"the sheet deleted":                  {pointNowhere("e_water_ph", "#REF!$B$3"), []string{"water_ph"}},
		"a name deleted":                     {pointNowhere("e_water_ph", ""), []string{"water_ph"}},
		"a name for a sheet that isn't here": {pointNowhere("e_water_ph", "gone!$B$3"), []string{"water_ph"}},
		"a name for a far corner":            {pointNowhere("e_water_ph", "Start!$XFD$1048576"), []string{"water_ph"}},
		"an amount":                          {pointNowhere("a_beakers", "Working!#REF!"), []string{"a_beakers"}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			filled := read(t, edited(t, content, c.change))
			if !slices.Equal(filled.Lost, c.lost) {
				t.Errorf("got lost %v, want %v", filled.Lost, c.lost)
			}
		})
	}
}

func pointNowhere(name, refers string) func(f *excelize.File) error {
	return func(f *excelize.File) error {
		err := f.DeleteDefinedName(&excelize.DefinedName{Name: name})
		if err != nil || refers == "" {
			return err
		}
		return f.SetDefinedName(&excelize.DefinedName{Name: name, RefersTo: refers})
	}
}

func TestCellsAreToldAsFound(t *testing.T) {
	content := written(t, sample(t, "spawning"))
	at := read(t, content).Cells["water_temperature"]
	style := func(s excelize.Style) func(f *excelize.File) error {
		return func(f *excelize.File) error {
			id, err := f.NewStyle(&s)
			if err != nil {
				return err
			}
			if err := f.SetCellValue(at.Sheet, at.Ref, 0.5); err != nil {
				return err
			}
			return f.SetCellStyle(at.Sheet, at.Ref, at.Ref, id)
		}
	}
	set := func(value any) func(f *excelize.File) error {
		return func(f *excelize.File) error { return f.SetCellValue(at.Sheet, at.Ref, value) }
	}
	_, row, _ := excelize.CellNameToCoordinates(at.Ref)
	cases := map[string]struct {
		change func(f *excelize.File) error
		ok     func(c calc.Cell) bool
	}{
		"blank":              {set(nil), func(c calc.Cell) bool { return c.Kind == calc.CellBlank }},
		"zero":               {set(0), func(c calc.Cell) bool { return c.Kind == calc.CellNumber && c.Number == 0 && c.Text == "0" }},
		"text of digits":     {set("17"), func(c calc.Cell) bool { return c.Kind == calc.CellText && c.Text == "17" }},
		"text with blanks":   {set(" 3,5 "), func(c calc.Cell) bool { return c.Kind == calc.CellText && c.Text == " 3,5 " }},
		"not done":           {set("ND"), func(c calc.Cell) bool { return c.Kind == calc.CellText && c.Text == "ND" }},
		"truth":              {set(true), func(c calc.Cell) bool { return c.Kind == calc.CellTruth && c.Text == "TRUE" }},
		"looks like formula": {set("=1+1"), func(c calc.Cell) bool { return c.Kind == calc.CellText && c.Text == "=1+1" && c.Formula == "" }},
		"formula": {func(f *excelize.File) error { return f.SetCellFormula(at.Sheet, at.Ref, "=1+1") },
			func(c calc.Cell) bool { return c.Formula == "1+1" }},
		"no digits of a number": {func(f *excelize.File) error { return f.SetCellDefault(at.Sheet, at.Ref, "0x1p4") },
			func(c calc.Cell) bool { return c.Kind == calc.CellText && c.Text == "0x1p4" && c.Number == 0 }},
		"date by number":    {style(excelize.Style{NumFmt: 14}), func(c calc.Cell) bool { return c.DateLike && !c.Percent && c.Number == 0.5 }},
		"date of East Asia": {style(excelize.Style{NumFmt: 31}), func(c calc.Cell) bool { return c.DateLike }},
		"date as LibreOffice": {style(excelize.Style{CustomNumFmt: new(`yyyy\-mm\-dd`)}),
			func(c calc.Cell) bool { return c.DateLike && c.Format == `yyyy\-mm\-dd` }},
		"hours gone by":        {style(excelize.Style{CustomNumFmt: new(`[h]:mm`)}), func(c calc.Cell) bool { return c.DateLike }},
		"percent":              {style(excelize.Style{NumFmt: 9}), func(c calc.Cell) bool { return c.Percent && !c.DateLike }},
		"percent of its own":   {style(excelize.Style{CustomNumFmt: new(`0.0%`)}), func(c calc.Cell) bool { return c.Percent }},
		"unit in quotes":       {style(excelize.Style{CustomNumFmt: new(`0.0" mL/day %"`)}), func(c calc.Cell) bool { return !c.DateLike && !c.Percent }},
		"colour and condition": {style(excelize.Style{CustomNumFmt: new(`[Red][<0]-0.00;0.00`)}), func(c calc.Cell) bool { return !c.DateLike && !c.Percent }},
		"powers of ten":        {style(excelize.Style{NumFmt: 11}), func(c calc.Cell) bool { return !c.DateLike }},
		"merged": {func(f *excelize.File) error { return f.MergeCell(at.Sheet, "A"+at.Ref[1:], at.Ref) },
			func(c calc.Cell) bool { return c.Merged }},
		"row hidden":    {func(f *excelize.File) error { return f.SetRowVisible(at.Sheet, row, false) }, func(c calc.Cell) bool { return c.Hidden }},
		"column hidden": {func(f *excelize.File) error { return f.SetColVisible(at.Sheet, at.Ref[:1], false) }, func(c calc.Cell) bool { return c.Hidden }},
	}
	if !(at.Kind == calc.CellBlank && !at.Hidden && !at.Merged && !at.DateLike && !at.Percent && at.Formula == "") {
		t.Errorf("the blank box itself: %+v", at)
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			if got := read(t, edited(t, content, c.change)).Cells["water_temperature"]; !c.ok(got) {
				t.Errorf("got %+v", got)
			}
		})
	}
}

func TestDatesCountFrom1904(t *testing.T) {
	sheet := sample(t, "spawning")
	content := edited(t, written(t, sheet), func(f *excelize.File) error {
		return f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: new(true)})
	})
	filled := read(t, filledIn(t, content, map[calc.Key]any{"set_up_at": sheet.Plan.Start}))
	// 2026-02-14 18:00 is day 46067.75 from 1899-12-30 (LibreOffice), 1462 days fewer from 1904.
	if got := filled.Cells["set_up_at"].Number; !filled.Date1904 || got != 46067.75-1462 {
		t.Errorf("got %v, 1904 %t; want %v, true", got, filled.Date1904, 46067.75-1462)
	}
}
