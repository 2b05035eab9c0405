package check

import (
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
)

// hanging has times that hang on settings and on earlier steps.
var hanging = fixture.Protocol("hanging", `settings:
  - {id: contact, label: Contact, unit: min, given_by: plan, range: [5, 1440], source: site choice, example: 30 min}
amounts:
  - {id: all, label: All, unit: min, formula: contact}
steps:
  - id: sperm-in
    title: Add the sperm
    at: 13 h
    done_at: sperm_added_at
    do: Add.
    entries: [{id: sperm_added_at, label: Sperm added at, kind: time}]
  - id: rinse
    title: Rinse
    at: time.sperm_in + contact
    done_at: rinsed_at
    do: Rinse.
    entries: [{id: rinsed_at, label: Rinsed at, kind: time}]
  - id: count
    title: Count
    at: time.rinse + day * 30
    do: Count.
    entries: [{id: counted_at, label: Counted at, kind: time}]
`)

func hangingSheet(t *testing.T, contact string) *calc.Sheet {
	t.Helper()
	return fixture.Sheet(t, hanging, fixture.PlanOf("hanging@1.0.0").With("start", `"18:00"`).With("settings", "{contact: "+contact+"}"))
}

func TestStepTimesFollowSettings(t *testing.T) {
	for contact, want := range map[string]string{"30 min": "2026-02-15 07:30", "24 h": "2026-02-16 07:00"} {
		s := hangingSheet(t, contact)
		if got := s.Steps[1].Time.Format("2006-01-02 15:04"); got != want {
			t.Errorf("contact %s: rinse at %s, want %s", contact, got, want)
		}
		if got, want := s.Steps[2].Time, s.Steps[1].Time.AddDate(0, 0, 30); !got.Equal(want) {
			t.Errorf("contact %s: count at %v, want %v", contact, got, want)
		}
	}
}

// TestStepTimesFollowWhatIsWritten: the sperm went in twelve days late, so that the rinse is
// due then too, and is not told; one by the printed time is told to be before the sperm.
func TestStepTimesFollowWhatIsWritten(t *testing.T) {
	s := hangingSheet(t, "30 min")
	check := func(rinsed, counted string) []Finding {
		return Sheet(s, filled(t, s, map[string]calc.Cell{"sperm_added_at": text("2026-02-24 07:00"),
			"rinsed_at": text(rinsed), "counted_at": text(counted)})).Findings
	}
	if found := check("2026-02-24 07:40", "2026-04-03 09:00"); len(found) != 0 {
		t.Errorf("got %+v, want nothing", found)
	}
	found := check("2026-02-15 07:30", "2026-05-01 09:00")
	for _, want := range []struct{ key, code, says string }{
		{"rinsed_at", "before-its-step", "2026-02-15 07:30 is before 2026-02-24 07:00 of step 1, Add the sperm"},
		{"rinsed_at", "far-from-step", "2026-02-15 07:30 is far from step 2, Rinse, which was due, by what is written of earlier steps, 2026-02-24 07:30"},
		{"counted_at", "far-from-step", "which was due, by what is written of earlier steps, 2026-03-17 07:30"},
	} {
		ok := false
		for _, f := range found {
			ok = ok || string(f.Key) == want.key && f.Code == want.code && strings.Contains(f.Says, want.says)
		}
		if !ok {
			t.Errorf("got %+v, want %s at %s that says %q", found, want.code, want.key, want.says)
		}
	}
}

func TestAsDone(t *testing.T) {
	s := hangingSheet(t, "30 min")
	if s.AsDone(nil) != s {
		t.Error("without a time it is another sheet")
	}
	at := time.Date(2026, 2, 15, 9, 0, 0, 0, time.UTC)
	moved := s.AsDone(map[string]time.Time{"sperm-in": at})
	if got, want := moved.Steps[1].Time, at.Add(30*time.Minute); !got.Equal(want) || moved.Steps[0].Time != s.Steps[0].Time {
		t.Errorf("rinse at %v, want %v; the step itself at %v", got, want, moved.Steps[0].Time)
	}
	if s.Steps[1].Time.Equal(moved.Steps[1].Time) {
		t.Error("the sheet itself was changed")
	}
}

func TestStepTimeFaults(t *testing.T) {
	for name, c := range map[string]struct{ from, to, want string }{
		"on itself":        {"at: time.sperm_in + contact", "at: time.rinse + contact", "time.rinse is not known here; a step's time hangs on steps before it"},
		"on a later one":   {"at: 13 h", "at: time.count + contact", "time.count is not known here"},
		"on no step":       {"time.sperm_in +", "time.sperm +", `unknown name "time.sperm"; did you mean "time.sperm_in"?`},
		"done at no entry": {"done_at: rinsed_at", "done_at: rinse_at", `"rinse_at" is none`},
		"done at words":    {"label: Rinsed at, kind: time", "label: Rinsed at, kind: text", `"rinsed_at" is none`},
	} {
		_, err := protocols.Load("hanging.yaml", []byte(strings.Replace(hanging, c.from, c.to, 1)), functions.All())
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
}
