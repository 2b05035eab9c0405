package season

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/templates"
)

const watched = `protocol: watched
version: 1.0.0
title: Watched
stage: test
purpose: To be counted in tests.
applies_to: [Patella]
sources: []
changes: [{version: 1.0.0, note: first release}]
settings:
  - {id: days, label: Days, unit: "1", given_by: plan, range: [1, 99], whole: yes, source: site choice, example: 4}
amounts:
  - {id: rows, label: Rows, unit: "1", formula: days, round: {to: whole}}
steps:
  - id: watch
    title: Watch
    do: Watch.
    tables:
      - id: daily
        title: Daily
        row: Day
        count: rows
        partial: yes
        columns:
          - {id: dead, label: Dead, kind: count, unit: animals, range: [0, 99], example: 0}
          - {id: removed, label: Removed, kind: count, unit: animals, range: [0, 99], example: 0}
          - {id: alive, label: Alive, kind: count, unit: animals, range: [0, 99], example: 9}
      - id: classes
        title: Classes
        rows: [Sound, Cut]
        columns:
          - {id: came_in, label: In, kind: count, unit: animals, range: [0, 99], example: 5}
          - {id: day_2, label: Day 2, kind: count, unit: animals, range: [0, 99], example: 5}
          - {id: at_end, label: End, kind: count, unit: animals, range: [0, 99], example: 5}
tells:
  deaths:
    daily: {dead: daily.dead, removed: daily.removed, alive: daily.alive}
    classes: {came_in: classes.came_in, counts: [{alive: classes.day_2, at: 2 d}, {alive: classes.at_end}]}
`

// watchedBatch has the given numbers; negative ones are blank.
func watchedBatch(t *testing.T, numbers map[calc.Key]float64) Batch {
	t.Helper()
	p, err := protocols.Load("p.yaml", []byte(watched), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := calc.ReadPlan("plan.yaml", []byte("batch: T-1\nprotocol: watched@1.0.0\nspecies: Patella vulgata\n"+
		"date: \"2026-02-14\"\nstart: \"09:00\"\nsettings: {days: 4}\n"))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		t.Fatal(err)
	}
	b := Batch{Sheet: sheet, Revision: 1}
	for _, box := range sheet.Boxes() {
		r := calc.Reading{Key: box.Key, State: calc.Blank}
		if x, ok := numbers[box.Key]; ok && x >= 0 {
			r.State, r.Number = calc.Given, x
		}
		b.Readings = append(b.Readings, r)
	}
	return b
}

// tenWatched: ten animals, two die on day 1, one is taken out on day 2, one dies on day 4;
// of five cut ones two are dead by day 2.
func tenWatched() map[calc.Key]float64 {
	out := map[calc.Key]float64{"classes.1.came_in": 5, "classes.1.day_2": 5, "classes.1.at_end": 3,
		"classes.2.came_in": 5, "classes.2.day_2": 3, "classes.2.at_end": 3}
	for day, n := range [][3]float64{{2, 0, 8}, {0, 1, 7}, {0, 0, 7}, {1, 0, 6}} {
		for i, column := range []string{"dead", "removed", "alive"} {
			out[calc.RowKey("daily", day+1, column)] = n[i]
		}
	}
	return out
}

func TestLosses(t *testing.T) {
	g := losses([]Batch{watchedBatch(t, tenWatched())})[0]
	// by hand: 8/10 after day 1; seven at risk on day 4, so 8/10 x 6/7
	if !g.HasAll || g.All.Number != 10 || g.All.Died != 3 || len(g.All.Curve.Points) != 2 || math.Abs(g.All.Curve.Points[1].Survival-0.8*6/7) > 1e-12 {
		t.Errorf("all: %+v", g.All)
	}
	if len(g.Classes) != 2 || g.Classes[0].Died != 2 || g.Classes[1].Died != 2 ||
		g.Classes[1].Curve.Points[0].Time != 2 || g.Classes[0].Curve.Points[0].Time != 4 {
		t.Errorf("classes: %+v", g.Classes)
	}
	if !g.HasTest || len(g.Notes) != 2 { // dated by counts; one removed of unknown class
		t.Errorf("test %v, notes %q", g.HasTest, g.Notes)
	}
}

// TestLossesWithGaps: what is not written down is not taken for nobody died.
func TestLossesWithGaps(t *testing.T) {
	for _, c := range []struct {
		blank   calc.Key
		hasAll  bool
		classes int
	}{{"daily.2.dead", false, 2}, {"daily.4.alive", false, 2}, {"classes.2.day_2", true, 1}, {"classes.1.came_in", true, 1}} {
		t.Run(string(c.blank), func(t *testing.T) {
			numbers := tenWatched()
			numbers[c.blank] = -1
			g := losses([]Batch{watchedBatch(t, numbers)})[0]
			if g.HasAll != c.hasAll || len(g.Classes) != c.classes {
				t.Errorf("all %v, %d classes, notes %q", g.HasAll, len(g.Classes), g.Notes)
			}
			if told := fmt.Sprint(g.Notes, g.TestNote); !g.HasAll && !strings.Contains(told, "left out") {
				t.Errorf("notes %q", told)
			}
		})
	}
}
