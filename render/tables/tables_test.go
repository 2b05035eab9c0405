package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func sample() Table {
	return Table{Name: "sample", Title: "One row for each thing", Columns: []string{"name", "value", "survival"}, Rows: slices.Values([][]any{
		{"plain, with \"quotes\"\nand a line", 0.1, 0.25}, {"=1+1", -2.0, nil}, {"", 3, 1.0}, {"µm²", 1e21, 0.0},
	})}
}

func TestCSVReadsBack(t *testing.T) {
	var b bytes.Buffer
	if _, err := WriteCSV(&b, sample()); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"name", "value", "survival"}, {"plain, with \"quotes\"\nand a line", "0.1", "0.25"},
		{"'=1+1", "-2", ""}, {"", "3", "1"}, {"µm²", "1e+21", "0"}}
	for i, row := range want {
		if strings.Join(got[i], "|") != strings.Join(row, "|") {
			t.Errorf("row %d: got %q, want %q", i, got[i], row)
		}
	}
}

// TestNoTextBecomesAFormula uses the signs that OWASP's page on CSV injection lists (from
// memory): = + - @, tab, carriage return and line feed.
func TestNoTextBecomesAFormula(t *testing.T) {
	for _, s := range []string{"=cmd()", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "\n=1"} {
		if got := harmless(s); got != "'"+s {
			t.Errorf("%q became %q", s, got)
		}
	}
	for _, s := range []string{"", "a=b", "3-4", "'x"} {
		if got := harmless(s); got != s {
			t.Errorf("%q became %q", s, got)
		}
	}
}

func TestNumbersReadBackExactly(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := rapid.Float64().Draw(r, "x")
		got, err := strconv.ParseFloat(text(x), 64)
		if err != nil || math.Float64bits(got) != math.Float64bits(x) {
			r.Fatalf("%v came back as %v, %v", x, got, err)
		}
	})
}

func TestWorkbookHoldsTheSame(t *testing.T) {
	stamp := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	var first, second bytes.Buffer
	for _, b := range []*bytes.Buffer{&first, &second} {
		if err := WriteWorkbook(b, []Table{sample(), {Name: "empty", Title: "Nothing", Columns: []string{"a"}, Rows: slices.Values([][]any{})}}, stamp); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same tables give other bytes")
	}
	f, err := excelize.OpenReader(&first)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for ref, want := range map[string]string{"A1": "One row for each thing", "A2": "name", "B3": "0.1", "A4": "=1+1",
		"B4": "-2", "C4": "", "C3": "25.00%", "A6": "µm²"} {
		if got, err := f.GetCellValue("sample", ref); err != nil || got != want {
			t.Errorf("%s: got %q, %v; want %q", ref, got, err, want)
		}
	}
	if formula, err := f.GetCellFormula("sample", "A4"); err != nil || formula != "" {
		t.Errorf("A4 became the formula %q, %v", formula, err)
	}
}

// TestAnyTextReadsBack: whatever stands in a cell comes back letter for letter, and what
// the file holds never begins like a formula.
func TestAnyTextReadsBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		words := rapid.SliceOfN(rapid.StringOf(rapid.SampledFrom([]rune("a,\"'=+-@\t\r\n µ;"))), 1, 4)
		columns := words.Draw(r, "columns")
		row := make([]any, len(columns))
		for i := range row {
			row[i] = rapid.StringOf(rapid.SampledFrom([]rune("a,\"'=+-@\t\r\n µ;"))).Draw(r, "cell")
		}
		var b bytes.Buffer
		if _, err := WriteCSV(&b, Table{Columns: columns, Rows: slices.Values([][]any{row})}); err != nil {
			r.Fatal(err)
		}
		got, err := readCSV(&b)
		if err != nil || len(got) != 2 || len(got[1]) != len(row) {
			r.Fatalf("%q came back as %q, %v", row, got, err)
		}
		for i, cell := range got[1] {
			if unharmed(cell) != row[i] || cell != "" && strings.ContainsRune(formulaSigns, rune(cell[0])) {
				r.Fatalf("%q was written as %q and came back as %q", row[i], cell, unharmed(cell))
			}
		}
	})
}

func TestRefusesWhatIsNoCSV(t *testing.T) {
	for name, text := range map[string]string{
		"a quote within a cell": "a\"b,c\r\n", "a quote not closed": "\"a,b\r\n", "letters after a quote": "\"a\"b,c\r\n", "a bare line feed": "a\nb\r\n",
	} {
		if got, err := readCSV(strings.NewReader(text)); !errors.Is(err, errCSV) {
			t.Errorf("%s: got %q, %v", name, got, err)
		}
	}
}

// A table with more rows than a sheet holds is named in its sheet, not cut off.
func TestTableLargerThanASheet(t *testing.T) {
	row := []any{"KS-26-01", 1.5}
	large := Table{Name: "readings", Title: "One row for each box", Columns: []string{"batch", "value"},
		Rows: slices.Values(slices.Repeat([][]any{row}, mostRows+1))}
	small := Table{Name: "batches", Title: "One row for each batch", Columns: []string{"batch", "value"}, Rows: slices.Values([][]any{row})}
	for _, x := range []struct {
		table   Table
		count   int
		tooLong bool
	}{{small, 1, false}, {large, mostRows + 1, true}} {
		if w, err := WriteCSV(io.Discard, x.table); err != nil || w.Count != x.count || w.TooLong() != x.tooLong {
			t.Errorf("%s: got %d rows, too long %v, error %v", x.table.Name, w.Count, w.TooLong(), err)
		}
	}
	var out bytes.Buffer
	if err := WriteWorkbook(&out, []Table{small, large}, time.Unix(0, 0)); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("readings")
	if err != nil || len(rows) != headingRow+1 || rows[headingRow][0] != "1048575 rows are more than a sheet holds: they are in readings.csv" {
		t.Errorf("got %q, error %v", rows, err)
	}
	if value, err := f.GetCellValue("batches", "B3"); err != nil || value != "1.5" {
		t.Errorf("got %q, error %v; want 1.5", value, err)
	}
}

func TestSameTablesSameBytes(t *testing.T) {
	var list []Table
	for _, name := range []string{"batches", "stages", "survival", "readings", "planned", "findings"} {
		list = append(list, Table{Name: name, Title: name, Columns: []string{"batch", "value"}, Rows: slices.Values([][]any{{"KS-26-01", 1.5}})})
	}
	var first bytes.Buffer
	if err := WriteWorkbook(&first, list, time.Unix(0, 0)); err != nil {
		t.Fatal(err)
	}
	for range 10 {
		var again bytes.Buffer
		if err := WriteWorkbook(&again, list, time.Unix(0, 0)); err != nil || !bytes.Equal(first.Bytes(), again.Bytes()) {
			t.Fatalf("got other bytes for the same tables, error %v", err)
		}
	}
}

func TestCSVRefuses(t *testing.T) {
	wide := Table{Name: "wide", Columns: []string{"a"}, Rows: slices.Values([][]any{{"x", "y"}})}
	if _, err := WriteCSV(io.Discard, wide); err == nil || err.Error() != "table wide: a row of 2 cells in 1 columns" {
		t.Errorf("got %v", err)
	}
	read, writer := io.Pipe()
	read.Close()
	made := 0
	endless := Table{Columns: []string{"a"}, Rows: func(yield func([]any) bool) {
		for yield([]any{"text"}) {
			made++
		}
	}}
	if _, err := WriteCSV(writer, endless); !errors.Is(err, io.ErrClosedPipe) || made == 0 {
		t.Errorf("a writer that fails: got %v after %d rows", err, made)
	}
}
