package workbook

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// TestDatesSurviveASaveInBothSystems fills every box of a workbook that counts days from
// 1900, and of one switched to 1904, and has each program save it: dates must mean the same,
// whichever system the program writes.
func TestDatesSurviveASaveInBothSystems(t *testing.T) {
	programs := map[string]func(t *testing.T, dir, path string) string{
		"LibreOffice, to .ods and back": throughLibreOffice, "Gnumeric": throughGnumeric, "openpyxl": throughOpenpyxl,
	}
	sheet := sample(t, "diatoms")
	values := everyBox(sheet)
	for program, save := range programs {
		for _, from1904 := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, 1904 %t", program, from1904), func(t *testing.T) {
				blank := edited(t, written(t, sheet), func(f *excelize.File) error {
					return f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from1904})
				})
				dir := t.TempDir()
				path := filepath.Join(dir, "filled.xlsx")
				must(t, os.WriteFile(path, filledIn(t, blank, values), 0o644))
				saved, err := os.ReadFile(save(t, dir, path))
				must(t, err)
				filled := read(t, saved)
				checkDates(t, filled, values)
				if len(filled.Changes) > 0 {
					t.Errorf("changes that nobody made: %+v", filled.Changes)
				}
			})
		}
	}
}

func checkDates(t *testing.T, filled *calc.Filled, values map[calc.Key]any) {
	t.Helper()
	dates := 0
	for key, value := range values {
		at, isTime := value.(time.Time)
		if !isTime {
			continue
		}
		dates++
		cell := filled.Cells[key]
		if want := serial(at, filled.Date1904); cell.Kind != calc.CellNumber || !cell.DateLike || math.Abs(cell.Number-want) > timeSlack {
			t.Errorf("%s: got %+v, want day %v (1904 %t)", key, cell, want, filled.Date1904)
		}
	}
	if dates == 0 {
		t.Error("no dates were tried")
	}
}

// inLibreOffice lets LibreOffice with a locale do a piece of work; see testdata/type_uno.py.
func inLibreOffice(t *testing.T, locale string, content []byte, work map[string]any) *calc.Filled {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.xlsx"), filepath.Join(dir, "out.xlsx")
	must(t, os.WriteFile(in, content, 0o644))
	officeScript(t, locale, "type_uno.py", in, out, jsonFile(t, dir, work))
	saved, err := os.ReadFile(out)
	must(t, err)
	return read(t, saved)
}

// TestTypedWhereACommaIsDecimal types as people do in a country of decimal commas: the
// program makes numbers and dates of it, and these come back. Where points are decimal the
// comma stays text, for check to read.
func TestTypedWhereACommaIsDecimal(t *testing.T) {
	sheet := sample(t, "spawning")
	blank := written(t, sheet)
	at := sheet.Plan.Start.Add(40 * time.Minute)
	names := namesOf(t, blank)
	typing := func(temperature, when string) map[string]any {
		return map[string]any{"type": map[string]any{names["water_temperature"]: temperature, names["set_up_at"]: when}}
	}
	t.Run("de-DE", func(t *testing.T) {
		filled := inLibreOffice(t, "de-DE", blank, typing("13,2", at.Format("02.01.2006 15:04")))
		if c := filled.Cells["water_temperature"]; c.Kind != calc.CellNumber || c.Number != 13.2 || c.DateLike {
			t.Errorf("got %+v, want 13.2", c)
		}
		if c := filled.Cells["set_up_at"]; c.Kind != calc.CellNumber || !c.DateLike || math.Abs(c.Number-serial(at, filled.Date1904)) > timeSlack {
			t.Errorf("got %+v, want day %v", c, serial(at, filled.Date1904))
		}
	})
	t.Run("en-US", func(t *testing.T) {
		filled := inLibreOffice(t, "en-US", blank, typing("13,2", at.Format("2006-01-02 15:04")))
		if c := filled.Cells["water_temperature"]; c.Kind != calc.CellText || c.Text != "13,2" {
			t.Errorf("got %+v, want the text 13,2", c)
		}
		if c := filled.Cells["set_up_at"]; c.Kind != calc.CellNumber || !c.DateLike || math.Abs(c.Number-serial(at, filled.Date1904)) > timeSlack {
			t.Errorf("got %+v, want day %v", c, serial(at, filled.Date1904))
		}
	})
}

// namesOf tells the defined name of each box.
func namesOf(t *testing.T, content []byte) map[calc.Key]string {
	t.Helper()
	o, err := openOurs(content, toRead)
	must(t, err)
	defer o.Close()
	out := map[calc.Key]string{}
	for _, n := range o.manifest.names {
		if n.Kind == kindEntry {
			out[calc.Key(n.Of)] = n.Name
		}
	}
	return out
}

// TestBoxesCutAndCopiedInLibreOffice moves boxes as people should not: the name follows a
// box that is cut and pasted, so its value comes back; what is copied beside the boxes is
// told; a box that another was pasted over is told.
func TestBoxesCutAndCopiedInLibreOffice(t *testing.T) {
	sheet := sample(t, "spawning")
	values := everyBox(sheet)
	content := filledIn(t, written(t, sheet), values)
	names := namesOf(t, content)
	step := read(t, content).Cells["water_temperature"].Sheet
	t.Run("cut to a free place", func(t *testing.T) {
		filled := inLibreOffice(t, "en-US", content, map[string]any{"cut": map[string]any{names["water_temperature"]: "B90"}})
		checkCells(t, filled, values)
		if c := filled.Cells["water_temperature"]; c.Ref != "B90" {
			t.Errorf("got %+v, want it at B90", c)
		}
		if !found(sheet, filled, "box-moved", "water_temperature", "") {
			t.Error("nothing tells that the box was moved")
		}
	})
	t.Run("copied to a free place", func(t *testing.T) {
		filled := inLibreOffice(t, "en-US", content, map[string]any{"copy": map[string]any{names["water_temperature"]: "B90"}})
		checkCells(t, filled, values)
		if !found(sheet, filled, "typed-outside", "", step+"!B90") {
			t.Errorf("nothing tells of the copy: %+v", filled.Changes)
		}
	})
	t.Run("cut and pasted over another box", func(t *testing.T) {
		filled := inLibreOffice(t, "en-US", content, map[string]any{"cut": map[string]any{names["water_temperature"]: names["water_ph"]}})
		if !found(sheet, filled, "box-shared", "water_ph", "") && !found(sheet, filled, "box-lost", "water_ph", "") {
			t.Errorf("nothing tells of the box that is gone: lost %v, %+v", filled.Lost, filled.Cells["water_ph"])
		}
	})
	t.Run("copied over another box", func(t *testing.T) {
		filled := inLibreOffice(t, "en-US", content, map[string]any{"copy": map[string]any{names["water_temperature"]: names["water_ph"]}})
		if got := filled.Cells["water_ph"]; got.Number != values["water_temperature"] { // as if it had been typed there
			t.Errorf("got %+v", got)
		}
	})
}

func found(sheet *calc.Sheet, filled *calc.Filled, code string, key calc.Key, place string) bool {
	return slices.ContainsFunc(check.Sheet(sheet, filled).Findings, func(f check.Finding) bool {
		return f.Code == code && f.Key == key && (place == "" || f.Place() == place) && f.Remedy != ""
	})
}
