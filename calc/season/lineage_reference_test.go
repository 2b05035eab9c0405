package season

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// sizeTolerance: the table prints four decimals of Ne and six of the rise.
var sizeTolerance = map[string]float64{"Ne": 5e-5, "inbreeding_per_generation": 5e-7}

// TestSizesOfSpawnings writes the parents of each row of the table on a spawning's sheet,
// and reads size and rise off the lineage of its offspring.
func TestSizesOfSpawnings(t *testing.T) {
	file, err := os.Open("../../testdata/reference/effective_size.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	ran := 0
	for _, row := range rows[1:] {
		cell := func(name string) string { return row[column[name]] }
		number := func(name string) float64 {
			x, err := strconv.ParseFloat(cell(name), 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return x
		}
		if cell("source") == "" || cell("method") == "" {
			t.Fatalf("row %v tells no source or method", row)
		}
		l := traced(t, planned{code: "KS-S1", protocol: "limpet-spawning", date: "2026-02-14",
			wrote: map[string]any{"females_spawned": number("females"), "males_spawned": number("males")}})
		g := l.Heritage(lotOf(t, l, "KS-S1")).Generations[0]
		for name, got := range map[string]float64{"Ne": g.Size, "inbreeding_per_generation": g.Rise} {
			if math.Abs(got-number(name)) > sizeTolerance[name] {
				t.Errorf("%s males, %s females: %s %v, want %v (%s; %s)", cell("males"), cell("females"), name, got, number(name), cell("source"), cell("method"))
			}
		}
		ran++
	}
	if ran != 6 {
		t.Errorf("%d rows ran, want 6", ran)
	}
}
