package pedigree

import (
	"math"
	"strconv"
	"testing"

	"spatsheet/calc/referencetest"
)

// sizeTolerance: the table prints four decimals of Ne and six of the rise.
var sizeTolerance = map[string]float64{"Ne": 5e-5, "inbreeding_per_generation": 5e-7}

// TestSizesOfSpawnings writes the parents of each row of the table on a spawning's sheet,
// and reads size and rise off the lineage of its offspring.
func TestSizesOfSpawnings(t *testing.T) {
	ran := 0
	for _, row := range referencetest.Read(t, "effective_size.csv") {
		number := func(name string) float64 {
			x, err := strconv.ParseFloat(row.Cells[name], 64)
			if err != nil {
				t.Fatalf("line %d, %s: %v", row.Line, name, err)
			}
			return x
		}
		l := traced(t, planned{code: "KS-S1", protocol: "limpet-spawning", date: "2026-02-14",
			wrote: map[string]any{"females_spawned": number("females"), "males_spawned": number("males")}})
		g := l.Heritage(lotOf(t, l, "KS-S1")).Generations[0]
		for name, got := range map[string]float64{"Ne": g.Size, "inbreeding_per_generation": g.Rise} {
			if math.Abs(got-number(name)) > sizeTolerance[name] {
				t.Errorf("line %d: %s %v, want %v\n%s", row.Line, name, got, number(name), row.Origin())
			}
		}
		ran++
	}
	if ran != 6 {
		t.Errorf("%d rows ran, want 6 (none skipped)", ran)
	}
}
