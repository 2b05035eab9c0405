package quantity

import (
	"math"
	"strconv"
	"testing"

	"spatsheet/calc/referencetest"
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
	rows := referencetest.Read(t, "units.csv")
	for _, r := range rows {
		value, unit, result, resultUnit, exact := r.Cells["value"], r.Cells["unit"], r.Cells["result"], r.Cells["result_unit"], r.Cells["exact"]
		want, err := strconv.ParseFloat(result, 64)
		if err != nil {
			t.Fatalf("line %d: %v", r.Line, err)
		}
		tolerance, ok := factorTolerance[exact]
		if !ok {
			t.Fatalf("line %d: exact is %q, not yes or no", r.Line, exact)
		}
		got, err := must(t, value+" "+unit).In(MustUnit(resultUnit))
		if err != nil || math.Abs(got.Value()-want) > tolerance*want {
			t.Errorf("line %d: %s %s is %v (%v), want %s %s\n%s",
				r.Line, value, unit, got, err, result, resultUnit, r.Origin())
		}
	}
	if ran := len(rows); ran != factorRows {
		t.Errorf("%d rows ran, want %d", ran, factorRows)
	}
}
