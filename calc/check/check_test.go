package check

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/protocols"
)

// plan is a small spawning.
var plan = fixture.PlanOf("limpet-spawning@1.0.0").With("batch", "T-26-01").With("start", `"18:00"`).
	With("settings", "{females: 6, males: 4, eggs_expected: 5e5, spat_wanted: 5000, windows: 3, larval_days: 3, watch_hours: 4 h}")

func sheet(t testing.TB) *calc.Sheet {
	t.Helper()
	return fixture.ShippedSheet(t, plan)
}

func number(x float64) calc.Cell {
	return calc.Cell{Kind: calc.CellNumber, Number: x, Text: fmt.Sprint(x)}
}
func text(s string) calc.Cell   { return calc.Cell{Kind: calc.CellText, Text: s} }
func moment(s string) calc.Cell { return text(s) }

// good are readings of an invented batch without a fault.
var good = map[string][]any{ // by entry or table.column; the last value stands for later rows
	"set_up_at": {"2026-02-14 18:40"}, "water_temperature": {13.2}, "water_salinity": {34.0},
	"beaker_fill.codes": {"A1 A2 A3"}, "looks.time": {"2026-02-14 19:00", "2026-02-14 21:00", "2026-02-14 22:00", "2026-02-14 23:00"},
	"looks.females": {0, 2, 4}, "looks.males": {1, 2, 3}, "looks.by": {"TK"},
	"eggs_released_at": {"2026-02-14 21:00"}, "females_spawned": {4}, "egg_pool_used": {10},
	"egg_counts.sample": {1}, "egg_counts.counted": {48, 52, 50, 47, 53}, "eggs_counted": {5e5},
	"sperm_released_at": {"2026-02-15 06:00"}, "males_spawned": {3}, "sperm_cells": {200}, "sperm_squares": {5}, "sperm_dilution": {100},
	"sperm_motile": {85}, "sperm_density": {4e7}, "sperm_dose": {25.06},
	"sperm_added_at": {"2026-02-15 07:00"}, "sperm_added": {25}, "cleaved_regular": {90}, "cleaved_irregular": {5}, "uncleaved": {25},
	"fertilised_share": {79.2}, "rinsed_at": {"2026-02-15 07:40"}, "rinses_done": {3},
	"hatched_at": {"2026-02-16 06:10"}, "hatch_water": {60}, "hatch_counts.sample": {10}, "hatch_counts.counted": {51, 48, 50, 51},
	"larvae_hatched": {3e5}, "vessel_fill.filled": {60}, "changes.at": {"2026-02-17 08:00", "2026-02-18 08:00", "2026-02-19 08:00"},
	"changes.temperature": {13.4}, "changes.salinity": {34}, "changes.alive": {2.8e5, 2.5e5, 2.2e5}, "changes.by": {"TK"},
	"competent_seen": {20}, "competent_of": {30}, "larvae_on_hand": {2e5}, "pour_density": {50}, "film_lot": {"D1"}, "plates_used": {28},
	"stocked_at": {"2026-02-20 09:00"}, "stocking.poured": {1000}, "stocking.stocked": {50000}, "larvae_stocked": {50000},
	"counted_at": {"2026-02-27 09:00"}, "spat_counts.plate": {"P1"}, "spat_counts.area": {100}, "spat_counts.spat": {4, 5, 6},
	"spat_settled": {5040}, // 15 spat / 300 cm2 x 3600 cm2 x 28 plates
}

// filled lays the good readings into the sheet's boxes, then changes some of them.
func filled(t testing.TB, s *calc.Sheet, changes map[string]calc.Cell) *calc.Filled {
	t.Helper()
	f := &calc.Filled{Cells: map[calc.Key]calc.Cell{}, Amounts: map[string]calc.Cell{}, Parts: map[string][]calc.Cell{}, Repeats: map[string][]calc.Cell{}}
	for i, b := range s.Boxes() {
		name := string(b.Key)
		if b.Table != nil {
			name = b.Table.ID + "." + b.Entry.ID
		}
		cell := calc.Cell{}
		switch list := good[name]; {
		case strings.HasSuffix(name, ".checked"):
			cell = text("MO")
		case strings.HasPrefix(name, "sign."):
			cell = text("TK")
		case list != nil:
			switch v := list[min(max(b.Row, 1), len(list))-1].(type) {
			case string:
				cell = text(v)
			case int:
				cell = number(float64(v))
			case float64:
				cell = number(v)
			}
		}
		if c, ok := changes[string(b.Key)]; ok {
			cell = c
			delete(changes, string(b.Key))
		}
		cell.Sheet, cell.Ref = fmt.Sprintf("step %d", b.Step+1), fmt.Sprintf("B%d", i+1)
		f.Cells[b.Key] = cell
	}
	for name, cell := range changes {
		what, id, _ := strings.Cut(name, " ")
		cell.Sheet, cell.Ref = "step", "C3"
		switch what {
		case "repeat":
			f.Repeats[id] = []calc.Cell{cell}
		case "part":
			a, _ := s.Amount(id)
			f.Parts[id] = []calc.Cell{number(a.Parts[0].Value()), cell}
			f.Parts[id][0].Ref = "C2"
		default:
			continue
		}
		delete(changes, name)
	}
	for _, a := range s.Amounts {
		cell := number(a.Rounded.Value())
		if c, ok := changes["amount "+a.Definition.ID]; ok {
			cell = c
			delete(changes, "amount "+a.Definition.ID)
		}
		cell.Sheet, cell.Ref = "Working", "D1"
		f.Amounts[a.Definition.ID] = cell
	}
	if len(changes) > 0 {
		t.Fatalf("there is no box for %v", changes)
	}
	return f
}

// codes are findings in short: level, code and key.
func codes(findings []Finding) []string {
	var out []string
	for _, f := range findings {
		out = append(out, fmt.Sprintf("%s %s %s", f.Level, f.Code, f.Key))
	}
	return out
}

func TestAGoodSheetHasNoFindings(t *testing.T) {
	s := sheet(t)
	r := Sheet(s, filled(t, s, nil))
	if len(r.Findings) > 0 {
		t.Errorf("findings: %v", r.Findings)
	}
	if len(r.Readings) != len(s.Boxes()) {
		t.Errorf("%d readings for %d boxes", len(r.Readings), len(s.Boxes()))
	}
}

func TestEachFaultGivesItsFindings(t *testing.T) {
	cases := []struct {
		name    string
		changes map[string]calc.Cell
		want    []string
	}{
		{"locked amount changed", map[string]calc.Cell{"amount egg_pool": number(12)}, []string{"error amount-changed "}},
		{"locked amount made text", map[string]calc.Cell{"amount beakers": text("4")}, []string{"error amount-changed "}},
		{"repeated amount changed", map[string]calc.Cell{"repeat egg_pool": number(12)}, []string{"error amount-changed "}},
		{"repeated setting changed", map[string]calc.Cell{"repeat contact": number(60)}, []string{"error amount-changed "}},
		{"part changed", map[string]calc.Cell{"part spawning_water": number(12)}, []string{"error amount-changed "}},
		{"settled more than stocked", map[string]calc.Cell{"spat_counts.1.area": number(1),
			"spat_counts.2.area": number(1), "spat_counts.3.area": number(1), "spat_settled": number(504000)},
			[]string{"error settled-not-more-than-stocked spat_settled"}},
		{"missing", map[string]calc.Cell{"uncleaved": {}}, []string{"error missing uncleaved"}},
		{"missing in a table", map[string]calc.Cell{"changes.2.temperature": {}}, []string{"error missing changes.2.temperature"}},
		{"row left out in a partial table", map[string]calc.Cell{"changes.2.temperature": {}, "changes.2.alive": {},
			"changes.2.at": {}, "changes.2.salinity": {}, "changes.2.by": {}},
			[]string{"error missing changes.2.at", "error missing changes.2.temperature",
				"error missing changes.2.salinity", "error missing changes.2.alive", "error missing changes.2.by"}},
		{"work ended a row early", map[string]calc.Cell{"changes.3.temperature": {}, "changes.3.alive": {},
			"changes.3.at": {}, "changes.3.salinity": {}, "changes.3.by": {}}, nil},
		{"not done", map[string]calc.Cell{"sperm_motile": text("ND")}, []string{"warning required-not-done sperm_motile"}},
		{"text for a number", map[string]calc.Cell{"sperm_motile": text("about 80")}, []string{"error text-for-number sperm_motile"}},
		{"decimal comma", map[string]calc.Cell{"water_temperature": text("13,2")}, []string{"note number-as-text water_temperature"}},
		{"unit beside the number", map[string]calc.Cell{"hatch_water": text("60000 mL")}, []string{"note number-as-text hatch_water"}},
		{"unit of another kind", map[string]calc.Cell{"hatch_water": text("60 g")}, []string{"error text-for-number hatch_water"}},
		{"two readings of a comma", map[string]calc.Cell{"eggs_counted": text("500,000")}, []string{"error text-for-number eggs_counted"}},
		{"the same unit beside the number", map[string]calc.Cell{"hatch_water": text("60 L")}, nil},
		{"a date made of a text", map[string]calc.Cell{"film_lot": {Kind: calc.CellNumber, Number: 46085,
			Text: "46085", DateLike: true}}, []string{"error date-for-text film_lot"}},
		{"a percentage made of a text", map[string]calc.Cell{"film_lot": {Kind: calc.CellNumber, Number: 0.05,
			Text: "0.05", Percent: true}}, []string{"error date-for-text film_lot"}},
		{"digits as text", map[string]calc.Cell{"females_spawned": text("4")}, nil},
		{"half an animal", map[string]calc.Cell{"females_spawned": number(3.5)}, []string{"error not-whole females_spawned"}},
		{"a count below zero", map[string]calc.Cell{"rinses_done": number(-3)}, []string{"error below-zero rinses_done"}},
		{"a count below zero, typed as text", map[string]calc.Cell{"rinses_done": text("−2")}, []string{"error below-zero rinses_done"}},
		{"a count below zero that is not whole", map[string]calc.Cell{"rinses_done": number(-2.5)}, []string{"error below-zero rinses_done"}},
		{"out of range", map[string]calc.Cell{"water_temperature": number(55.4)}, []string{"warning out-of-range water_temperature"}},
		{"more females than there are", map[string]calc.Cell{"females_spawned": number(7)}, []string{"error females-spawned females_spawned"}},
		{"off plan", map[string]calc.Cell{"vessel_fill.1.filled": number(30)}, []string{"warning off-plan vessel_fill.1.filled"}},
		{"worked out wrongly", map[string]calc.Cell{"eggs_counted": number(5e8)}, []string{"error worked-out-differently eggs_counted"}},
		{"worked out a little off", map[string]calc.Cell{"eggs_counted": number(5.2e5)}, []string{"warning worked-out-differently eggs_counted"}},
		{"rounded by hand", map[string]calc.Cell{"fertilised_share": number(79)}, nil},
		{"larvae become more", map[string]calc.Cell{"changes.2.alive": number(2.9e5)}, []string{"warning rises changes.2.alive"}},
		{"larvae become many more", map[string]calc.Cell{"changes.2.alive": number(2.9e6)}, []string{"error rises changes.2.alive"}},
		{"count falls back", map[string]calc.Cell{"looks.3.females": number(1)}, []string{"error goes-back looks.3.females"}},
		{"not mixed", map[string]calc.Cell{"egg_counts.1.counted": number(10), "egg_counts.2.counted": number(90)}, []string{"warning spread egg_counts.5.counted"}},
		{"checked by the same person", map[string]calc.Cell{"sign.stock.checked": text("tk")}, []string{"error checked-by-self sign.stock.checked"}},
		{"not signed", map[string]calc.Cell{"sign.stock.checked": {}}, []string{"error missing sign.stock.checked"}},
		{"formula in an entry", map[string]calc.Cell{"rinses_done": {Kind: calc.CellNumber, Number: 3, Text: "3",
			Formula: "1+2"}}, []string{"error formula-in-entry rinses_done"}},
		{"made into a date", map[string]calc.Cell{"rinses_done": {Kind: calc.CellNumber, Number: 46024, Text: "46024",
			DateLike: true}}, []string{"error date-for-number rinses_done"}},
		{"made into a percentage", map[string]calc.Cell{"rinses_done": {Kind: calc.CellNumber, Number: 0.5,
			Text: "0.5", Percent: true}}, []string{"error percent-for-number rinses_done"}},
		{"percentage where one belongs", map[string]calc.Cell{"sperm_motile": {Kind: calc.CellNumber, Number: 0.85,
			Text: "0.85", Percent: true}}, []string{"note percent-format sperm_motile"}},
		{"error value", map[string]calc.Cell{"rinses_done": {Kind: calc.CellError, Text: "#DIV/0!"}}, []string{"error not-a-reading rinses_done"}},
		{"not a number", map[string]calc.Cell{"rinses_done": text("NaN")}, []string{"error text-for-number rinses_done"}},
		{"merged", map[string]calc.Cell{"rinses_done": {Kind: calc.CellNumber, Number: 3, Text: "3", Merged: true}}, []string{"error merged-cell rinses_done"}},
		{"not a date", map[string]calc.Cell{"rinsed_at": text("15/2/26 7:40")}, []string{"error not-a-date rinsed_at"}},
		{"last year's January", map[string]calc.Cell{"set_up_at": text("2025-02-14 18:40")}, []string{"warning far-from-batch set_up_at"}},
		{"rinsed before the sperm", map[string]calc.Cell{"rinsed_at": text("2026-02-15 06:40")}, []string{"error contact-kept rinsed_at"}},
		{"sperm three hours old", map[string]calc.Cell{"sperm_released_at": text("2026-02-15 04:00")}, []string{"warning sperm-in-time sperm_added_at"}},
	}
	s := sheet(t)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := Sheet(s, filled(t, s, c.changes))
			if got := codes(r.Findings); !slices.Equal(got, c.want) {
				t.Errorf("got  %q\nwant %q\n%+v", got, c.want, r.Findings)
			}
			for _, f := range r.Findings {
				if f.Says == "" || f.Remedy == "" || f.Entry == "" || f.Place() == "" {
					t.Errorf("a finding without words or place: %+v", f)
				}
			}
		})
	}
}

func TestBlankStepIsOneFinding(t *testing.T) {
	s := sheet(t)
	f := filled(t, s, nil)
	for _, b := range s.Boxes() {
		if b.Step == len(s.Steps)-1 {
			c := f.Cells[b.Key]
			f.Cells[b.Key] = calc.Cell{Sheet: c.Sheet, Ref: c.Ref}
		}
	}
	if got, want := codes(Sheet(s, f).Findings), []string{"error step-blank counted_at"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// onlyND blanks the boxes of a step or table but for ND in those that must be filled in;
// of a table that runs as far as the work goes only in its first row.
func onlyND(s *calc.Sheet, f *calc.Filled, in func(calc.Box) bool) {
	for _, b := range s.Boxes() {
		if !in(b) || strings.HasPrefix(string(b.Key), "sign.") {
			continue
		}
		cell := calc.Cell{}
		if b.Entry.Required && (b.Table == nil || !b.Table.Partial || b.Row == 1) {
			cell = text("ND")
		}
		cell.Sheet, cell.Ref = f.Cells[b.Key].Sheet, f.Cells[b.Key].Ref
		f.Cells[b.Key] = cell
	}
}

func TestNotDoneIsOneFinding(t *testing.T) {
	s := sheet(t)
	last := len(s.Steps) - 1
	inStep := func(step int) func(calc.Box) bool { return func(b calc.Box) bool { return b.Step == step } }
	inTable := func(id string) func(calc.Box) bool {
		return func(b calc.Box) bool { return b.Table != nil && b.Table.ID == id }
	}
	cases := []struct {
		name    string
		in      func(calc.Box) bool
		changes map[string]calc.Cell
		want    []string
	}{
		{"a step", inStep(last), nil, []string{"warning step-not-done counted_at"}},
		{"a step, not signed", inStep(last), map[string]calc.Cell{"sign.settlement.checked": {}},
			[]string{"warning step-not-done counted_at", "error missing sign.settlement.checked"}},
		{"a step but for one box", inStep(last), map[string]calc.Cell{"counted_at": text("2026-02-27 09:00")},
			[]string{"warning table-not-done spat_counts.1.plate", "warning required-not-done spat_settled"}},
		{"a table", inTable("egg_counts"), nil, []string{"warning table-not-done egg_counts.1.sample"}},
		{"a step that is a table as far as the work goes", inTable("changes"), nil, []string{"warning step-not-done changes.1.at"}},
		{"a table with a box left blank", inTable("hatch_counts"), map[string]calc.Cell{"hatch_counts.1.sample": {}},
			[]string{"error missing hatch_counts.1.sample"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f := filled(t, s, nil)
			onlyND(s, f, c.in)
			for key, cell := range c.changes {
				was := f.Cells[calc.Key(key)]
				cell.Sheet, cell.Ref = was.Sheet, was.Ref
				f.Cells[calc.Key(key)] = cell
			}
			r := Sheet(s, f)
			got := codes(r.Findings)
			if !slices.Equal(got[:min(len(got), len(c.want))], c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if c.changes == nil && len(got) != 1 {
				t.Errorf("got %q, want one finding", got)
			}
			for i, b := range s.Boxes() {
				if c.changes == nil && c.in(b) && f.Cells[b.Key].Text == "ND" && r.Readings[i].State != calc.NotDone {
					t.Errorf("%s was kept as %v, want not done", b.Key, r.Readings[i].State)
				}
			}
		})
	}
}

func TestBlankTableSaysWhereToWriteND(t *testing.T) {
	s := sheet(t)
	f := filled(t, s, nil)
	for _, b := range s.Boxes() {
		if b.Table != nil && b.Table.ID == "egg_counts" {
			f.Cells[b.Key] = calc.Cell{Sheet: f.Cells[b.Key].Sheet}
		}
	}
	found := Sheet(s, f).Findings
	if len(found) == 0 || found[0].Code != "table-blank" || !strings.Contains(found[0].Remedy, "each of its boxes with *") {
		t.Errorf("got %+v, want a blank table and its boxes with *", found)
	}
	if got := remedyBlank(&protocols.Table{Partial: true}); !strings.Contains(got, "first row") {
		t.Errorf("got %q, want the first row", got)
	}
}

func TestLostBoxIsAFinding(t *testing.T) {
	s := sheet(t)
	f := filled(t, s, nil)
	delete(f.Cells, "water_ph")
	f.Lost = []string{"water_ph"}
	if got, want := codes(Sheet(s, f).Findings), []string{"error box-lost water_ph"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestCheckingAltersNothing(t *testing.T) {
	s := sheet(t)
	f := filled(t, s, map[string]calc.Cell{"sperm_motile": text("about 80")})
	before := filled(t, s, map[string]calc.Cell{"sperm_motile": text("about 80")})
	first := Sheet(s, f)
	if !reflect.DeepEqual(f, before) {
		t.Error("checking changed what it was given")
	}
	if !reflect.DeepEqual(first, Sheet(s, f)) {
		t.Error("checking twice gives two answers")
	}
}

func TestReadNumber(t *testing.T) {
	cases := []struct {
		text string
		want float64
		unit string
		note int
	}{
		{"17", 17, "", 0}, {" 3.5 ", 3.5, "", 0}, {"3,5", 3.5, "", 1}, {"1 234", 1234, "", 1}, {"1 234 567,5", 1234567.5, "", 2},
		{"1,234.5", 1234.5, "", 1}, {"1.234,5", 1234.5, "", 2}, {"1,234,567", 1234567, "", 1}, {"1.234.567", 1234567, "", 1},
		{"0,125", 0.125, "", 1}, {"12,50", 12.5, "", 1}, {"1.2345", 1.2345, "", 0}, {"2.4e6", 2.4e6, "", 0}, {"2,4E6", 2.4e6, "", 1},
		{"−2", -2, "", 0}, {".5", 0.5, "", 0}, {"12 L", 12, "L", 0}, {"3,5mL", 3.5, "mL", 1}, {"1 200 mL", 1200, "mL", 1}, {"1'234", 1234, "", 1},
	}
	for _, c := range cases {
		got, err := readNumber(c.text)
		if err != nil || got.value != c.want || got.unit != c.unit || len(got.notes) != c.note {
			t.Errorf("%q: got %v %q %q, %v; want %v %q and %d notes", c.text, got.value, got.unit, got.notes, err, c.want, c.unit, c.note)
		}
	}
	for _, bad := range []string{"", "abc", "<5", "~40", "1,234", "12,345", "1.234", "12.345", "1 23", "1,2,3",
		"1.2.3", "1 2345", "3,5 6", "--3", "1e999", "Inf", "NaN", "1.234,567.8", "5-7", "12/3"} {
		if got, err := readNumber(bad); err == nil && got.unit == "" {
			t.Errorf("%q was read as %v", bad, got.value)
		}
	}
}

func TestClockTimes(t *testing.T) {
	planned := time.Date(2026, 2, 14, 23, 0, 0, 0, time.UTC)
	cases := []struct {
		name     string
		cell     calc.Cell
		date1904 bool
		want     string
	}{
		{"ISO text", moment("2026-02-15 01:30"), false, "2026-02-15T01:30:00"},
		{"clock before midnight", moment("22:30"), false, "2026-02-14T22:30:00"},
		{"clock after midnight", moment("01:30"), false, "2026-02-15T01:30:00"},
		{"serial, 1900", calc.Cell{Kind: calc.CellNumber, Number: 46067.9375, DateLike: true}, false, "2026-02-14T22:30:00"},
		{"serial, 1904", calc.Cell{Kind: calc.CellNumber, Number: 44605.9375, DateLike: true}, true, "2026-02-14T22:30:00"},
		{"serial clock", calc.Cell{Kind: calc.CellNumber, Number: 0.0625, DateLike: true}, false, "2026-02-15T01:30:00"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := readTime(c.cell, c.date1904, planned)
			if err != nil || got.Format("2006-01-02T15:04:05") != c.want {
				t.Errorf("got %v, %v; want %s", got, err, c.want)
			}
		})
	}
	for name, c := range map[string]calc.Cell{"plain number": number(46067),
		"too old": {Kind: calc.CellNumber, Number: 40, DateLike: true}, "words": text("at dawn")} {
		if got, err := readTime(c, false, planned); err == nil {
			t.Errorf("%s was read as %v", name, got)
		}
	}
	if _, err := readTime(text("22:30"), false, time.Time{}); err == nil {
		t.Error("a clock time was placed on a day without a planned time")
	}
}

func TestAnyCellIsAnswered(t *testing.T) {
	s := sheet(t)
	boxes := s.Boxes()
	rapid.Check(t, func(r *rapid.T) {
		f := filled(t, s, nil)
		for range 5 {
			b := boxes[rapid.IntRange(0, len(boxes)-1).Draw(r, "box")]
			f.Cells[b.Key] = calc.Cell{Sheet: "x", Ref: "A1", Kind: calc.CellKind(rapid.IntRange(0, 4).Draw(r, "kind")),
				Text: rapid.StringMatching(`[0-9 ,.eE+\-a-zA-Z:/%µ]{0,12}`).Draw(r, "text"), Number: rapid.Float64().Draw(r, "number"),
				DateLike: rapid.Bool().Draw(r, "date"), Percent: rapid.Bool().Draw(r, "percent")}
		}
		for _, reading := range Sheet(s, f).Readings {
			cell := f.Cells[reading.Key]
			if cell.Kind == calc.CellText && reading.Raw != cell.Text {
				r.Fatalf("%s: %q was kept as %q", reading.Key, cell.Text, reading.Raw)
			}
			if reading.State == calc.Unreadable && reading.Number != 0 && reading.Text != "" {
				r.Fatalf("%s: unreadable, yet it has a value", reading.Key)
			}
		}
	})
}

func TestWorst(t *testing.T) {
	r := Result{Findings: []Finding{{Level: protocols.Note}, {Level: protocols.Error}, {Level: protocols.Warning}}}
	if r.Worst() != protocols.Error || (Result{}).Worst() != "" {
		t.Errorf("got %q and %q", r.Worst(), (Result{}).Worst())
	}
}
