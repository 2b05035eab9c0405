package counts

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/referencetest"
)

// tolerance is relative, per column, with its reason.
var tolerance = map[string]float64{
	"cells_per_mL":      1e-7, // printed to 8 significant digits
	"mean_per_square":   1e-7,
	"sd_per_square":     1e-7,
	"cv_percent":        1e-7,
	"low_cells_per_mL":  1e-7, // as above; scipy and gonum chi-square quantiles agree further
	"high_cells_per_mL": 1e-7,
}

var squareML = map[string]float64{
	"neubauer":              NeubauerLargeSquareML,
	"neubauer-group-square": NeubauerGroupSquareML,
	"sedgewick-rafter":      SedgewickRafterSquareML,
}

type countingRow struct {
	line    int
	cells   map[string]string
	largest map[string]float64
}

func (r countingRow) number(t *testing.T, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r.cells[column], 64)
	if err != nil {
		t.Fatalf("line %d, %s: %v", r.line, column, err)
	}
	return x
}

func (r countingRow) compare(t *testing.T, column string, got float64) {
	t.Helper()
	want := r.number(t, column)
	off := math.Abs(got-want) / math.Max(math.Abs(want), 1e-300)
	r.largest[column] = math.Max(r.largest[column], off)
	if !(math.Abs(got-want) <= tolerance[column]*math.Abs(want)) {
		t.Errorf("line %d, %s: got %.10g, want %s\nsource: %s; method: %s", r.line, column, got, r.cells[column], r.cells["source"], r.cells["method"])
	}
}

func readCounting(t *testing.T) []countingRow {
	t.Helper()
	var rows []countingRow
	largest := map[string]float64{}
	for _, r := range referencetest.Read(t, "counting.csv") {
		rows = append(rows, countingRow{line: r.Line, cells: r.Cells, largest: largest})
	}
	return rows
}

func TestCountingReference(t *testing.T) {
	ran, withCounts := 0, 0
	rows := readCounting(t)
	for _, row := range rows {
		part, known := squareML[row.cells["chamber"]]
		if !known { // a volumetric subsample names its own volume
			part = row.number(t, "square_volume_mL")
		}
		if row.cells["square_volume_mL"] != "" && row.number(t, "square_volume_mL") != part {
			t.Errorf("line %d: our square holds %v mL, the table's %s", row.line, part, row.cells["square_volume_mL"])
		}
		dilution := row.number(t, "dilution_factor")
		density, err := CellsPerML(int(row.number(t, "cells_counted")), int(row.number(t, "squares")), part, dilution)
		if err != nil {
			t.Fatalf("line %d: %v", row.line, err)
		}
		row.compare(t, "cells_per_mL", density)
		if row.cells["counts_per_square"] != "" {
			compareCounts(t, row, part, dilution)
			withCounts++
		}
		ran++
	}
	if ran != 17 || withCounts != 10 {
		t.Errorf("ran %d rows of counting.csv, %d with counts, want 17 and 10 (none skipped)", ran, withCounts)
	}
	for column, off := range rows[0].largest {
		t.Logf("%s: largest relative difference %.2g", column, off)
	}
}

func compareCounts(t *testing.T, row countingRow, part, dilution float64) {
	t.Helper()
	var counted []int
	for _, word := range strings.Fields(row.cells["counts_per_square"]) {
		count, err := strconv.Atoi(word)
		if err != nil {
			t.Fatalf("line %d: %v", row.line, err)
		}
		counted = append(counted, count)
	}
	got, err := EstimatePerML(counted, part, dilution, 0.95)
	if err != nil {
		t.Fatalf("line %d: %v", row.line, err)
	}
	row.compare(t, "cells_per_mL", got.Estimate)
	row.compare(t, "mean_per_square", got.Spread.Mean)
	row.compare(t, "sd_per_square", got.Spread.SD)
	row.compare(t, "low_cells_per_mL", got.Poisson.Low)
	row.compare(t, "high_cells_per_mL", got.Poisson.High)
	if row.cells["cv_percent"] == "" { // nothing counted: absent here as well
		if got.Spread.HasCV || got.Spread.CVPercent != 0 {
			t.Errorf("line %d: a CV where nothing was counted: %+v", row.line, got.Spread)
		}
		return
	}
	row.compare(t, "cv_percent", got.Spread.CVPercent)
}
