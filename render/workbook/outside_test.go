package workbook

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// inShort is a change as the cases tell it.
func inShort(c calc.Change) string {
	kind := [...]string{"typed", "changed", "gone", "added"}[c.Kind]
	return strings.TrimSpace(fmt.Sprintf("%s %s!%s %q was %q", kind, c.Cell.Sheet, c.Cell.Ref, c.Cell.Text, c.Was))
}

func TestWhatStandsOutsideTheBoxesIsTold(t *testing.T) {
	sheet := sample(t, "spawning")
	content := filledIn(t, written(t, sheet), everyBox(sheet))
	set := func(ref string, value any) func(f *excelize.File) error {
		return func(f *excelize.File) error { return f.SetCellValue(firstStep, ref, value) }
	}
	label := labelOf(t, content)
	cases := map[string]struct {
		change func(f *excelize.File) error
		want   []string
	}{
		"nothing": {func(*excelize.File) error { return nil }, nil},
		"rows and a column in it": {both(func(f *excelize.File) error { return f.InsertRows(firstStep, 9, 2) },
			func(f *excelize.File) error { return f.InsertCols(firstStep, "B", 1) }), nil},
		"a remark below":        {set("C90", "pump stopped"), []string{`typed ` + firstStep + `!C90 "pump stopped" was ""`}},
		"a number to the right": {set("T3", 13.2), []string{`typed ` + firstStep + `!T3 "13.2" was ""`}},
		"a formula of one's own": {func(f *excelize.File) error {
			return f.SetCellFormula(firstStep, "T90", "A1&B1")
		}, []string{`typed ` + firstStep + `!T90 "=A1&B1" was ""`}},
		"a label changed": {set("A1", "1  Something else"), []string{`changed ` + firstStep + `!A1 "1  Something else" was "` + label + `"`}},
		"a label gone":    {set("A1", nil), []string{`gone ` + firstStep + `! "" was "` + label + `"`}},
		"blanks only":     {set("C90", "  "), nil},
		"a sheet of one's own": {both(func(f *excelize.File) error { _, err := f.NewSheet("mine"); return err },
			func(f *excelize.File) error { return f.SetCellStr("mine", "C3", "spare") }), []string{`added mine!C3 "spare" was ""`}},
		"an empty sheet": {func(f *excelize.File) error { _, err := f.NewSheet("mine"); return err }, nil},
		"a remark on Start": {func(f *excelize.File) error {
			return f.SetCellStr(startSheet, "A200", "call Ann")
		}, []string{`typed Start!A200 "call Ann" was ""`}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var got []string
			for _, change := range read(t, edited(t, content, c.change)).Changes {
				got = append(got, inShort(change))
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

func both(first, second func(f *excelize.File) error) func(f *excelize.File) error {
	return func(f *excelize.File) error {
		if err := first(f); err != nil {
			return err
		}
		return second(f)
	}
}

func labelOf(t *testing.T, content []byte) string {
	t.Helper()
	f, err := open(content, toWrite)
	must(t, err)
	defer f.Close()
	text, err := f.GetCellValue(firstStep, "A1")
	must(t, err)
	return asPrinted(text, false)
}

// TestEarlierWorkbooksSayNothingOfWhatIsPrinted takes the rows out that they do not have.
func TestEarlierWorkbooksSayNothingOfWhatIsPrinted(t *testing.T) {
	content := edited(t, written(t, sample(t, "spawning")), func(f *excelize.File) error {
		rows, err := f.GetRows(manifestSheet)
		if err != nil {
			return err
		}
		rows = slices.DeleteFunc(rows, func(row []string) bool { return row[0] == "printed" || row[0] == "sum" })
		rows = append(rows, []string{"sum", sumOf(rows)}, []string{"", ""}, []string{"", ""}, []string{"", ""})
		for i, row := range rows {
			for c, text := range row {
				if err := f.SetCellStr(manifestSheet, fmt.Sprint(column(c+1), i+1), text); err != nil {
					return err
				}
			}
		}
		return f.SetCellStr(firstStep, "C90", "pump stopped")
	})
	if filled := read(t, content); len(filled.Changes) > 0 || len(filled.Lost) > 0 {
		t.Errorf("got %+v, lost %v", filled.Changes, filled.Lost)
	}
}

func TestScanTellsWhatTheLibraryPassesOver(t *testing.T) {
	part := func(rows string) []byte { return []byte(`<worksheet><sheetData>` + rows + `</sheetData></worksheet>`) }
	for name, c := range map[string]struct{ rows, says string }{
		"a cell twice":          {`<row r="2"><c r="B2"><v>1</v></c><c r="B2"><v>2</v></c></row>`, "B2 stands there twice"},
		"a row twice":           {`<row r="2"><c r="B2"><v>1</v></c></row><row r="3"/><row r="2"><c r="B2"><v>2</v></c></row>`, "B2 stands there twice"},
		"in another row":        {`<row r="2"><c r="B3"><v>1</v></c></row>`, "B3 stands in row 2"},
		"no such row":           {`<row r="0"><c r="B3"><v>1</v></c></row>`, `no row "0"`},
		"text of no number":     {`<row r="2"><c r="B2" t="s"><v>1e3</v></c></row>`, "B2 names no shared text"},
		"text of nothing":       {`<row r="2"><c r="B2" t="s"><v></v></c></row>`, "B2 names no shared text"},
		"rows in another order": {`<row r="3"><c r="A3"><v>1</v></c></row><row r="2"><c r="A2"><v>2</v></c></row>`, ""},
		"no references":         {`<row><c><v>1</v></c><c><v>2</v></c></row>`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := scan(part(c.rows))
			if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
				t.Errorf("got %v, want %q", err, c.says)
			}
		})
	}
	far := `<row r="1"><c r="A1"><v>1</v></c></row>`
	s, err := scan(part(far + `<row r="1048576"><c r="A1048576" s="3"/></row>`))
	must(t, err)
	if !bytes.Equal(s.trimmed, part(far)) || s.cost > 10 {
		t.Errorf("a blank row far below costs %d, left %s", s.cost, s.trimmed)
	}
	if s, err = scan(part(far + `<row r="1048576"><c r="A1048576"><v>3</v></c></row>`)); err != nil || s.trimmed != nil || s.cost < 1048576 {
		t.Errorf("a far cell with something in it: cost %d, left %s, %v", s.cost, s.trimmed, err)
	}
}
