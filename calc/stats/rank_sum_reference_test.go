package stats

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/limits"
)

// TestRankSumReference holds the test against rank_sum.csv. Tolerance: half of the last
// digit that each row prints.
func TestRankSumReference(t *testing.T) {
	table := readReference(t, "rank_sum.csv")
	for _, row := range table {
		got, err := RankSumWilcoxon1945(numbersIn(t, row.cells["first"]), numbersIn(t, row.cells["second"]))
		if err != nil {
			t.Errorf("%s: %v", row.cells["case"], err)
			continue
		}
		if math.Abs(got.U-row.number(t, "u")) > 1e-9 || math.Abs(got.PValue-row.number(t, "p_two_sided")) > 5.1e-5 {
			t.Errorf("%s: U %g, p %g; %s", row.cells["case"], got.U, got.PValue, row.origin())
		}
	}
	if len(table) != 5 {
		t.Errorf("%d rows ran, want 5", len(table))
	}
}

func numbersIn(t *testing.T, cell string) []float64 {
	t.Helper()
	var out []float64
	for _, word := range strings.Fields(cell) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

func TestRankSumRefuses(t *testing.T) {
	if _, err := RankSumWilcoxon1945(nil, []float64{1}); !errors.Is(err, ErrTooFew) {
		t.Errorf("no value: %v", err)
	}
	if _, err := RankSumWilcoxon1945([]float64{math.NaN()}, []float64{1}); !errors.Is(err, limits.ErrRange) {
		t.Errorf("not a number: %v", err)
	}
	if _, err := RankSumWilcoxon1945(make([]float64, 100), make([]float64, 100)); !errors.Is(err, limits.ErrRange) {
		t.Errorf("too many: %v", err)
	}
}
