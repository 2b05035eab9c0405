package seawater

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/referencetest"
)

// row is one line of a reference table: cells by column name, and the line number.
type row struct {
	cells map[string]string
	line  int
}

// readReference reads a table of testdata/reference.
func readReference(t *testing.T, file string) []row {
	t.Helper()
	var rows []row
	for _, r := range referencetest.Read(t, file) {
		rows = append(rows, row{cells: r.Cells, line: r.Line})
	}
	return rows
}

// number reads a cell that must hold a number.
func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r.cells[column], 64)
	if err != nil {
		t.Fatalf("line %d, column %s: %v", r.line, column, err)
	}
	return x
}

// tempITS90 reads temperature_C and brings rows given on IPTS-68 to ITS-90.
func (r row) tempITS90(t *testing.T) float64 {
	t.Helper()
	temp := r.number(t, "temperature_C")
	if r.cells["temperature_scale"] == "IPTS-68" {
		temp /= 1.00024 // the agreed conversion, as in the rows' own method
	}
	return temp
}

// lastDigit stands for "half a unit in the last digit printed in the row".
const lastDigit = 0

// tolerance says how far from a reference value we may be, and why.
type tolerance struct {
	allowed float64 // lastDigit, or an absolute difference in the unit of the row
	reason  string
}

// compare reports a value that is further from the row's column than allowed.
func (tol tolerance) compare(t *testing.T, r row, column string, got float64, err error) {
	t.Helper()
	want, allowed := r.number(t, column), tol.allowed
	if allowed == lastDigit {
		_, decimals, _ := strings.Cut(r.cells[column], ".")
		// 1e-9 for what the decimal fractions lose in binary.
		allowed = 0.5*math.Pow10(-len(decimals)) + 1e-9
	}
	if err != nil || !(math.Abs(got-want) <= allowed) {
		t.Errorf("line %d, %s: got %.9g (error %v), want %s within %.3g (%s)\n  source: %s\n  method: %s",
			r.line, column, got, err, r.cells[column], allowed, tol.reason, r.cells["source"], r.cells["method"])
	}
}
