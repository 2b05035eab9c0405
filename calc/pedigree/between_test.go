package pedigree

import (
	"fmt"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/calc/season"
)

// sheetOf makes a batch from a protocol's text, the lines of its plan after the start and
// its readings; see fixture.PlanFor and fixture.Readings.
func sheetOf(t *testing.T, protocol, code, start, plan string, readings map[calc.Key]any) season.Batch {
	t.Helper()
	s := fixture.Sheet(t, protocol, fixture.PlanFor(protocol, code, start, plan))
	return season.Batch{Sheet: s, Revision: 1, Readings: fixture.Readings(t, s, readings)}
}

// gave is a giving batch of 1000 larvae and 50 plates, counted at a time.
func gave(t *testing.T, code, start, countedAt, codes string) season.Batch {
	return sheetOf(t, fixture.Giving, code, start, "settings: {dishes: 1}\n", map[calc.Key]any{
		"females": 3, "males": 3, "dish.1.codes": codes, "counted_at": countedAt, "larvae": 1000, "plates": 50})
}

// took is a batch that took larvae and plates of GIVE, revision 1, poured at a time.
func took(t *testing.T, code, pouredAt string, larvae, plates int, filmLot string) season.Batch {
	return sheetOf(t, fixture.Taking, code, pouredAt[:5]+" 00:00", fmt.Sprintf(
		"parents:\n  - {batch: GIVE, revision: 1, gave: {larvae_on_hand: larvae_left, plates_on_hand: plates_left}}\n"+
			"settings: {larvae_on_hand: 1000, plates_on_hand: 50, plates_wanted: %d}\n", plates),
		map[calc.Key]any{"poured_at": pouredAt, "poured": larvae, "left": larvae / 2, "film_lot": filmLot})
}

func TestAcross(t *testing.T) {
	give := func() season.Batch { return gave(t, "GIVE", "02-01 18:00", "02-02 18:00", "A1, A2") }
	revised := give()
	revised.Revision = 2
	newer := sheetOf(t, strings.ReplaceAll(fixture.Giving, "version: 1.0.0", "version: 1.1.0"), "GIVE", "02-01 18:00", "settings: {dishes: 1}\n", nil)
	circle := sheetOf(t, fixture.Taking, "GIVE", "02-03 00:00",
		"parents: [{batch: TAKE, revision: 1}]\nsettings: {larvae_on_hand: 1, plates_on_hand: 1, plates_wanted: 1}\n", nil)
	cases := []struct {
		name    string
		batches []season.Batch
		want    string // batch, level and code of each finding
		says    string // what the first says, in part
	}{
		{"all is well", []season.Batch{give(), took(t, "TAKE", "02-03 08:00", 600, 20, "R1"), took(t, "TWO", "02-03 09:00", 400, 30, "R1")}, "", ""},
		{"a twentieth too many larvae", []season.Batch{give(), took(t, "TAKE", "02-03 08:00", 600, 20, ""), took(t, "TWO", "02-03 09:00", 450, 20, "")},
			"GIVE warning more-taken-than-left", "TAKE and TWO took 1050 larvae; it left 1000 larvae (Larvae left)"},
		{"twice the larvae", []season.Batch{give(), took(t, "TAKE", "02-03 08:00", 1000, 20, ""),
			took(t, "TWO", "02-03 09:00", 1000, 20, "")}, "GIVE error more-taken-than-left", "took 2000 larvae"},
		{"plates by what was planned, not by what was on hand",
			[]season.Batch{give(), took(t, "TAKE", "02-03 08:00", 1, 40, ""),
				took(t, "TWO", "02-03 09:00", 1, 40, "")}, "GIVE error more-taken-than-left", "took 80 plates"},
		{"poured before they were counted", []season.Batch{give(), took(t, "TAKE", "02-02 17:00", 600, 20, "")},
			"TAKE error used-before-ready", "2026-02-02 17:00, which was ready on 2026-02-02 18:00 only"},
		{"poured on the eleventh day", []season.Batch{give(), took(t, "TAKE", "02-13 08:00", 600, 20, "")},
			"TAKE warning used-too-late", "11 days after it was ready; it keeps 10 days"},
		{"a film lot that is not ready", []season.Batch{give(), gave(t, "FILM", "02-02 18:00", "02-20 08:00", ""),
			took(t, "TAKE", "02-03 08:00", 600, 20, "FILM")}, "TAKE error used-before-ready", "it used FILM (Plates left)"},
		{"planned from a revision that was corrected since",
			[]season.Batch{revised, took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "TAKE warning parent-revised",
			"revision 1 of GIVE, which is at revision 2 now"},
		{"a parent that is not collected", []season.Batch{took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "TAKE error parent-not-collected", "GIVE"},
		{"an animal put to spawn after two weeks",
			[]season.Batch{give(), gave(t, "NEXT", "02-15 18:00", "02-16 18:00", "A2;a3")},
			"NEXT warning spawned-again", "A2 of Patella vulgata put to spawn 14 days after GIVE, sooner than 28 d"},
		{"written in small letters", []season.Batch{give(), gave(t, "NEXT", "02-15 18:00", "02-16 18:00", "a1")}, "NEXT warning spawned-again", "a1"},
		{"an animal put to spawn after its rest", []season.Batch{give(), gave(t, "NEXT", "03-01 18:00", "03-02 18:00", "A2")}, "", ""},
		{"one code for two versions", []season.Batch{give(), newer}, "GIVE error two-protocols", "giving@1.0.0 and for one of giving@1.1.0"},
		{"its own ancestor", []season.Batch{circle, took(t, "TAKE", "02-03 08:00", 600, 20, "")}, "GIVE error own-ancestor", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := season.Compile(c.batches, Across)
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
	both := func(larvae int) season.Batch {
		return sheetOf(t, fixture.Taking, "BOTH", "02-03 00:00",
			"parents: [{batch: ONE, revision: 1}, {batch: TWO, revision: 1}]\n"+
				"settings: {larvae_on_hand: 2000, plates_on_hand: 50, plates_wanted: 1}\n",
			map[calc.Key]any{"poured_at": "02-03 08:00", "poured": larvae, "left": 1})
	}
	if s := season.Compile([]season.Batch{one, two, both(2000)}, Across); len(s.Across) != 0 {
		t.Errorf("two parents left 2000 in all, and 2000 were taken: %+v", s.Across)
	}
	if s := season.Compile([]season.Batch{one, two, both(2400)}, Across); len(s.Across) != 2 {
		t.Errorf("2400 of 2000 must be told at both parents, got %+v", s.Across)
	}
}
