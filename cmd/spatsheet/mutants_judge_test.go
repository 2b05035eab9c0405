package main

import (
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// TestTheJudgeCatchesASilentChange plants faults into what comes back, and wants each told:
// without it nobody knows that the mutants can fail.
func TestTheJudgeCatchesASilentChange(t *testing.T) {
	s := mutantSubjects(t)[0]
	number := slices.IndexFunc(s.result.Readings, func(r calc.Reading) bool { return r.State == calc.Given && r.Number > 0 && r.Text == "" })
	r := s.result.Readings[number]
	cases := map[string]struct {
		change func(got *came)
		mutant mutant
		want   string
	}{
		"a number changed by a part in a million": {change: func(got *came) { got.readings[number].Number *= 1 + 1e-6 }, want: "SILENT"},
		"a blank made of a number":                {change: func(got *came) { got.readings[number] = calc.Reading{Key: r.Key, State: calc.Blank} }, want: "SILENT"},
		"a zero made of a number":                 {change: func(got *came) { got.readings[number].Number = 0 }, want: "SILENT"},
		"a change told at another box": {change: func(got *came) {
			got.readings[number].Number++
			got.findings = []check.Finding{{Code: "out-of-range", Key: "another", Sheet: "Start", Ref: "A1"}}
		}, want: "SILENT"},
		"a reading lost":            {change: func(got *came) { got.readings = got.readings[1:] }, want: "readings, want"},
		"another batch":             {change: func(got *came) { got.batch = "EX-9" }, want: "without a finding"},
		"nothing told that must be": {change: func(*came) {}, mutant: one(nil).telling("Start!B9"), want: "no finding names Start!B9"},
		"collected, to be refused":  {change: func(*came) {}, mutant: one(nil).refusing(), want: "should be refused"},
		"harmless, yet refused": {change: func(got *came) {
			got.refusal = mutantFile + ": no; try again"
		}, mutant: one(nil).good(), want: "yet refused"},
		"refused without naming the file": {change: func(got *came) { got.refusal = "no; try again" }, mutant: one(nil), want: "without its file"},
		"refused without a remedy":        {change: func(got *came) { got.refusal = mutantFile + ": no" }, mutant: one(nil), want: "without its file or a remedy"},
		"typed 5, read as 6, nothing told": {change: func(got *came) { got.readings[number].Number = 6 },
			mutant: mutant{typed: map[calc.Key]calc.Reading{r.Key: givenNumber(5)}}, want: "SILENT"},
		"harmless, changed, but told anyway": {change: func(got *came) {
			got.readings[number].Number++
			got.findings = []check.Finding{{Key: r.Key}}
		}, mutant: one(nil).good(), want: "was given"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			got := came{batch: s.sheet.Plan.Batch, readings: slices.Clone(s.result.Readings)}
			if _, complaint := judge(s, one(nil), got); complaint != "" {
				t.Fatalf("untouched, yet %s", complaint)
			}
			c.change(&got)
			if _, complaint := judge(s, c.mutant, got); !strings.Contains(complaint, c.want) {
				t.Errorf("got complaint %q, want %q", complaint, c.want)
			}
		})
	}
}
