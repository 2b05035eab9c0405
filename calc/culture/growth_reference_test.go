package culture

import (
	"errors"
	"math"
	"testing"

	"spatsheet/calc/referencetest"
)

// growthValue computes what a row of growth.csv asks.
func growthValue(parameter string, x map[string]float64) (float64, error) {
	if parameter == "days_to_target" {
		return DaysToGrow(x["target"]/x["N0"], x["mu"], 0)
	}
	rate, err := SpecificGrowthRate(x["N0"], x["N1"], x["days"])
	if err != nil {
		return 0, err
	}
	switch parameter {
	case "mu":
		return rate, nil
	case "doubling_time":
		return DoublingDays(rate)
	case "doublings_per_day":
		return DivisionsPerDay(rate)
	}
	return 0, errors.New("nothing computes " + parameter)
}

func TestGrowthReference(t *testing.T) {
	ran := 0
	for _, row := range referencetest.Read(t, "growth.csv") {
		want := given(t, "value="+row.Cells["value"])["value"]
		got, err := growthValue(row.Cells["parameter"], given(t, row.Cells["inputs"]))
		// 6e-8: eight digits printed, the last within half a unit.
		if err != nil || !(math.Abs(got-want) <= 6e-8*want) {
			t.Errorf("line %d: got %v, %v, want %v\n%s", row.Line, got, err, want, row.Origin())
		}
		ran++
	}
	if ran != 14 {
		t.Errorf("%d rows of growth.csv ran, want 14 (none skipped)", ran)
	}
}
