package tables

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func sample() Table {
	return Table{Name: "sample", Title: "One row for each thing", Columns: []string{"name", "value", "survival"}, Rows: [][]any{
		{"plain, with \"quotes\"\nand a line", 0.1, 0.25}, {"=1+1", -2.0, nil}, {"", 3, 1.0}, {"µm²", 1e21, 0.0},
	}}
}

func TestCSVReadsBack(t *testing.T) {
	var b bytes.Buffer
	if err := WriteCSV(&b, sample()); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"name", "value", "survival"}, {"plain, with \"quotes\"\nand a line", "0.1", "0.25"}, {"'=1+1", "-2", ""}, {"", "3", "1"}, {"µm²", "1e+21", "0"}}
	for i, row := range want {
		if strings.Join(got[i], "|") != strings.Join(row, "|") {
			t.Errorf("row %d: got %q, want %q", i, got[i], row)
		}
	}
}

// TestNoTextBecomesAFormula uses the signs that OWASP's page on CSV injection lists (from
// memory): = + - @, tab and carriage return.
func TestNoTextBecomesAFormula(t *testing.T) {
	for _, s := range []string{"=cmd()", "+1", "-1", "@SUM(A1)", "\tx", "\rx"} {
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
		if err := WriteWorkbook(b, []Table{sample(), {Name: "empty", Title: "Nothing", Columns: []string{"a"}}}, stamp); err != nil {
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
	for ref, want := range map[string]string{"A1": "One row for each thing", "A2": "name", "B3": "0.1", "A4": "=1+1", "B4": "-2", "C4": "", "C3": "25.00%", "A6": "µm²"} {
		if got, err := f.GetCellValue("sample", ref); err != nil || got != want {
			t.Errorf("%s: got %q, %v; want %q", ref, got, err, want)
		}
	}
	if formula, err := f.GetCellFormula("sample", "A4"); err != nil || formula != "" {
		t.Errorf("A4 became the formula %q, %v", formula, err)
	}
}
