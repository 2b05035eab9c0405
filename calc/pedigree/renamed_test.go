package pedigree_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/fixture"
	"spatsheet/calc/functions"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// line is a season in which every shipped protocol has a batch: from the shore to the
// release and to the second generation. Two spawnings of the same animals stand close.
var line = []struct{ code, protocol, date, species, parent string }{
	{"KS-24-C1", "shore-collection@1.0.0", "2024-01-10", "Patella vulgata", ""},
	{"KS-24-A1", "broodstock-acclimation@1.0.0", "2024-01-11", "Patella vulgata", "KS-24-C1"},
	{"KS-24-K1", "gonad-check@1.0.0", "2024-02-01", "Patella vulgata", "KS-24-A1"},
	{"KS-24-S1", "limpet-spawning@1.0.0", "2024-02-10", "Patella vulgata", "KS-24-A1"},
	{"KS-24-S2", "limpet-spawning@2.0.0", "2024-02-14", "Patella vulgata", "KS-24-A1"},
	{"KS-24-D1", "diatom-culture@1.0.0", "2024-01-20", "Navicula", ""},
	{"KS-24-P1", "plate-seeding@1.0.0", "2024-02-08", "Patella vulgata", "KS-24-D1"},
	{"KS-24-L1", "larval-rearing@1.0.0", "2024-02-16", "Patella vulgata", "KS-24-S2"},
	{"KS-24-T1", "settlement@1.0.0", "2024-02-20", "Patella vulgata", "KS-24-L1"},
	{"KS-24-N1", "nursery@1.0.0", "2024-03-05", "Patella vulgata", "KS-24-T1"},
	{"KS-24-G1", "grow-out@2.0.0", "2024-05-01", "Patella vulgata", "KS-24-N1"},
	{"KS-25-R1", "out-planting@1.0.0", "2025-04-01", "Patella vulgata", "KS-24-G1"},
	{"KS-26-B1", "f1-broodstock@1.0.0", "2026-02-10", "Patella vulgata", "KS-24-G1"},
	{"KS-26-B2", "f1-broodstock@1.0.0", "2026-02-20", "Patella vulgata", "KS-24-G1"},
}

// siteWithBoth is the site of the template, with its settings by their renamed ids too.
func siteWithBoth(t *testing.T) calc.Site {
	t.Helper()
	site := fixture.Site(t)
	both := map[string]calc.Written{}
	for id, w := range site.Settings {
		both[id], both[id+suffix] = w, w
	}
	site.Settings = both
	return site
}

// batches are one for each place of line by a protocol, filled in from its examples.
func batches(t *testing.T, site calc.Site, p *protocols.Protocol) map[string]season.Batch {
	t.Helper()
	out := map[string]season.Batch{}
	for _, l := range line {
		if l.protocol != p.Ref() {
			continue
		}
		plan := fixture.FromExamples(p).With("batch", l.code).With("species", l.species).With("date", l.date)
		if l.parent != "" {
			plan = plan.With("parents", fmt.Sprintf("[{batch: %s, revision: 1}]", l.parent))
		}
		out[l.code] = collected(t, fixture.Scaled(t, p, site, plan)).Ready()
	}
	if len(out) == 0 {
		t.Fatalf("%s has no batch in the season of this test: add one", p.Ref())
	}
	return out
}

// collected is a sheet filled in from its examples, as it would be collected.
func collected(t *testing.T, sheet *calc.Sheet) season.Batch {
	t.Helper()
	values, err := example.Fill(sheet, nil)
	if err != nil {
		t.Fatalf("%s: %v", sheet.Protocol.Ref(), err)
	}
	b := season.Batch{Sheet: sheet, Revision: 1}
	for _, box := range sheet.Boxes() {
		r := calc.Reading{Key: box.Key, State: calc.Given, Printed: box.Printed}
		switch v := values[box.Key].(type) {
		case nil:
			r.State = calc.Blank
		case float64:
			r.Number = v
		case string:
			r.Text = v
		case time.Time:
			r.Number, r.Text = float64(v.Unix()), v.Format("2006-01-02T15:04:05")
		default:
			t.Fatalf("%s: %T", box.Key, v)
		}
		b.Readings = append(b.Readings, r)
	}
	return b
}

// toldBy is all that a season says, as text: the report, its tables and the lineage.
func toldBy(t *testing.T, all map[string]season.Batch) string {
	t.Helper()
	var list []season.Batch
	for _, l := range line {
		list = append(list, all[l.code])
	}
	s := season.Compile(list, pedigree.Across)
	report := season.ReportOf(s, nil)
	report.Season.Batches = nil
	traced, err := pedigree.Trace(s)
	if err != nil {
		t.Fatal(err)
	}
	parts := []any{report, traced.Findings}
	for _, lot := range traced.Lots {
		parts = append(parts, lot.Batch, lot.Group, lot.Counts, lot.Founding, lot.Spawning, lot.Release)
		for _, a := range lot.Animals {
			parts = append(parts, a.Code, a.Cohort, a.Sex, a.Fate, len(a.Crosses))
		}
		for _, c := range lot.Crosses {
			parts = append(parts, c.Number, c.Mother, c.Father, c.Offspring, c.HasOffspring, c.OffspringCounted)
		}
	}
	for _, c := range traced.Closings {
		parts = append(parts, c.Lot.Batch, c.On, c.By, c.Says)
	}
	text, err := json.MarshalIndent(parts, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// unlike is the first line in which two texts differ; empty: none.
func unlike(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return fmt.Sprintf("line %d: got %s, want %s", i+1, g[i], w[i])
		}
	}
	if len(g) != len(w) {
		return fmt.Sprintf("%d lines, want %d", len(g), len(w))
	}
	return ""
}

// shippedSeason are the protocols of line and its batches.
func shippedSeason(t *testing.T, site calc.Site) ([]*protocols.Protocol, map[string]season.Batch) {
	t.Helper()
	var all []*protocols.Protocol
	list, seen := map[string]season.Batch{}, map[string]bool{}
	for _, l := range line {
		if seen[l.protocol] {
			continue
		}
		seen[l.protocol] = true
		p := fixture.Shipped(t, l.protocol)
		all = append(all, p)
		for code, b := range batches(t, site, p) {
			list[code] = b
		}
	}
	return all, list
}

// TestRenamedIdsTellTheSame: a protocol copied from a shipped one with all its ids renamed
// gives the same season, report and lineage; the season knows no id of any protocol.
func TestRenamedIdsTellTheSame(t *testing.T) {
	site := siteWithBoth(t)
	all, list := shippedSeason(t, site)
	want := toldBy(t, list)
	other := map[string]season.Batch{}
	for _, p := range all {
		text := renamed(t, p)
		q, err := protocols.Load(p.Ref(), text, functions.All())
		if err != nil {
			t.Fatalf("%s, renamed: %v", p.Ref(), err)
		}
		for _, step := range q.Steps {
			for _, e := range step.Entries {
				if !strings.HasSuffix(e.ID, suffix) {
					t.Fatalf("%s: entry %s is not renamed", p.Ref(), e.ID)
				}
			}
		}
		for code, b := range batches(t, site, q) {
			other[code] = b
		}
	}
	got := strings.ReplaceAll(strings.ReplaceAll(toldBy(t, other), suffix, ""), "-q", "")
	if d := unlike(got, want); d != "" {
		t.Error(d)
	}
	for _, part := range []string{"Collections", "Outplantings", "Losses", "Spawnings", "Larvae", "Growth", "Water", "Totals", "Stages"} {
		if strings.Contains(want, fmt.Sprintf("%q: null", part)) {
			t.Errorf("the season of this test has nothing in %s", part)
		}
	}
}

// untold are declarations that change nothing in the season of this test, each with the
// reason.
var untold = map[string]string{
	"crosses.eggs":   "families are counted in what is kept, where most crosses have it",
	"crosses.larvae": "families are counted in what is kept, where most crosses have it",
}

// TestEveryDeclarationIsTold drops one declaration at a time: the season changes, or the
// protocol is refused.
func TestEveryDeclarationIsTold(t *testing.T) {
	site := fixture.Site(t)
	all, list := shippedSeason(t, site)
	want, dropped := toldBy(t, list), 0
	for _, p := range all {
		tree := treeOf(t, p.Text)
		for i := range tree {
			if tree[i].Key != "tells" {
				continue
			}
			each(tree[i].Value, "", func(part string, without any) {
				dropped++
				tree := append(yaml.MapSlice(nil), tree...)
				tree[i].Value = without
				q, err := protocols.Load(p.Ref(), textOf(t, tree), functions.All())
				if err != nil {
					return
				}
				fewer := map[string]season.Batch{}
				for code, b := range list {
					fewer[code] = b
				}
				for code, b := range batches(t, site, q) {
					fewer[code] = b
				}
				if same := toldBy(t, fewer) == want; same != (untold[part] != "") {
					t.Errorf("%s: without tells: %s the season is the same: %v", p.Ref(), part, same)
				}
			})
		}
	}
	if dropped < 90 {
		t.Errorf("only %d declarations were dropped", dropped)
	}
}

// each gives a tree without one of its parts, for every part but whole topics' groups.
func each(at any, path string, do func(part string, without any)) {
	switch v := at.(type) {
	case yaml.MapSlice:
		for i, item := range v {
			part := strings.TrimPrefix(path+"."+item.Key.(string), ".")
			if len(v) > 1 {
				do(part, append(append(yaml.MapSlice(nil), v[:i]...), v[i+1:]...))
			}
			each(item.Value, part, func(part string, without any) {
				changed := append(yaml.MapSlice(nil), v...)
				changed[i].Value = without
				do(part, changed)
			})
		}
	case []any:
		for i := range v {
			if len(v) > 1 {
				do(path, append(append([]any(nil), v[:i]...), v[i+1:]...))
			}
			each(v[i], path, func(part string, without any) {
				changed := append([]any(nil), v...)
				changed[i] = without
				do(part, changed)
			})
		}
	}
}
