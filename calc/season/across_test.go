package season

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/templates"
)

// giving leaves larvae and plates at a time that is written down, and spawns animals.
const giving = `protocol: giving
version: 1.0.0
title: Gives
stage: spawning
purpose: To give in tests.
applies_to: [Patella, Lottia]
sources: []
changes: [{version: 1.0.0, note: first release}]
tells: {spawning: {mothers: females, fathers: males, on: counted_at, animals: dish.codes}}
settings:
  - {id: dishes, label: Dishes, unit: "1", given_by: plan, range: [1, 9], whole: yes, source: site choice, example: 2}
amounts:
  - {id: all, label: All, unit: "1", formula: dishes}
steps:
  - id: put
    title: Put in
    at: 0 h
    do: Put in.
    entries:
      - {id: females, label: Females, kind: count, unit: animals, range: [0, 99]}
      - {id: males, label: Males, kind: count, unit: animals, range: [0, 99]}
    tables:
      - {id: dish, title: Dishes, row: Dish, count: dishes, columns: [{id: codes, label: Codes, kind: text}]}
  - id: count
    title: Count
    at: 24 h
    do: Count.
    entries:
      - {id: counted_at, label: Counted at, kind: time}
      - {id: larvae, label: Larvae, kind: count, unit: larvae, range: [0, 1e9]}
      - {id: plates, label: Plates, kind: count, unit: plates, range: [0, 1e9]}
hands_over:
  - {id: larvae_left, label: Larvae left, unit: larvae, formula: larvae}
  - {id: plates_left, label: Plates left, unit: plates, formula: plates}
`

// taking takes larvae, counted in, and plates, as planned by its limit.
const taking = `protocol: taking
version: 1.0.0
title: Takes
stage: settlement
purpose: To take in tests.
applies_to: [Patella, Lottia]
sources: []
changes: [{version: 1.0.0, note: first release}]
settings:
  - {id: larvae_on_hand, label: Larvae on hand, unit: larvae, given_by: plan, range: [0, 1e9], source: site choice, handed: larvae_left, example: 9}
  - {id: plates_on_hand, label: Plates on hand, unit: plates, given_by: plan, range: [0, 1e9], source: site choice, handed: plates_left, example: 9}
  - {id: plates_wanted, label: Plates wanted, unit: plates, given_by: plan, range: [0, 1e9], source: site choice, example: 1}
amounts:
  - {id: plates_taken, label: Plates, unit: plates, formula: plates_wanted}
limits:
  - {what: plates, needs: plates_taken, has: plates_on_hand}
steps:
  - id: pour
    title: Pour
    at: 2 h
    do: Pour.
    entries:
      - {id: poured_at, label: Poured at, kind: time}
      - {id: poured, label: Larvae poured, kind: count, unit: larvae, range: [0, 1e9]}
      - {id: film_lot, label: Film lot, kind: text}
      - {id: left, label: Larvae left, kind: count, unit: larvae, range: [0, 1e9]}
stages:
  - {id: stay, label: Stay, in: poured, in_unit: larvae, out: left, out_unit: larvae}
needs_ready:
  - {protocol: giving, by: pour, keeps: 10 d, why: in tests}
`

// sheetOf makes a batch from a protocol's text, the lines of its plan after the start and
// its readings: a number, a text, or a time of the year 2026 such as "02-14 18:00".
func sheetOf(t *testing.T, protocol, code, start, plan string, readings map[calc.Key]any) Batch {
	t.Helper()
	p, err := protocols.Load("p.yaml", []byte(protocol), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	read, err := calc.ReadPlan("plan.yaml", []byte(fmt.Sprintf("batch: %s\nprotocol: %s\nspecies: Patella vulgata\ndate: 2026-%s\nstart: %q\n%s", code, p.Ref(), start[:5], start[6:], plan)))
	if err != nil {
		t.Fatal(err)
	}
	s, err := calc.Scale(p, site, read)
	if err != nil {
		t.Fatal(err)
	}
	b := Batch{Sheet: s, Revision: 1}
	for _, box := range s.Boxes() {
		r := calc.Reading{Key: box.Key, State: calc.Blank}
		switch x := readings[box.Key].(type) {
		case int:
			r.State, r.Number = calc.Given, float64(x)
		case string:
			r.State, r.Text = calc.Given, x
			if box.Entry.Kind == protocols.KindTime {
				at, err := time.Parse("2006-01-02 15:04", "2026-"+x)
				if err != nil {
					t.Fatal(err)
				}
				r.Number = float64(at.Unix())
			}
		}
		b.Readings = append(b.Readings, r)
	}
	return b
}

// gave is a giving batch of 1000 larvae and 50 plates, counted at a time.
func gave(t *testing.T, code, start, countedAt, codes string) Batch {
	return sheetOf(t, giving, code, start, "settings: {dishes: 1}\n", map[calc.Key]any{
		"females": 3, "males": 3, "dish.1.codes": codes, "counted_at": countedAt, "larvae": 1000, "plates": 50})
}

// took is a batch that took larvae and plates of GIVE, revision 1, poured at a time.
func took(t *testing.T, code, pouredAt string, larvae, plates int, filmLot string) Batch {
	return sheetOf(t, taking, code, pouredAt[:5]+" 00:00", fmt.Sprintf(
		"parents:\n  - {batch: GIVE, revision: 1, gave: {larvae_on_hand: larvae_left, plates_on_hand: plates_left}}\nsettings: {larvae_on_hand: 1000, plates_on_hand: 50, plates_wanted: %d}\n", plates),
		map[calc.Key]any{"poured_at": pouredAt, "poured": larvae, "left": larvae / 2, "film_lot": filmLot})
}

func TestAcross(t *testing.T) {
	give := func() Batch { return gave(t, "GIVE", "02-01 18:00", "02-02 18:00", "A1, A2") }
	revised := give()
	revised.Revision = 2
	newer := sheetOf(t, strings.ReplaceAll(giving, "version: 1.0.0", "version: 1.1.0"), "GIVE", "02-01 18:00", "settings: {dishes: 1}\n", nil)
	circle := sheetOf(t, taking, "GIVE", "02-03 00:00", "parents: [{batch: TAKE, revision: 1}]\nsettings: {larvae_on_hand: 1, plates_on_hand: 1, plates_wanted: 1}\n", nil)
	cases := []struct {
		name    string
		batches []Batch
		want    string // batch, level and code of each finding
		says    string // what the first says, in part
	}{
		{"all is well", []Batch{give(), took(t, "TAKE", "02-03 08:00", 600, 20, "R1"), took(t, "TWO", "02-03 09:00", 400, 30, "R1")}, "", ""},
		{"a twentieth too many larvae", []Batch{give(), took(t, "TAKE", "02-03 08:00", 600, 20, ""), took(t, "TWO", "02-03 09:00", 450, 20, "")},
			"GIVE warning more-taken-than-left", "TAKE and TWO took 1050 larvae; it left 1000 larvae (Larvae left)"},
		{"twice the larvae", []Batch{give(), took(t, "TAKE", "02-03 08:00", 1000, 20, ""), took(t, "TWO", "02-03 09:00", 1000, 20, "")}, "GIVE error more-taken-than-left", "took 2000 larvae"},
		{"plates by what was planned, not by what was on hand", []Batch{give(), took(t, "TAKE", "02-03 08:00", 1, 40, ""), took(t, "TWO", "02-03 09:00", 1, 40, "")}, "GIVE error more-taken-than-left", "took 80 plates"},
		{"poured before they were counted", []Batch{give(), took(t, "TAKE", "02-02 17:00", 600, 20, "")}, "TAKE error used-before-ready", "2026-02-02 17:00, which was ready on 2026-02-02 18:00 only"},
		{"poured on the eleventh day", []Batch{give(), took(t, "TAKE", "02-13 08:00", 600, 20, "")}, "TAKE warning used-too-late", "11 days after it was ready; it keeps 10 days"},
		{"a film lot that is not ready", []Batch{give(), gave(t, "FILM", "02-02 18:00", "02-20 08:00", ""), took(t, "TAKE", "02-03 08:00", 600, 20, "FILM")}, "TAKE error used-before-ready", "it used FILM (Plates left)"},
		{"planned from a revision that was corrected since", []Batch{revised, took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "TAKE warning parent-revised", "revision 1 of GIVE, which is at revision 2 now"},
		{"a parent that is not collected", []Batch{took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "TAKE error parent-not-collected", "GIVE"},
		{"an animal put to spawn after two weeks", []Batch{give(), gave(t, "NEXT", "02-15 18:00", "02-16 18:00", "A2;a3")}, "NEXT warning spawned-again", "A2 of Patella vulgata put to spawn 14 days after GIVE, sooner than 28 d"},
		{"written in small letters", []Batch{give(), gave(t, "NEXT", "02-15 18:00", "02-16 18:00", "a1")}, "NEXT warning spawned-again", "a1"},
		{"an animal put to spawn after its rest", []Batch{give(), gave(t, "NEXT", "03-01 18:00", "03-02 18:00", "A2")}, "", ""},
		{"one code for two versions", []Batch{give(), newer}, "GIVE error two-protocols", "giving@1.0.0 and for one of giving@1.1.0"},
		{"its own ancestor", []Batch{circle, took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "GIVE error own-ancestor", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := Compile(c.batches, Across)
			var got []string
			for _, f := range s.Across {
				got = append(got, fmt.Sprintf("%s %s %s", f.Batch, f.Level, f.Code))
				if f.Says == "" || f.Remedy == "" {
					t.Errorf("%s says %q and advises %q", f.Code, f.Says, f.Remedy)
				}
			}
			if strings.Join(got, ", ") != c.want {
				t.Fatalf("got %q, want %q", got, c.want)
			}
			if len(s.Across) > 0 && !strings.Contains(s.Across[0].Says, c.says) {
				t.Errorf("it says %q, without %q", s.Across[0].Says, c.says)
			}
		})
	}
}

// TestShareOfPooledParents: a batch that started from two, its number set by hand, takes
// from each by what each left.
func TestShareOfPooledParents(t *testing.T) {
	one, two := gave(t, "ONE", "02-01 18:00", "02-02 18:00", ""), gave(t, "TWO", "02-01 18:00", "02-02 18:00", "")
	both := func(larvae int) Batch {
		return sheetOf(t, taking, "BOTH", "02-03 00:00", "parents: [{batch: ONE, revision: 1}, {batch: TWO, revision: 1}]\nsettings: {larvae_on_hand: 2000, plates_on_hand: 50, plates_wanted: 1}\n",
			map[calc.Key]any{"poured_at": "02-03 08:00", "poured": larvae, "left": 1})
	}
	if s := Compile([]Batch{one, two, both(2000)}, Across); len(s.Across) != 0 {
		t.Errorf("two parents left 2000 in all, and 2000 were taken: %+v", s.Across)
	}
	if s := Compile([]Batch{one, two, both(2400)}, Across); len(s.Across) != 2 {
		t.Errorf("2400 of 2000 must be told at both parents, got %+v", s.Across)
	}
}
