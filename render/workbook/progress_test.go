package workbook

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// told reads how far a workbook says it is filled in: of each step and of all of them, as
// the sheet Start shows it.
func told(t *testing.T, content []byte) []string {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{RawCellValue: true})
	must(t, err)
	defer f.Close()
	r := newReader(f)
	var out []string
	inList := false
	for row := 1; row < 60; row++ {
		name, err := f.GetCellValue(startSheet, fmt.Sprint("A", row))
		must(t, err)
		if inList && name != "" {
			var parts []string
			for col := 6; col <= 8; col++ {
				cell, err := r.cell(target{sheet: startSheet, ref: fmt.Sprint(column(col), row), row: row, col: col})
				must(t, err)
				parts = append(parts, asShown(t, cell))
			}
			out = append(out, strings.Join(parts, ", "))
		}
		inList = name == "Step" || inList && name != "All steps"
	}
	return out
}

// asShown is a number in its format, of those used for counts; excelize 2.11.1 loses parts
// of the words.
func asShown(t *testing.T, cell calc.Cell) string {
	t.Helper()
	if cell.Kind != calc.CellNumber {
		t.Errorf("%s!%s: got %q, want a number", cell.Sheet, cell.Ref, cell.Text)
	}
	sections := strings.Split(cell.Format, ";")
	section := sections[0]
	if len(sections) == 3 && cell.Number <= 0 {
		section = sections[2]
	}
	if rest, ok := strings.CutPrefix(section, "0"); ok {
		section = fmt.Sprint(cell.Number) + rest
	}
	return strings.ReplaceAll(section, `"`, "")
}

// half fills two boxes of three, some with ND and some with what is odd.
func half(sheet *calc.Sheet) map[calc.Key]any {
	values := map[calc.Key]any{}
	for i, b := range sheet.Boxes() {
		switch e := b.Entry; {
		case i%3 == 0 || i > 120:
		case i%7 == 0:
			values[b.Key] = "nd"
		case i%5 == 0:
			values[b.Key] = odd(e)
		default:
			values[b.Key] = usual(sheet, e)
		}
	}
	return values
}

func odd(e *protocols.Entry) any {
	switch e.Kind {
	case protocols.KindNumber:
		return e.High + 1
	case protocols.KindTime, protocols.KindDate:
		return 0.75 // 18:00 of no day
	}
	return "about 3"
}

func usual(sheet *calc.Sheet, e *protocols.Entry) any {
	switch e.Kind {
	case protocols.KindNumber:
		return e.High
	case protocols.KindCount:
		return int(e.Low)
	case protocols.KindTime, protocols.KindDate:
		return sheet.Plan.Start.Add(time.Hour)
	case protocols.KindChoice:
		return e.Choices[len(e.Choices)-1]
	}
	return "TK"
}

// ought counts, from the values, what a workbook ought to tell.
func ought(sheet *calc.Sheet, values map[calc.Key]any) []string {
	var out []string
	var all [4]int
	for s := range sheet.Steps {
		n := oughtOfStep(sheet, s, values)
		for i := range n {
			all[i] += n[i]
		}
		out = append(out, words(n))
	}
	return append(out, words(all))
}

// oughtOfStep gives boxes, filled, to look at, missing.
func oughtOfStep(sheet *calc.Sheet, step int, values map[calc.Key]any) (n [4]int) {
	begun := map[string]bool{} // rows and tables
	for _, b := range sheet.Boxes() {
		if _, ok := values[b.Key]; ok && b.Table != nil {
			begun[fmt.Sprint(b.Table.ID, b.Row)], begun[b.Table.ID] = true, true
		}
	}
	for _, b := range sheet.Boxes() {
		if b.Step != step {
			continue
		}
		n[0]++
		v, ok := values[b.Key]
		switch {
		case ok:
			n[1]++
			if v == odd(b.Entry) && b.Entry.Kind != protocols.KindText {
				n[2]++
			}
		case !b.Entry.Required:
		case b.Table == nil || !b.Table.Partial, begun[fmt.Sprint(b.Table.ID, b.Row)], !begun[b.Table.ID] && b.Row == 1:
			n[3]++
		}
	}
	return n
}

func words(n [4]int) string {
	text := fmt.Sprintf("%d of %d filled", n[1], n[0])
	if n[2] > 0 {
		text += fmt.Sprintf(", %d to look at", n[2])
	} else {
		text += ", "
	}
	if n[3] == 0 {
		return text + ", done"
	}
	return text + fmt.Sprintf(", %d * to fill in", n[3])
}

func compare(t *testing.T, got, want []string) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("got %d lines %q, want %d", len(got), got, len(want))
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("line %d: got %q, want %q", i+1, got[i], want[i])
		}
	}
}

func TestBlankTellsNothingFilled(t *testing.T) {
	for name := range plans {
		sheet := sample(t, name)
		compare(t, told(t, written(t, sheet)), ought(sheet, nil))
	}
}

// TestProgressIsComputedAlike has LibreOffice and Gnumeric compute what a half-filled and a
// full workbook tell of themselves.
func TestProgressIsComputedAlike(t *testing.T) {
	programs := map[string]func(t *testing.T, dir, path string) string{
		"LibreOffice": throughLibreOffice,
		"Gnumeric": func(t *testing.T, dir, path string) string {
			out := filepath.Join(dir, "gnumeric.xlsx")
			run(t, tool(t, "ssconvert"), "--recalc", "-T", "Gnumeric_Excel:xlsx2", path, out)
			return out
		},
	}
	for program, save := range programs {
		for name := range plans {
			t.Run(program+", "+name, func(t *testing.T) {
				sheet := sample(t, name)
				full := map[calc.Key]any{}
				for _, b := range sheet.Boxes() {
					full[b.Key] = usual(sheet, b.Entry)
				}
				for _, values := range []map[calc.Key]any{half(sheet), full} {
					dir := t.TempDir()
					path := filepath.Join(dir, "some.xlsx")
					must(t, os.WriteFile(path, filledIn(t, written(t, sheet), values), 0o644))
					saved, err := os.ReadFile(save(t, dir, path))
					must(t, err)
					compare(t, told(t, saved), ought(sheet, values))
				}
			})
		}
	}
}
