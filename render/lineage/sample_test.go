package lineage

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/fixture"
	"spatsheet/calc/functions"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// planned is a batch of an invented season: parents are codes, with what each gave.
type planned struct {
	code, protocol, date, parents string
}

var loaded = map[string]*protocols.Protocol{}

// collected fills a planned batch in from its protocol's examples.
func collected(t *testing.T, b planned) season.Batch {
	t.Helper()
	p := loaded[b.protocol]
	if p == nil {
		var err error
		if p, err = library.Load(b.protocol, functions.All()); err != nil {
			t.Fatal(err)
		}
		loaded[b.protocol] = p
	}
	plan := fixture.FromExamples(p).With("batch", b.code).With("date", b.date)
	if b.protocol != "diatom-culture" {
		plan = plan.With("species", "Patella vulgata")
	}
	if b.parents != "" {
		var parents []string
		for _, parent := range strings.Fields(b.parents) {
			code, gave, _ := strings.Cut(parent, ":")
			parents = append(parents, fmt.Sprintf("{batch: %s, revision: 1, gave: {%s}}", code, strings.Replace(gave, "=", ": ", 1)))
		}
		plan = plan.With("parents", "["+strings.Join(parents, ", ")+"]")
	}
	sheet := fixture.Scaled(t, p, fixture.Site(t), plan)
	values, err := example.Fill(sheet, nil)
	if err != nil {
		t.Fatal(err)
	}
	out := season.Batch{Sheet: sheet, Revision: 1}
	for _, box := range sheet.Boxes() {
		r := calc.Reading{Key: box.Key, State: calc.Given}
		switch v := values[box.Key].(type) {
		case nil:
			r.State = calc.Blank
		case float64:
			r.Number = v
		case int:
			r.Number = float64(v)
		case string:
			r.Text = v
		case time.Time:
			r.Number = float64(v.Unix())
		}
		out.Readings = append(out.Readings, r)
	}
	return out
}

// made keeps batches, which take long to fill in; nobody changes them.
var made = map[planned]season.Batch{}

func traced(t *testing.T, list []planned) *pedigree.Lineage {
	t.Helper()
	var batches []season.Batch
	for _, b := range list {
		if _, known := made[b]; !known {
			made[b] = collected(t, b)
		}
		batches = append(batches, made[b])
	}
	l, err := pedigree.Trace(season.Compile(batches, pedigree.Across))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// line is one line from two shores over a spawning to a release, by year and number.
func line(year, n int) []planned {
	code := func(stage string) string { return fmt.Sprintf("KS-%d-%s%d", year%100, stage, n) }
	day := func(month, day int) string { return fmt.Sprintf("%d-%02d-%02d", year, month, day+n) }
	return []planned{
		{code("C"), "shore-collection", day(1, 3), ""},
		{code("A"), "broodstock-acclimation", day(1, 3), code("C") + ":animals=animals_collected"},
		{code("S"), "limpet-spawning", day(2, 3), code("A")},
		{code("D"), "diatom-culture", day(1, 10), ""},
		{code("P"), "plate-seeding", day(1, 22), code("D") + ":cells_on_hand=cells_harvested"},
		{code("L"), "larval-rearing", day(2, 5), code("S") + ":larvae=larvae_hatched"},
		{code("T"), "settlement", day(2, 10), code("L") + ":larvae_ready=larvae_competent " + code("P") + ":plates_ready=plates_ready"},
		{code("N"), "nursery", day(3, 1), code("T") + ":spat_start=spat_settled"},
		{code("G"), "grow-out", day(6, 1), code("N") + ":juveniles=juveniles"},
	}
}

// twoGenerations has two lines, of which the second is of a batch that is not collected,
// a release, and the second generation of the first line.
func twoGenerations() []planned {
	list := append(line(2024, 1), line(2024, 2)...)
	return append(list,
		planned{"KS-25-R1", "out-planting", "2025-04-02", "KS-24-G1:animals_stock=animals_grown KS-24-G9"},
		planned{"KS-26-B1", "f1-broodstock", "2026-02-10", "KS-24-G1:grown_on_hand=animals_grown KS-24-G2"},
		planned{"KS-26-L1", "larval-rearing", "2026-02-12", "KS-26-B1:larvae=larvae_hatched"},
		planned{"KS-26-R2", "out-planting", "2026-12-12", "KS-26-L1"},
	)
}
