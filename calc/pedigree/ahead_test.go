package pedigree

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc/fixture"
	"spatsheet/calc/season"
)

// TestAhead: what is wrong with a plan is told before anything is poured.
func TestAhead(t *testing.T) {
	give := gave(t, "GIVE", "02-01 18:00", "02-02 18:00", "A1")
	first := took(t, "TAKE", "02-03 08:00", 600, 20, "")
	planned := func(start string, plates int) season.Batch {
		return sheetOf(t, fixture.Taking, "NEXT", start,
			fmt.Sprintf("parents: [{batch: GIVE, revision: 1, gave: {larvae_on_hand: larvae_left, plates_on_hand: plates_left}}]\n"+
				"settings: {larvae_on_hand: 400, plates_on_hand: 50, plates_wanted: %d}\n", plates), nil)
	}
	cases := []struct {
		name      string
		collected []season.Batch
		planned   season.Batch
		want      string
	}{
		{"all is well", []season.Batch{give, first}, planned("02-03 00:00", 30), ""},
		{"before the parent's larvae were counted", []season.Batch{give}, planned("01-20 00:00", 20), "NEXT error used-before-ready, NEXT warning parent-later"},
		{"after they have gone off", []season.Batch{give}, planned("02-20 00:00", 20), "NEXT warning used-too-late"},
		{"more plates than the first left", []season.Batch{give, first}, planned("02-03 00:00", 40), "GIVE error more-taken-than-left"},
		{"planned again in place of the first", []season.Batch{give, first, planned("02-03 00:00", 30)}, planned("02-03 00:00", 30), ""},
		{"what is wrong with others is not its affair", []season.Batch{give, took(t, "TAKE", "02-13 08:00", 600, 20, "")}, planned("02-03 00:00", 20), ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, f := range Ahead(c.collected, c.planned.Sheet) {
				got = append(got, fmt.Sprintf("%s %s %s", f.Batch, f.Level, f.Code))
			}
			if strings.Join(got, ", ") != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestTakenFrom(t *testing.T) {
	give := gave(t, "GIVE", "02-01 18:00", "02-02 18:00", "")
	l, err := Trace(season.Compile([]season.Batch{give, took(t, "TAKE", "02-03 08:00", 600, 20, ""), took(t, "TWO", "02-03 09:00", 300, 10, "")}, Across))
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		batch, id, leaveOut string
		number              float64
		by                  []string
	}{
		{"GIVE", "larvae_left", "", 900, []string{"TAKE", "TWO"}},
		{"GIVE", "larvae_left", "TWO", 600, []string{"TAKE"}},
		{"GIVE", "plates_left", "", 30, []string{"TAKE", "TWO"}},
		{"TAKE", "larvae_left", "", 0, nil},
		{"NONE", "larvae_left", "", 0, nil},
	}
	for _, c := range cases {
		if got := l.TakenFrom(c.batch, c.id, c.leaveOut); got.Number != c.number || !slices.Equal(got.By, c.by) {
			t.Errorf("%s of %s without %q: got %+v, want %g by %v", c.id, c.batch, c.leaveOut, got, c.number, c.by)
		}
	}
}
