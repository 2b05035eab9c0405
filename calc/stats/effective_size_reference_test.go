package stats

import "testing"

func TestEffectiveSizeReference(t *testing.T) {
	ran, found := 0, agreement{}
	for _, row := range readReference(t, "effective_size.csv") {
		size, err := EffectiveSize(row.whole(t, "males"), row.whole(t, "females"))
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		inbreeding, err := InbreedingPerGeneration(size)
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		found.compare(t, row, "effective size", "Ne", size, tolerance["effective size"])
		found.compare(t, row, "inbreeding", "inbreeding_per_generation", inbreeding, tolerance["inbreeding"])
		ran++
	}
	if ran != 6 {
		t.Errorf("ran %d rows of effective_size.csv, want 6 (none skipped)", ran)
	}
	found.report(t)
}
