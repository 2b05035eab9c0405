package stats

import "testing"

// readSurvivalData groups survival_data.csv by data set and arm.
func readSurvivalData(t *testing.T) map[string][]Observation {
	t.Helper()
	data, rows := map[string][]Observation{}, 0
	for _, row := range readReference(t, "survival_data.csv") {
		key := row.cells["dataset"] + "/" + row.cells["arm"]
		died := row.whole(t, "event") == 1
		data[key] = append(data[key], Observation{Time: row.number(t, "time"), Died: died, Number: 1})
		rows++
	}
	if rows != 65 {
		t.Errorf("read %d rows of survival_data.csv, want 65", rows)
	}
	return data
}

func TestKaplanMeierReference(t *testing.T) {
	kinds := map[string]LimitsKind{"plain": LimitsPlain, "log": LimitsLog, "log-log": LimitsLogLog, "": LimitsLogLog}
	data := readSurvivalData(t)
	ran, found := 0, agreement{}
	for _, row := range readReference(t, "survival.csv") {
		kind, known := kinds[row.cells["interval"]]
		if !known {
			t.Fatalf("line %d: unknown interval %q", row.line, row.cells["interval"])
		}
		confidence := 0.95
		if row.cells["confidence"] != "" {
			confidence = row.number(t, "confidence")
		}
		curve, err := KaplanMeier(data[row.cells["dataset"]+"/"+row.cells["arm"]], confidence, kind)
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		point, err := curve.At(row.number(t, "time"))
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		comparePoint(t, found, row, point)
		ran++
	}
	if ran != 112 {
		t.Errorf("ran %d rows of survival.csv, want 112 (none skipped)", ran)
	}
	found.report(t)
}

func comparePoint(t *testing.T, found agreement, row referenceRow, point SurvivalPoint) {
	t.Helper()
	factor := tolerance["survival"]
	if point.Time != row.number(t, "time") || point.AtRisk != row.whole(t, "at_risk") || point.Deaths != row.whole(t, "events") {
		t.Errorf("line %d: got %+v\n%s", row.line, point, row.origin())
	}
	found.compare(t, row, "survival", "survival", point.Survival, factor)
	if row.cells["standard_error"] == "" { // undefined at S = 0: absent here as well
		if point.HasLimits || point.StandardError != 0 || point.Low != 0 || point.High != 0 {
			t.Errorf("line %d: limits at survival 0: %+v\n%s", row.line, point, row.origin())
		}
		return
	}
	if !point.HasLimits {
		t.Fatalf("line %d: no limits\n%s", row.line, row.origin())
	}
	found.compare(t, row, "standard error", "standard_error", point.StandardError, factor)
	if row.cells["interval"] != "" {
		found.compare(t, row, row.cells["interval"]+" limits", "low", point.Low, factor)
		found.compare(t, row, row.cells["interval"]+" limits", "high", point.High, factor)
	}
}

func TestLogRankReference(t *testing.T) {
	data := readSurvivalData(t)
	arms := map[string][2]string{"gehan": {"6-MP", "control"}, "aml": {"Maintained", "Nonmaintained"}}
	ran, found, factor := 0, agreement{}, tolerance["log-rank"]
	for _, row := range readReference(t, "survival_logrank.csv") {
		dataset := row.cells["dataset"]
		var groups []SurvivalGroup
		for _, arm := range arms[dataset] {
			groups = append(groups, SurvivalGroup{Name: arm, Observations: data[dataset+"/"+arm]})
		}
		got, err := LogRank(groups)
		if err != nil {
			t.Fatalf("line %d: %v\n%s", row.line, err, row.origin())
		}
		for _, g := range got.Groups {
			if g.Name != row.cells["group"] {
				continue
			}
			if g.Observed != row.whole(t, "observed") || got.DegreesOfFreedom != 1 {
				t.Errorf("line %d: got %+v\n%s", row.line, g, row.origin())
			}
			found.compare(t, row, "expected", "expected", g.Expected, factor)
			found.compare(t, row, "variance", "variance", g.Variance, factor)
			found.compare(t, row, "chi-square", "chi_square", got.ChiSquare, factor)
			found.compare(t, row, "p value", "p_value", got.PValue, factor)
			ran++
		}
	}
	if ran != 4 {
		t.Errorf("ran %d rows of survival_logrank.csv, want 4 (none skipped)", ran)
	}
	found.report(t)
}
