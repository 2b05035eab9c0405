package quantity

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// factorRows is how many rows of units.csv must run; none is skipped.
const factorRows = 25

// factorTolerance is the relative difference allowed, by the column exact.
var factorTolerance = map[string]float64{
	"yes": 0,    // exact by definition: the same float64
	"no":  1e-7, // 0.5144444 is printed to seven figures: half a unit in the last is 9.7e-8 of it
}

// TestReferenceFactors checks conversions against published factors.
func TestReferenceFactors(t *testing.T) {
	f, err := os.Open("../../testdata/reference/units.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range rows[1:] {
		value, unit, result, resultUnit, exact, source, method := r[0], r[1], r[2], r[3], r[4], r[5], r[6]
		if source == "" || method == "" {
			t.Fatalf("row %d: source or method is empty", i+2)
		}
		want, err := strconv.ParseFloat(result, 64)
		if err != nil {
			t.Fatalf("row %d: %v", i+2, err)
		}
		tolerance, ok := factorTolerance[exact]
		if !ok {
			t.Fatalf("row %d: exact is %q, not yes or no", i+2, exact)
		}
		got, err := must(t, value+" "+unit).In(MustUnit(resultUnit))
		if err != nil || math.Abs(got.Value()-want) > tolerance*want {
			t.Errorf("row %d: %s %s is %v (%v), want %s %s\nsource: %s\nmethod: %s",
				i+2, value, unit, got, err, result, resultUnit, source, method)
		}
	}
	if ran := len(rows) - 1; ran != factorRows {
		t.Errorf("%d rows ran, want %d", ran, factorRows)
	}
}
