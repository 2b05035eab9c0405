package stats

import (
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/culture"
)

// readGrowthData gives ages and sizes of growth_data.csv by data set.
func readGrowthData(t *testing.T) map[string][2][]float64 {
	t.Helper()
	data, rows := map[string][2][]float64{}, 0
	for _, row := range readReference(t, "growth_data.csv") {
		series := data[row.cells["dataset"]]
		series[0] = append(series[0], row.number(t, "time"))
		series[1] = append(series[1], row.number(t, "size"))
		data[row.cells["dataset"]] = series
		rows++
	}
	if rows != 25 {
		t.Errorf("read %d rows of growth_data.csv, want 25", rows)
	}
	return data
}

// inputs reads "N0=20000.0; N1=160000.0; days=3", lists separated by spaces.
func (r referenceRow) inputs(t *testing.T) map[string][]float64 {
	t.Helper()
	found := map[string][]float64{}
	for _, part := range strings.Split(r.cells["inputs"], ";") {
		name, list, _ := strings.Cut(strings.TrimSpace(part), "=")
		for _, word := range strings.Fields(strings.TrimSuffix(list, "1/day")) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("line %d: %v", r.line, err)
			}
			found[name] = append(found[name], x)
		}
	}
	return found
}

func TestGrowthReference(t *testing.T) {
	data := readGrowthData(t)
	ran, found := 0, agreement{}
	for _, row := range readReference(t, "growth.csv") {
		switch row.cells["model"] {
		case "von_bertalanffy", "saturating_exponential":
			compareCurve(t, found, row, data[row.cells["dataset"]])
		case "exponential":
			found.compare(t, row, "rate", "value", exponentialValue(t, row), tolerance["rate"])
		case "exponential_regression":
			in := row.inputs(t)
			fit, err := FitExponential(in["days"], in["N"], row.number(t, "confidence"))
			if err != nil {
				t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
			}
			compareParameter(t, found, row, "regression", fit.RatePerDay, tolerance["rate"])
		default:
			t.Fatalf("line %d: unknown model %q", row.line, row.cells["model"])
		}
		ran++
	}
	if ran != 28 {
		t.Errorf("ran %d rows of growth.csv, want 28 (none skipped)", ran)
	}
	found.report(t)
}

func compareCurve(t *testing.T, found agreement, row referenceRow, series [2][]float64) {
	t.Helper()
	fitter := FitVonBertalanffy
	if row.cells["model"] == "saturating_exponential" {
		fitter = FitVonBertalanffyFromZero
	}
	fit, err := fitter(series[0], series[1], 0.95)
	if err != nil {
		t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
	}
	switch parameter := row.cells["parameter"]; parameter {
	case "residual_sum_of_squares":
		found.compare(t, row, parameter, "value", fit.ResidualSquares, tolerance["growth estimate"])
	case "Linf", "A":
		compareParameter(t, found, row, parameter, fit.LargestLength, tolerance["growth estimate"])
	case "k":
		compareParameter(t, found, row, parameter, fit.Rate, tolerance["growth estimate"])
	case "t0":
		compareParameter(t, found, row, parameter, fit.AgeAtZero, tolerance["growth estimate"])
	default:
		t.Fatalf("line %d: unknown parameter %q", row.line, parameter)
	}
}

func compareParameter(t *testing.T, found agreement, row referenceRow, name string, got Parameter, factor float64) {
	t.Helper()
	for column, value := range map[string]float64{"value": got.Estimate, "standard_error": got.StandardError, "low": got.Low, "high": got.High} {
		if row.cells[column] != "" {
			allowed := factor
			if column != "value" {
				allowed = tolerance["growth limits"]
			}
			found.compare(t, row, name+" "+column, column, value, allowed)
		}
	}
}

// exponentialValue runs the rows of two counts through calc/culture, where that arithmetic
// lives, so that every row of the table runs in one place.
func exponentialValue(t *testing.T, row referenceRow) float64 {
	t.Helper()
	in := row.inputs(t)
	value, err := 0.0, error(nil)
	if row.cells["parameter"] == "days_to_target" {
		value, err = culture.DaysToGrow(in["target"][0]/in["N0"][0], in["mu"][0], 0)
	} else {
		value, err = culture.SpecificGrowthRate(in["N0"][0], in["N1"][0], in["days"][0])
	}
	if err != nil {
		t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
	}
	switch row.cells["parameter"] {
	case "mu", "days_to_target":
	case "doubling_time":
		value, err = culture.DoublingDays(value)
	case "doublings_per_day":
		value, err = culture.DivisionsPerDay(value)
	default:
		t.Fatalf("line %d: unknown parameter %q", row.line, row.cells["parameter"])
	}
	if err != nil {
		t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
	}
	return value
}
