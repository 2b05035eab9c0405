package pedigree

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/templates"
)

// planned is a batch of the invented station's season in the making.
type planned struct {
	code, protocol, date string
	species              string // Patella vulgata where empty
	revision             int    // 1 where 0
	parents              []string
	gave                 map[string]string // setting: "PARENT id"
	wrote                map[string]any    // by entry or table.column; a list goes by row
}

// loaded keeps protocols, which take long to read.
var loaded = map[string]*protocols.Protocol{}

func shipped(t *testing.T, ref string) *protocols.Protocol {
	t.Helper()
	if p := loaded[ref]; p != nil {
		return p
	}
	p, err := library.Load(ref, functions.All())
	if err != nil {
		t.Fatal(err)
	}
	loaded[ref] = p
	return p
}

// made scales the protocol that ships, fills the sheet from its examples and from what was
// written, and gives it as collected.
func made(t *testing.T, b planned) season.Batch {
	t.Helper()
	p := shipped(t, b.protocol)
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		t.Fatal(err)
	}
	if b.species == "" {
		b.species = "Patella vulgata"
	}
	text := fmt.Sprintf("batch: %s\nprotocol: %s\nspecies: %s\ndate: %s\nstart: \"09:00\"\n", b.code, p.Ref(), b.species, b.date)
	if len(b.parents) > 0 {
		text += "parents:\n"
	}
	for _, parent := range b.parents {
		code, revision, named := strings.Cut(parent, "@")
		if !named {
			revision = "1"
		}
		text += fmt.Sprintf("  - batch: %s\n    revision: %s\n", code, revision)
		gave := ""
		for setting, from := range b.gave {
			if by, id, _ := strings.Cut(from, " "); by == code {
				gave += fmt.Sprintf("      %s: %s\n", setting, id)
			}
		}
		if gave != "" {
			text += "    gave:\n" + gave
		}
	}
	text += "settings:\n"
	for _, s := range p.Settings {
		switch s.GivenBy {
		case protocols.ByPlan:
			text += fmt.Sprintf("  %s: %q\n", s.ID, s.Example)
		case protocols.BySpecies: // ripe_egg_diameter is the only one
			text += fmt.Sprintf("  %s: 140\n", s.ID)
		}
	}
	plan, err := calc.ReadPlan(b.code+".yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		t.Fatal(err)
	}
	return collectedAs(t, sheet, b)
}

func collectedAs(t *testing.T, sheet *calc.Sheet, b planned) season.Batch {
	t.Helper()
	given := example.Values{}
	for _, box := range sheet.Boxes() {
		name := string(box.Key)
		if box.Table != nil {
			name = box.Table.ID + "." + box.Entry.ID
		}
		v, ok := b.wrote[name]
		if list, isList := v.([]any); isList {
			if v = nil; box.Row <= len(list) {
				v = list[box.Row-1]
			}
		}
		if ok {
			given[box.Key] = v
		}
	}
	values, err := example.Fill(sheet, given)
	if err != nil {
		t.Fatal(err)
	}
	out := season.Batch{Sheet: sheet, Revision: max(b.revision, 1)}
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

func list(values ...any) []any { return values }

// twoGenerations is a line from two shores to the second generation's release. All of it
// is invented.
func twoGenerations() []planned {
	return []planned{
		{code: "KS-24-C1", protocol: "shore-collection", date: "2024-01-10",
			wrote: map[string]any{"shore_site": "KS North", "permit": "KS-P-7", "bag_counts.place": list("N1", "N2", "N3")}},
		{code: "KS-24-C2", protocol: "shore-collection", date: "2024-01-12", wrote: map[string]any{"shore_site": "KS South", "permit": "KS-P-8"}},
		{code: "KS-24-A1", protocol: "broodstock-acclimation", date: "2024-01-10", parents: []string{"KS-24-C1"},
			gave: map[string]string{"animals": "KS-24-C1 animals_collected"}},
		{code: "KS-24-A2", protocol: "broodstock-acclimation", date: "2024-01-12", parents: []string{"KS-24-C2"},
			gave: map[string]string{"animals": "KS-24-C2 animals_collected"}},
		{code: "KS-24-S1", protocol: "limpet-spawning@1.0.0", date: "2024-02-14",
			parents: []string{"KS-24-A1", "KS-24-A2"}, wrote: map[string]any{"females_spawned": 20, "males_spawned": 5}},
		{code: "KS-24-D1", protocol: "diatom-culture", species: "Navicula", date: "2024-01-26"},
		{code: "KS-24-P1", protocol: "plate-seeding", date: "2024-02-08", parents: []string{"KS-24-D1"},
			gave: map[string]string{"cells_on_hand": "KS-24-D1 cells_harvested"}},
		{code: "KS-24-L1", protocol: "larval-rearing", date: "2024-02-16", revision: 2, parents: []string{"KS-24-S1"},
			gave: map[string]string{"larvae": "KS-24-S1 larvae_hatched"}},
		{code: "KS-24-T1", protocol: "settlement", date: "2024-02-20", parents: []string{"KS-24-L1@1", "KS-24-P1"},
			gave: map[string]string{"larvae_ready": "KS-24-L1 larvae_competent", "plates_ready": "KS-24-P1 plates_ready"}},
		{code: "KS-24-N1", protocol: "nursery", date: "2024-03-05", parents: []string{"KS-24-T1"}, gave: map[string]string{"spat_start": "KS-24-T1 spat_settled"}},
		{code: "KS-24-G1", protocol: "grow-out", date: "2024-05-01", parents: []string{"KS-24-N1"}, gave: map[string]string{"juveniles": "KS-24-N1 juveniles"}},
		{code: "KS-25-R1", protocol: "out-planting", date: "2025-04-01", parents: []string{"KS-24-G1"},
			gave: map[string]string{"animals_stock": "KS-24-G1 animals_grown"}, wrote: map[string]any{"shore": "KS East"}},
		{code: "KS-26-B1", protocol: "f1-broodstock", date: "2026-02-10", parents: []string{"KS-24-G1"},
			gave: map[string]string{"grown_on_hand": "KS-24-G1 animals_grown"}, wrote: broodNotes()},
		{code: "KS-26-L2", protocol: "larval-rearing", date: "2026-02-12", parents: []string{"KS-26-B1"},
			gave: map[string]string{"larvae": "KS-26-B1 larvae_hatched"}},
		{code: "KS-26-G2", protocol: "grow-out", date: "2026-06-01", parents: []string{"KS-26-L2"}},
		{code: "KS-27-R2", protocol: "out-planting", date: "2027-04-01", parents: []string{"KS-26-G2"},
			gave: map[string]string{"animals_stock": "KS-26-G2 animals_grown"}, wrote: map[string]any{"shore": "KS West"}},
	}
}

// broodNotes are 40 animals of the first generation and 20 crosses of 10 mothers with 10
// fathers; the first mother's and father's family is kept at 9 times the others'.
func broodNotes() map[string]any {
	var codes, sexes, mothers, fathers, kept []any
	for i := range 40 {
		codes = append(codes, fmt.Sprintf("F1-%02d", i+1))
		sexes = append(sexes, []any{"F", "M"}[i/20])
	}
	for i := range 20 {
		mothers = append(mothers, codes[i/2])
		fathers = append(fathers, codes[20+i/2])
		kept = append(kept, 100)
	}
	kept[0], kept[1] = 900, 900
	return map[string]any{
		"register.code": codes, "register.sex": sexes, "register.cohort": "KS-24-S1 pool A", "year_end.code": codes,
		"pairs.mother": mothers, "pairs.father": fathers, "kept.keep": kept, "kept.spat": 1000,
		"mothers_gave": 10, "fathers_gave": 10, "closed": "closed", "closed_by": "F1-01", "closed_on": time.Date(2026, 2, 10, 0, 0, 0, 0, time.UTC),
	}
}

// season makes a season of some batches.
func seasonOf(t *testing.T, list []planned) season.Season {
	t.Helper()
	var batches []season.Batch
	for _, b := range list {
		batches = append(batches, made(t, b))
	}
	return season.Compile(batches, Across)
}
