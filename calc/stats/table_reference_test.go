package stats

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/referencetest"
)

// referenceRow is one line of a table in testdata/reference, by column name.
type referenceRow struct {
	line  int
	cells map[string]string
}

// origin is what a failing row prints, so that the reader knows whom to doubt.
func (r referenceRow) origin() string {
	return "source: " + r.cells["source"] + "; method: " + r.cells["method"]
}

func (r referenceRow) number(t *testing.T, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r.cells[column], 64)
	if err != nil {
		t.Fatalf("line %d, %s: %v", r.line, column, err)
	}
	return x
}

func (r referenceRow) whole(t *testing.T, column string) int {
	t.Helper()
	x := r.number(t, column)
	if x != math.Trunc(x) {
		t.Fatalf("line %d, %s: %v is not whole", r.line, column, x)
	}
	return int(x)
}

// readReference reads a table of testdata/reference.
func readReference(t *testing.T, name string) []referenceRow {
	t.Helper()
	var rows []referenceRow
	for _, r := range referencetest.Read(t, name) {
		rows = append(rows, referenceRow{line: r.Line, cells: r.Cells})
	}
	return rows
}

// halfLastDigit is half a unit of the last digit as printed: 0.005 for "3.69".
func halfLastDigit(printed string) float64 {
	mantissa, exponent, hasExponent := strings.Cut(strings.ToLower(printed), "e")
	decimals := 0
	if _, after, found := strings.Cut(mantissa, "."); found {
		decimals = len(after)
	}
	power := 0
	if hasExponent {
		power, _ = strconv.Atoi(exponent)
	}
	return 0.5 * math.Pow(10, float64(power-decimals))
}

// agreement collects the largest difference per quantity, to be reported with -v.
type agreement map[string]float64

// compare asserts |got - cell| within half the last printed digit times factor.
func (a agreement) compare(t *testing.T, row referenceRow, quantity, column string, got, factor float64) {
	t.Helper()
	want := row.number(t, column)
	off := math.Abs(got - want)
	key := fmt.Sprintf("%s, printed to %.0e", quantity, 2*halfLastDigit(row.cells[column]))
	a[key] = math.Max(a[key], off)
	// 1e-12 relative: the printed decimal itself is not exact in binary.
	if allowed := halfLastDigit(row.cells[column])*factor + 1e-12*math.Abs(want); !(off <= allowed) {
		t.Errorf("line %d, %s: got %.10g, want %s within %.3g\n%s", row.line, column, got, row.cells[column], allowed, row.origin())
	}
}

func (a agreement) report(t *testing.T) {
	for quantity, off := range a {
		t.Logf("%s: largest difference %.3g", quantity, off)
	}
}

// tolerance is a multiple of half the last printed digit, per quantity, with its reason.
var tolerance = map[string]float64{
	"interval":       1, // 8 decimals from scipy, or published digits: rounding only
	"survival":       1, // 6 decimals from R, or 3 and 4 published: rounding only
	"log-rank":       1, // 6 or 7 digits from R: rounding only
	"effective size": 1, // 4 decimals: rounding only
	"inbreeding":     1, // 6 decimals: rounding only
}
