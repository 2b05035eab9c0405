package workbook

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// FuzzRead reads workbooks of any bytes, and good ones with one part of any bytes: noise
// from outside goes no farther than the checksums of the package.
//
// Whatever is read without an error must be sane, and an error must be of a kind of ours.
func FuzzRead(f *testing.F) {
	sheet := sample(f, "diatoms")
	sheet.Steps = sheet.Steps[:1] // small, so that there are many tries
	base := filledIn(f, written(f, sheet), firstBoxes(sheet))
	parts, order, err := unpack(base)
	if err != nil {
		f.Fatal(err)
	}
	f.Add("", []byte("PK\x03\x04"))
	for _, name := range []string{"xl/worksheets/sheet2.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"} {
		f.Add(name, parts[name])
	}
	f.Fuzz(func(t *testing.T, name string, text []byte) {
		content := text
		if name != "" {
			changed := map[string][]byte{}
			for _, n := range order {
				changed[n] = parts[n]
			}
			changed[name] = text
			content, err = pack(changed, order, nil)
			if err != nil {
				t.Fatal(err)
			}
		}
		filled, err := Read(content)
		if err == nil {
			checkSane(t, filled)
			return
		}
		if !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNotOurs) && !errors.Is(err, ErrTooLarge) {
			t.Errorf("an error of no kind: %v", err)
		}
	})
}

// firstBoxes gives values to the boxes of the first step.
func firstBoxes(sheet *calc.Sheet) map[calc.Key]any {
	values := everyBox(sheet)
	for _, b := range sheet.Boxes() {
		if b.Step > 0 {
			delete(values, b.Key)
		}
	}
	return values
}

func checkSane(t *testing.T, filled *calc.Filled) {
	t.Helper()
	if filled.Manifest.Batch == "" || filled.Manifest.Plan == "" {
		t.Errorf("a manifest without batch or plan was taken: %+v", filled.Manifest)
	}
	check := func(c calc.Cell) {
		_, _, err := excelize.CellNameToCoordinates(c.Ref)
		number := c.Kind == calc.CellNumber
		switch {
		case c.Sheet == "" || err != nil:
			t.Errorf("a cell without a place: %+v", c)
		case c.Kind < calc.CellBlank || c.Kind > calc.CellError:
			t.Errorf("a cell of no kind: %+v", c)
		case math.IsNaN(c.Number), math.IsInf(c.Number, 0), !number && c.Number != 0, number && c.Text == "":
			t.Errorf("no number: %+v", c)
		case c.Kind == calc.CellBlank && c.Text != "":
			t.Errorf("a blank with text: %+v", c)
		}
	}
	for _, c := range filled.Cells {
		check(c)
	}
	for _, c := range filled.Amounts {
		check(c)
	}
	for _, cells := range filled.Repeats {
		for _, c := range cells {
			check(c)
		}
	}
	for _, c := range filled.Changes {
		if c.Cell.Sheet == "" || c.Kind != calc.PrintedGone && c.Cell.Ref == "" {
			t.Errorf("a change without a place: %+v", c)
		}
	}
}

// TestFuzzedWorkbookIsSmallAndGood holds what FuzzRead starts from.
func TestFuzzedWorkbookIsSmallAndGood(t *testing.T) {
	sheet := sample(t, "diatoms")
	sheet.Steps = sheet.Steps[:1]
	values := firstBoxes(sheet)
	content := filledIn(t, written(t, sheet), values)
	filled := read(t, content)
	checkCells(t, filled, values)
	checkSane(t, filled)
	if len(filled.Changes) > 0 || !bytes.HasPrefix(content, []byte("PK")) {
		t.Errorf("changes %v", filled.Changes)
	}
}
