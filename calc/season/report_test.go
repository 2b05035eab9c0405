package season

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/fixture"
	"spatsheet/protocols"
)

// versions are batches by two versions, with the given survivals in percent.
func versions(first, second []float64) []StageGroup {
	g := StageGroup{Species: "Patella vulgata", Label: "Egg to larva"}
	for i, list := range [][]float64{first, second} {
		for _, x := range list {
			g.Estimates = append(g.Estimates, StageEstimate{Stage: Stage{Protocol: fmt.Sprintf("p@1.%d.0", i), Survival: x / 100, HasSurvival: true}})
		}
	}
	return []StageGroup{g}
}

func TestComparisons(t *testing.T) {
	cases := []struct {
		name          string
		first, second []float64
		done          bool
		p             float64
		says          string
	}{
		{"three against three", []float64{10, 11, 12}, []float64{50, 60, 70}, false, 0, "smallest possible p is 0.1"},
		{"one against seven", []float64{10}, []float64{50, 51, 52, 53, 54, 55, 56}, false, 0, "not tested"},
		{"four against four", []float64{10, 11, 12, 13}, []float64{50, 60, 70, 80}, true, 2.0 / 70, ""},
		{"three against five", []float64{10, 11, 12}, []float64{50, 60, 70, 80, 90}, true, 2.0 / 56, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := comparisons(versions(c.first, c.second), nil)
			if len(got) != 1 {
				t.Fatalf("%d comparisons", len(got))
			}
			if got[0].Done != c.done || math.Abs(got[0].Result.PValue*boolFloat(c.done)-c.p) > 1e-12 || !strings.Contains(got[0].Says, c.says) {
				t.Errorf("got %+v", got[0])
			}
		})
	}
}

func boolFloat(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// TestHolm: 0.01, 0.04 and 0.03 of three become 0.03, 0.06 and 0.06, worked out by hand.
func TestHolm(t *testing.T) {
	list := make([]Comparison, 3)
	for i, p := range []float64{0.01, 0.04, 0.03} {
		list[i].Done, list[i].Result.PValue = true, p
	}
	holm(list)
	for i, want := range []float64{0.03, 0.06, 0.06} {
		if math.Abs(list[i].Adjusted-want) > 1e-12 {
			t.Errorf("%d: %g, want %g", i, list[i].Adjusted, want)
		}
	}
}

// TestIntervalsOnlyOfCounts: eggs and larvae counted one by one have Wilson's interval; the
// density of a volume has none.
func TestIntervalsOnlyOfCounts(t *testing.T) {
	r := ReportOf(Compile([]Batch{
		batch(t, "T-1", "Patella vulgata", "2026-02-14", 1000, 600, 2000, 30),
		batch(t, "T-2", "Patella vulgata", "2026-02-15", 500, 400, 2000, 30),
		batch(t, "T-3", "Patella vulgata", "2026-02-16", 100, -1, 2000, 30),
	}, nil), nil)
	hatch, settle := r.Stages[0], r.Stages[1]
	if !hatch.Counted || !hatch.Estimates[0].HasInterval || settle.Counted || settle.Estimates[0].HasInterval {
		t.Errorf("hatch counted %v, settle counted %v", hatch.Counted, settle.Counted)
	}
	// T-1 and T-2: (600 + 400) of (1000 + 500); T-3 has no count
	if hatch.Batches != 2 || math.Abs(hatch.Pooled-1000.0/1500) > 1e-12 || math.Abs(hatch.Median-0.7) > 1e-12 || hatch.Low != 0.6 || hatch.High != 0.8 {
		t.Errorf("got %+v", hatch)
	}
	// Wilson 95 % of 600 of 1000: 0.5693 to 0.6299, Newcombe's formula by hand
	if i := hatch.Estimates[0].Interval; math.Abs(i.Low-0.5693) > 1e-4 || math.Abs(i.High-0.6299) > 1e-4 {
		t.Errorf("interval %+v", i)
	}
}

func TestChangesAndDeviations(t *testing.T) {
	b := batch(t, "T-1", "Patella vulgata", "2026-02-14", 1000, 600, 2000, 30)
	for i := range b.Readings {
		b.Readings[i].Raw = fmt.Sprint(b.Readings[i].Number)
	}
	before := append([]calc.Reading(nil), b.Readings...)
	b.Readings[1].Number, b.Readings[1].Raw, b.Readings[1].Printed = 60, "60", "Larvae"
	b.Readings[2].State, b.Readings[2].Raw = calc.NotDone, "ND"
	got := Changes(before, b.Readings)
	if len(got) != 2 || got[0] != (Change{"Larvae", "600", "60"}) || got[1].Now != "ND" {
		t.Errorf("changes %+v", got)
	}
	b.Findings = []check.Finding{
		{Level: protocols.Error, Entry: "A", Says: "bad", Raw: "1"}, {Level: protocols.Error, Entry: "B", Says: "bad", Raw: "1"},
		{Level: protocols.Note, Entry: "C", Says: "nothing"},
	}
	correction := Correction{Batch: "T-1", Number: 2, At: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Reason: "misread"}
	d := ReportOf(Compile([]Batch{b, batch(t, "T-2", "Patella vulgata", "2026-02-15", 500, 400, 2000, 30)}, nil), []Correction{correction}).Deviations
	if d.Errors != 2 || d.Warnings != 0 || d.NotDone != 1 || d.WithoutAny != 1 || len(d.Corrections) != 1 {
		t.Errorf("got %+v", d)
	}
	if len(d.Standing) != 2 || fmt.Sprint(d.Standing[0].Entries) != "[A B]" || d.Standing[1].Level != "not done" {
		t.Errorf("standing %+v", d.Standing)
	}
}

// TestHandedApart: what is handed over of a stage's count out by more readings is told apart
// from it, once for all batches; the same number rounded, another unit and what no batch
// handed over are not.
func TestHandedApart(t *testing.T) {
	protocol := func(unit, formula string) string {
		return fixture.Taking + fmt.Sprintf("hands_over:\n  - {id: fit, label: Fit larvae, unit: %s, formula: %s}\n", unit, formula)
	}
	readings := map[calc.Key]any{"poured": 900, "left": 400}
	for name, c := range map[string]struct {
		protocol string
		readings map[calc.Key]any
		want     []Apart
	}{
		"a share of it": {protocol("larvae", "down(left * left / poured)"), readings,
			[]Apart{{"taking", "Fit larvae", "down(left * left / poured)", "Stay", "left"}}},
		"rounded":          {protocol("larvae", "nearest(left)"), readings, nil},
		"something else":   {protocol("larvae", "poured"), readings, nil},
		"another unit":     {protocol("\"%\"", "left / poured"), readings, nil},
		"nothing was left": {protocol("larvae", "down(left * left / poured)"), map[calc.Key]any{"poured": 900}, nil},
	} {
		var list []Batch
		for _, code := range []string{"TAKE-1", "TAKE-2"} {
			list = append(list, sheetOf(t, c.protocol, code, "02-14 00:00", "settings: {larvae_on_hand: 1000, plates_on_hand: 50, plates_wanted: 1}\n", c.readings))
		}
		if got := ReportOf(Compile(list, nil), nil).Apart; !slices.Equal(got, c.want) {
			t.Errorf("%s: got %+v; want %+v", name, got, c.want)
		}
	}
}

// TestDeviationsTellDatesAsRead: a day number that a workbook stores is told as a date where
// it was understood as one; all else, and the finding itself, letter for letter.
func TestDeviationsTellDatesAsRead(t *testing.T) {
	at := time.Date(2027, 2, 20, 7, 5, 0, 0, time.UTC)
	morning := calc.Reading{State: calc.Given, Raw: "46438.29513888889", Number: float64(at.Unix()), Text: "2027-02-20T07:05:00"}
	for name, c := range map[string]struct {
		key     calc.Key
		reading calc.Reading
		want    string
	}{
		"a time": {"counted_at", morning, "2027-02-20 07:05"},
		"with seconds": {"counted_at", calc.Reading{State: calc.Given, Raw: "46438.295",
			Number: float64(at.Unix() - 17), Text: "2027-02-20T07:04:48"}, "2027-02-20 07:04:48"},
		"a clock time typed": {"counted_at", calc.Reading{State: calc.Given, Raw: "7:05", Number: float64(at.Unix()), Text: morning.Text}, "2027-02-20 07:05"},
		"a day":              {"counted_on", calc.Reading{State: calc.Given, Raw: "46438", Number: float64(at.Unix()), Text: "2027-02-20"}, "2027-02-20"},
		"not understood":     {"counted_at", calc.Reading{State: calc.Unreadable, Raw: "46438.295"}, "46438.295"},
		"not done":           {"counted_at", calc.Reading{State: calc.NotDone, Raw: "ND"}, "ND"},
		"a count":            {"larvae", calc.Reading{State: calc.Given, Raw: "46438", Number: 46438}, "46438"},
		"a text":             {"dish.1.codes", calc.Reading{State: calc.Given, Raw: " 2027-02-20T07:05:00", Text: "2027-02-20T07:05:00"}, " 2027-02-20T07:05:00"},
		"no box":             {"", morning, "46438.29513888889"},
	} {
		protocol := strings.Replace(fixture.Giving, "kind: time}\n", "kind: time}\n      - {id: counted_on, label: Counted on, kind: date}\n", 1)
		b := sheetOf(t, protocol, "GIVE", "02-14 18:00", "settings: {dishes: 1}\n", nil)
		if i, ok := b.Sheet.BoxAt(c.key); ok {
			c.reading.Key = c.key
			b.Readings[i] = c.reading
		} else if c.key != "" {
			t.Fatalf("%s: no box %s", name, c.key)
		}
		b.Findings = []check.Finding{{Level: protocols.Warning, Key: c.key, Entry: "A", Says: "odd", Raw: c.reading.Raw}}
		standing := ReportOf(Compile([]Batch{b}, nil), nil).Deviations.Standing
		if len(standing) != 1 || standing[0].Written != c.want || standing[0].Level != "warning" {
			t.Errorf("%s: got %+v; want %q", name, standing, c.want)
		}
		if b.Findings[0].Raw != c.reading.Raw {
			t.Errorf("%s: the finding was changed to %q", name, b.Findings[0].Raw)
		}
	}
}

// A workbook that an office program saved anew, with nothing changed, has the same
// readings; a day or time that did change is told as a date.
func TestChangesOfReadings(t *testing.T) {
	const at = 1771108200 // 2026-02-14 22:30, in seconds since 1970
	night := calc.Reading{State: calc.Given, Raw: "46067.9375", Number: at, Text: "2026-02-14T22:30:00"}
	volume := calc.Reading{State: calc.Given, Raw: "0.30000000000000004", Number: 0.1 + 0.2, Unit: "L"}
	for name, c := range map[string]struct {
		was, now calc.Reading
		want     []Change
	}{
		"a time, fewer digits":   {night, calc.Reading{State: calc.Given, Raw: "46067.93750000001", Number: at, Text: night.Text}, nil},
		"a number, fewer digits": {volume, calc.Reading{State: calc.Given, Raw: "0.3", Number: 0.3, Unit: "L"}, nil},
		"the 11th digit": {volume, calc.Reading{State: calc.Given, Raw: "0.30000000003", Number: 0.30000000003,
			Unit: "L"}, []Change{{Was: volume.Raw, Now: "0.30000000003"}}},
		"another unit": {volume, calc.Reading{State: calc.Given, Raw: "0.3", Number: 0.3, Unit: "mL"}, []Change{{Was: volume.Raw, Now: "0.3"}}},
		"zero, then not": {calc.Reading{State: calc.Given, Raw: "0"},
			calc.Reading{State: calc.Given, Raw: "1e-20", Number: 1e-20}, []Change{{Was: "0", Now: "1e-20"}}},
		"a minute later": {night, calc.Reading{State: calc.Given, Raw: "46067.938194", Number: at + 60, Text: "2026-02-14T22:31:00"},
			[]Change{{Was: "2026-02-14T22:30:00", Now: "2026-02-14T22:31:00"}}},
		"a time, then none": {night, calc.Reading{State: calc.NotDone, Raw: "ND"}, []Change{{Was: "2026-02-14T22:30:00", Now: "ND"}}},
		"another text": {calc.Reading{State: calc.Given, Raw: "tank 3", Text: "tank 3"}, calc.Reading{State: calc.Given, Raw: "tank 4", Text: "tank 4"},
			[]Change{{Was: "tank 3", Now: "tank 4"}}},
		"typed, then a number": {calc.Reading{State: calc.Given, Raw: "0,3", Number: 0.3, Unit: "L"}, volume, []Change{{Was: "0,3", Now: volume.Raw}}},
		"typed, then a time": {calc.Reading{State: calc.Given, Raw: "22:30", Number: at, Text: night.Text}, night,
			[]Change{{Was: "22:30", Now: "2026-02-14T22:30:00"}}},
		"a number, then words": {volume, calc.Reading{State: calc.Unreadable, Raw: "little", Unit: "L"}, []Change{{Was: volume.Raw, Now: "little"}}},
	} {
		if got := Changes([]calc.Reading{c.was}, []calc.Reading{c.now}); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %+v; want %+v", name, got, c.want)
		}
	}
}

// sheetOf makes a batch from a protocol's text, the lines of its plan after the start and
// its readings; see fixture.PlanFor and fixture.Readings.
func sheetOf(t *testing.T, protocol, code, start, plan string, readings map[calc.Key]any) Batch {
	t.Helper()
	s := fixture.Sheet(t, protocol, fixture.PlanFor(protocol, code, start, plan))
	return Batch{Sheet: s, Revision: 1, Readings: fixture.Readings(t, s, readings)}
}
