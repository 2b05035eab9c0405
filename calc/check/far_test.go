package check

import (
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/protocols"
)

// TestADateFarFromItsStep: the batch starts on 2026-02-14 at 18:00, is stocked on the 18th
// and counted on the 25th at 06:00.
func TestADateFarFromItsStep(t *testing.T) {
	cases := []struct {
		name, key, typed string
		says             string // empty: no finding
	}{
		{"a month early", "stocked_at", "2026-01-20 09:00",
			"2026-01-20 09:00 is far from step 9, Stock the settlement tanks, which was printed for 2026-02-18 06:00"},
		{"stocked before the spawning", "stocked_at", "2026-02-13 09:00", "2026-02-13 09:00 is far from step 9"},
		{"a month late", "counted_at", "2026-03-27 09:00", "which was printed for 2026-02-25 06:00"},
		{"a month late by 28 days", "counted_at", "2026-03-25 06:00", "2026-03-25 06:00 is far from step 10"},
		{"set up two days before the start", "set_up_at", "2026-02-12 17:00", "2026-02-12 17:00 is far from step 1"},
		{"a step that is repeated", "changes.3.at", "2026-03-19 08:00", "which was printed for 2026-02-17 06:00"},
		{"with seconds", "counted_at", "2026-03-27 09:00:20", "2026-03-27 09:00:20 is far"},
		{"ten days late", "counted_at", "2026-03-07 06:00", ""},
		{"a day early", "counted_at", "2026-02-24 06:00", ""},
		{"three days early, on the hour", "counted_at", "2026-02-22 06:00", ""},
		{"the evening before", "set_up_at", "2026-02-13 18:40", ""},
	}
	s := sheet(t)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			found := Sheet(s, filled(t, s, map[string]calc.Cell{c.key: text(c.typed)})).Findings
			i := slices.IndexFunc(found, func(f Finding) bool { return f.Code == "far-from-step" })
			switch {
			case c.says == "" && i >= 0:
				t.Errorf("got %+v, want nothing of the date", found[i])
			case c.says != "" && (i < 0 || !strings.Contains(found[i].Says, c.says) || string(found[i].Key) != c.key || found[i].Level != protocols.Warning):
				t.Errorf("got %+v, want a warning at %s that says %q", found, c.key, c.says)
			case c.says != "" && (!strings.Contains(found[i].Remedy, "month and the day") || strings.Contains(found[i].Says, "6T")):
				t.Errorf("got %+v, want a date without T and what to look at", found[i])
			}
		})
	}
}

func TestFarFromTheBatchIsToldOnce(t *testing.T) {
	s := sheet(t)
	found := Sheet(s, filled(t, s, map[string]calc.Cell{"set_up_at": text("2025-02-14 18:40")})).Findings
	if len(found) != 1 || found[0].Code != "far-from-batch" || found[0].Says != "2025-02-14 18:40 is far from the batch's start, 2026-02-14" {
		t.Errorf("got %+v", found)
	}
}

// dated has dates of several kinds: of a step without a time, of one with rows by no rule,
// at any time, and of what was done before or will be done after its step.
var dated = fixture.Protocol("dated", `settings:
  - {id: days, label: Days, unit: d, given_by: plan, range: [1, 900], whole: yes, source: site choice, example: 300 d}
  - {id: looks, label: Looks, unit: "1", default: 4, range: [1, 9], whole: yes, source: site choice}
amounts:
  - {id: all, label: All, unit: "1", formula: looks}
steps:
  - id: begin
    title: Begin
    at: 0 h
    do: Begin.
    entries:
      - {id: bought_on, label: Bought on, kind: date, example: hour * -200}
      - {id: permit, label: Permit, kind: date, any_time: yes}
      - {id: ends_on, label: Ends on, kind: date, example: days}
      - {id: seen_at, label: Seen at, kind: time, example: last(table.at) }
  - id: sometime
    title: Some time
    do: Whenever.
    entries:
      - {id: some_day, label: Day, kind: date}
  - id: look
    title: Look
    at: 24 h
    do: Look.
    tables:
      - {id: table, title: Looks, row: Look, count: looks, columns: [{id: at, label: At, kind: time}]}
  - id: again
    title: Again
    at: 48 h
    every: 7 d
    until: end
    do: Look again.
    entries:
      - {id: first_on, label: First on, kind: date}
    tables:
      - {id: weekly, title: Weeks, row: Week, count: looks, columns: [{id: on, label: On, kind: date}]}
  - id: end
    title: End
    at: days
    do: End.
    entries:
      - {id: ended_on, label: Ended on, kind: date}
  - id: after
    title: After
    at: days + day
    do: Look after.
    tables:
      - {id: rest, title: Rest, row: Look, count: looks, columns: [{id: at, label: At, kind: time}]}
`)

func TestTimeLimits(t *testing.T) {
	s := fixture.Sheet(t, dated, fixture.PlanOf("dated@1.0.0").With("date", "2026-03-01").With("settings", "{days: 300}"))
	const none = "0001-01-01 00:00"
	for key, want := range map[calc.Key]string{
		"bought_on":   "2026-01-27 00:00 to 2026-03-11 09:00", // 25 d before the example, 10 d after the step
		"permit":      none + " to " + none,
		"ends_on":     "2026-02-28 00:00 to 2027-01-10 09:00", // 300 d and 5 % of them
		"seen_at":     none + " to " + none,                   // its example asks for a reading
		"some_day":    none + " to " + none,
		"table.1.at":  "2026-02-28 09:00 to 2026-03-13 09:00", // until the next step, and 10 d
		"first_on":    "2026-02-28 00:00 to 2026-04-03 09:00",
		"weekly.4.on": "2026-02-28 00:00 to 2026-04-03 09:00", // four weeks from 03-03: 03-24, and 10 d
		"ended_on":    "2026-12-11 00:00 to 2027-01-10 09:00",
		"rest.2.at":   "2026-12-12 07:48 to " + none, // no step after it
	} {
		i, ok := s.BoxAt(key)
		if !ok {
			t.Fatalf("there is no box %s", key)
		}
		earliest, latest := TimeLimits(s, s.Boxes()[i])
		if got := earliest.Format("2006-01-02 15:04") + " to " + latest.Format("2006-01-02 15:04"); got != want {
			t.Errorf("%s: got %s, want %s", key, got, want)
		}
	}
}
