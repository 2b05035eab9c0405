package season

import (
	"fmt"
	"math"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/templates"
)

const small = `protocol: two-stages
version: 1.0.0
title: Two stages
stage: test
purpose: To be counted in tests.
applies_to: [Patella, Lottia]
sources: []
changes: [{version: 1.0.0, note: first release}]
settings:
  - {id: dishes, label: Dishes, unit: "1", given_by: plan, range: [1, 9], source: site choice, example: 2}
amounts:
  - {id: all, label: All, unit: "1", formula: dishes}
steps:
  - id: count
    title: Count
    do: Count.
    entries:
      - {id: eggs, label: Eggs, kind: count, unit: eggs, range: [0, 1e9]}
      - {id: larvae, label: Larvae, kind: count, unit: larvae, range: [0, 1e9]}
      - {id: water, label: Water, kind: number, unit: mL, range: [0, 1e9]}
      - {id: density, label: Density, kind: number, unit: spat/L, range: [0, 1e9]}
stages:
  - {id: hatch, label: Egg to larva, in: eggs, in_unit: eggs, out: larvae, out_unit: larvae}
  - {id: settle, label: Larva to spat, in: larvae, in_unit: larvae, out: density * water, out_unit: spat}
`

// batch makes a batch of an invented count; a negative number leaves the box blank.
func batch(t *testing.T, code, species, date string, eggs, larvae, water, density float64) Batch {
	t.Helper()
	p, err := protocols.Load("p.yaml", []byte(small), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := calc.ReadPlan("plan.yaml", []byte(fmt.Sprintf("batch: %s\nprotocol: two-stages@1.0.0\nspecies: %s\n"+
		"date: %s\nstart: \"09:00\"\nsettings: {dishes: 2}\n", code, species, date)))
	if err != nil {
		t.Fatal(err)
	}
	s, err := calc.Scale(p, site, plan)
	if err != nil {
		t.Fatal(err)
	}
	b := Batch{Sheet: s, Revision: 1}
	for i, x := range []float64{eggs, larvae, water, density} {
		r := calc.Reading{Key: s.Boxes()[i].Key, State: calc.Given, Number: x}
		if x < 0 {
			r.State, r.Number = calc.Blank, 0
		}
		b.Readings = append(b.Readings, r)
	}
	return b
}

func TestStages(t *testing.T) {
	cases := []struct {
		name                         string
		eggs, larvae, water, density float64
		hatch, settle                float64 // survival; negative: none
		notes                        [2]string
	}{
		{"both", 1000, 600, 2000, 30, 0.6, 0.1, [2]string{}}, // 2 L x 30 spat/L = 60 of 600
		{"a count missing", 1000, -1, 2000, 30, -1, -1, [2]string{"a count is missing", "a count is missing"}},
		{"nothing went in", 0, 0, 2000, 0, -1, -1, [2]string{"nothing went in", "nothing went in"}},
		{"all died", 1000, 0, 2000, 0, 0, -1, [2]string{"", "nothing went in"}},
		{"more out than in", 1000, 1500, 2000, 30, 1.5, 0.04, [2]string{"more came out than went in: see the findings", ""}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := Stages(batch(t, "T-1", "Patella vulgata", "2026-02-14", c.eggs, c.larvae, c.water, c.density))
			for i, want := range []float64{c.hatch, c.settle} {
				st := got[i]
				if st.HasSurvival != (want >= 0) || (want >= 0 && math.Abs(st.Survival-want) > 1e-12) || st.Note != c.notes[i] {
					t.Errorf("%s: got %v %v %q, want %v %q", st.ID, st.Survival, st.HasSurvival, st.Note, want, c.notes[i])
				}
			}
		})
	}
}

func TestCompileOrdersAndPools(t *testing.T) {
	s := Compile([]Batch{
		batch(t, "T-3", "Patella vulgata", "2026-03-01", 2000, 800, 2000, 30),
		batch(t, "T-2", "Lottia sp.", "2026-02-14", 100, 90, 1000, 9),
		batch(t, "T-1", "Patella vulgata", "2026-02-14", 1000, 600, 2000, 30),
		batch(t, "T-4", "Patella vulgata", "2026-03-02", -1, 600, 2000, 30),
		batch(t, "T-5", "Patella vulgata", "2026-03-03", 100, 600, 2000, 30), // more out than in
	}, nil)
	var order []string
	for _, b := range s.Batches {
		order = append(order, b.Sheet.Plan.Batch)
	}
	if got := fmt.Sprint(order); got != "[T-1 T-2 T-3 T-4 T-5]" {
		t.Errorf("order %s", got)
	}
	if len(s.Stages) != 10 {
		t.Errorf("%d stages, want 2 for each of 5 batches", len(s.Stages))
	}
	for _, p := range s.Pooled {
		if p.Species == "Patella vulgata" && p.ID == "hatch" {
			// T-1 and T-3 only: (600 + 800) of (1000 + 2000)
			if p.Batches != 2 || math.Abs(p.Survival-1400.0/3000) > 1e-12 {
				t.Errorf("pooled %+v", p)
			}
		}
	}
	if len(s.Pooled) != 4 {
		t.Errorf("%d pooled stages, want 2 for each of 2 species", len(s.Pooled))
	}
}
