package stats

import "testing"

func TestIntervalsReference(t *testing.T) {
	methods := map[string]func(successes, trials int, confidence float64) (Interval, error){
		"wilson":          ShareWilson1927,
		"clopper-pearson": ShareClopperPearson1934,
		"garwood": func(count, _ int, confidence float64) (Interval, error) {
			return PoissonMeanGarwood1936(count, confidence)
		},
	}
	ran, found := 0, agreement{}
	for _, row := range readReference(t, "intervals.csv") {
		kind := row.cells["interval"]
		method, known := methods[kind]
		if !known {
			t.Fatalf("line %d: unknown interval %q", row.line, kind)
		}
		trials := 0
		if kind != "garwood" {
			trials = row.whole(t, "trials")
		}
		got, err := method(row.whole(t, "count"), trials, row.number(t, "confidence"))
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		found.compare(t, row, kind, "low", got.Low, tolerance["interval"])
		found.compare(t, row, kind, "high", got.High, tolerance["interval"])
		ran++
	}
	if ran != 61 {
		t.Errorf("ran %d rows of intervals.csv, want 61 (none skipped)", ran)
	}
	found.report(t)
}
