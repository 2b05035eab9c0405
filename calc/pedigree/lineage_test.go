package pedigree

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/protocols"
)

func traced(t *testing.T, batches ...planned) *Lineage {
	t.Helper()
	l, err := Trace(seasonOf(t, batches))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// twoGenerationsMade is filled in once: nobody changes a batch.
var twoGenerationsMade season.Season

func twoGenerationsTraced(t *testing.T) *Lineage {
	t.Helper()
	if len(twoGenerationsMade.Batches) == 0 {
		twoGenerationsMade = seasonOf(t, twoGenerations())
	}
	l, err := Trace(twoGenerationsMade)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func lotOf(t *testing.T, l *Lineage, code string) *Lot {
	t.Helper()
	lot, ok := l.Lot(code)
	if !ok {
		t.Fatalf("no batch %s", code)
	}
	return lot
}

func findingCodes(l *Lineage) string {
	var codes []string
	for _, f := range l.Findings {
		codes = append(codes, f.Batch+" "+f.Code)
	}
	return strings.Join(codes, ", ")
}

func shareText(founders []Founder) string {
	var out []string
	for _, f := range founders {
		out = append(out, fmt.Sprintf("%s %.4f", f.Lot.Batch, f.Share))
	}
	return strings.Join(out, ", ")
}

func TestTwoGenerations(t *testing.T) {
	l := twoGenerationsTraced(t)
	for code, want := range map[string]string{
		"KS-24-C1": "wild", "KS-24-A2": "wild", "KS-24-S1": "F1", "KS-25-R1": "F1", "KS-26-B1": "F2", "KS-27-R2": "F2",
	} {
		if got := l.Heritage(lotOf(t, l, code)).Generation.Says(); got != want {
			t.Errorf("%s: got %s, want %s", code, got, want)
		}
	}
	if got := l.HeritageOfStock(lotOf(t, l, "KS-26-B1")).Generation.Says(); got != "F1" {
		t.Errorf("animals of the register: got %s, want F1", got)
	}
	if got := findingCodes(l); got != "KS-24-T1 parent-revised, KS-26-B1 same-cohort" {
		t.Errorf("findings: %s", got)
	}
	if says := l.Findings[0].Says; !strings.Contains(says, "revision 1 of KS-24-L1, which is at revision 2 now; Competent larvae: ") {
		t.Errorf("got %s", says)
	}
	on, closed := l.ClosedOn()
	if !closed || day(on) != "2026-02-10" || l.Closings[0].By != "F1-01" || len(l.Closings) != 1 {
		t.Errorf("closed %v on %v: %+v", closed, on, l.Closings)
	}
}

// TestHeritageWorked: generation 1 has 20 mothers and 5 fathers, 4 x 20 x 5 / 25 = 16.
// In generation 2 one pair keeps 1800 spat, nine pairs 200 each: of each sex
// 3600^2 / (1800^2 + 9 x 200^2) = 3.6 equal parents, 4 x 3.6 x 3.6 / 7.2 = 7.2.
// Over both: 2 / (1/16 + 1/7.2) = 9.931; lost 1 - (1 - 1/32)(1 - 1/14.4) = 0.098524.
func TestHeritageWorked(t *testing.T) {
	l := twoGenerationsTraced(t)
	h := l.Heritage(lotOf(t, l, "KS-27-R2"))
	if len(h.Generations) != 2 {
		t.Fatalf("%d generations", len(h.Generations))
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"size of generation 1", h.Generations[0].Size, 16}, {"rise of generation 1", h.Generations[0].Rise, 1.0 / 32},
		{"size of generation 2", h.Generations[1].Size, 7.2}, {"rise of generation 2", h.Generations[1].Rise, 1 / 14.4},
		{"size over both", h.Size, 2 / (1/16.0 + 1/7.2)}, {"lost", h.Lost, 1 - (1-1/32.0)*(1-1/14.4)},
	} {
		if math.Abs(c.got-c.want) > 1e-9 { // both sides are the same arithmetic in float64
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
	if got := shareText(h.Founders); got != "KS-24-C1 0.5000, KS-24-C2 0.5000" {
		t.Errorf("founders: %s", got)
	}
	if !slices.ContainsFunc(h.Notes, func(n string) bool { return strings.HasPrefix(n, "KS-24-S1: equal shares of its 2 parent batches") }) {
		t.Errorf("notes do not say that shares are equal: %q", h.Notes)
	}
}

func TestTreesBothWays(t *testing.T) {
	l := twoGenerationsTraced(t)
	var walk func(branches []Branch) string
	walk = func(branches []Branch) string {
		var parts []string
		for _, b := range branches {
			text := strings.TrimPrefix(b.Lot.Batch, "KS-")
			if b.Link.Carries == CarriesOther {
				text = "+" + text
			}
			if len(b.Branches) > 0 {
				text += "(" + walk(b.Branches) + ")"
			}
			parts = append(parts, text)
		}
		return strings.Join(parts, " ")
	}
	r1, c2 := lotOf(t, l, "KS-25-R1"), lotOf(t, l, "KS-24-C2")
	if got, want := walk(l.Ancestors(r1)), "24-G1(24-N1(24-T1(24-L1(24-S1(24-A1(24-C1) 24-A2(24-C2))) +24-P1(+24-D1))))"; got != want {
		t.Errorf("ancestors\n got %s\nwant %s", got, want)
	}
	if got, want := walk(l.Descendants(c2)), "24-A2(24-S1(24-L1(24-T1(24-N1(24-G1(25-R1 26-B1(26-L2(26-G2(27-R2)))))))))"; got != want {
		t.Errorf("descendants\n got %s\nwant %s", got, want)
	}
	if n := len(l.Relatives(c2)); n != 12 {
		t.Errorf("%d relatives of a collection, want 12", n)
	}
	f := c2.Founding
	if f.Site != "KS South" || f.Permit != "KS-P-8" || len(f.Bags) == 0 || f.Bags[0].Animals <= 0 {
		t.Errorf("founding %+v", f)
	}
	if r1.Release.Site != "KS East" || len(r1.Release.Plots) == 0 {
		t.Errorf("release %+v", r1.Release)
	}
}

func TestParentageKeepsAPool(t *testing.T) {
	l := twoGenerationsTraced(t)
	a, ok := l.Animal("F1-07")
	if !ok || a.Sex != "F" || a.From == nil || a.From.Batch != "KS-24-S1" || len(a.Crosses) != 2 || a.Fate != "alive" {
		t.Fatalf("animal %+v", a)
	}
	p := l.Parentage(a)
	if len(p) != 1 || p[0].Lot.Batch != "KS-24-S1" || !p[0].Pool {
		t.Errorf("parentage %+v", p)
	}
	young := &Animal{Code: "F2-01", Cohort: "KS-26-B1 cross 3", Lot: lotOf(t, l, "KS-26-G2"), From: lotOf(t, l, "KS-26-B1")}
	p = l.Parentage(young)
	if len(p) != 1 || p[0].Pool || fmt.Sprint(p[0].Mothers, p[0].Fathers) != "[F1-02] [F1-22]" {
		t.Errorf("parents of a named cross %+v", p)
	}
	young.Cohort = "KS-26-B1 pool"
	if p = l.Parentage(young); !p[0].Pool || len(p[0].Mothers) != 10 || len(p[0].Fathers) != 10 {
		t.Errorf("a pool must keep all ten mothers and fathers: %+v", p)
	}
}

func TestCirclesAreRefused(t *testing.T) {
	for _, c := range []struct {
		name, want string
		batches    []planned
	}{
		{"its own parent", "KS-1 from KS-1", []planned{{code: "KS-1", protocol: "nursery", date: "2026-03-01", parents: []string{"KS-1"}}}},
		{"two of each other", "KS-1 from KS-2 from KS-1", []planned{
			{code: "KS-1", protocol: "nursery", date: "2026-03-01", parents: []string{"KS-2"}},
			{code: "KS-2", protocol: "grow-out", date: "2026-05-01", parents: []string{"KS-1"}}}},
		{"a circle behind another batch", "KS-2 from KS-3 from KS-2", []planned{
			{code: "KS-1", protocol: "nursery", date: "2026-03-01", parents: []string{"KS-2"}},
			{code: "KS-2", protocol: "settlement", date: "2026-03-02", parents: []string{"KS-3"}},
			{code: "KS-3", protocol: "grow-out", date: "2026-05-01", parents: []string{"KS-2"}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Trace(seasonOf(t, c.batches))
			if !errors.Is(err, ErrCircle) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %s", err, c.want)
			}
		})
	}
}

// TestLotsByStart: neither by code nor in the order of the log; of those that start together
// the parent first, whatever its code.
func TestLotsByStart(t *testing.T) {
	l := traced(t,
		planned{code: "KS-1", protocol: "nursery", date: "2026-05-01", parents: []string{"KS-3"}},
		planned{code: "KS-2", protocol: "nursery", date: "2026-03-01", parents: []string{"KS-9"}},
		planned{code: "KS-9", protocol: "settlement", date: "2026-03-01"},
		planned{code: "KS-3", protocol: "settlement", date: "2026-04-01"},
		planned{code: "KS-0", protocol: "settlement", date: "2026-06-01"})
	var got []string
	for _, lot := range l.Lots {
		got = append(got, lot.Batch)
	}
	if want := "KS-9, KS-2, KS-3, KS-1, KS-0"; strings.Join(got, ", ") != want {
		t.Errorf("got %s, want %s", strings.Join(got, ", "), want)
	}
}

func TestBrokenLinks(t *testing.T) {
	larvae := planned{code: "KS-2", protocol: "larval-rearing", date: "2026-03-01", revision: 2}
	for _, c := range []struct{ name, parent, date, want string }{
		{"sound", "KS-2@2", "2026-03-06", ""},
		{"not collected", "KS-9", "2026-03-06", "KS-3 parent-not-collected"},
		{"an older revision", "KS-2@1", "2026-03-06", "KS-3 parent-revised"},
		{"a revision that is not here", "KS-2@3", "2026-03-06", "KS-3 parent-revision-missing"},
		{"before its parent", "KS-2@2", "2026-02-06", "KS-3 parent-later"},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := traced(t, larvae, planned{code: "KS-3", protocol: "settlement", date: c.date, parents: []string{c.parent}})
			if got := findingCodes(l); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestRegisterFindings(t *testing.T) {
	for _, c := range []struct {
		name  string
		wrote map[string]any
		want  string
	}{
		{"a mother in no register", map[string]any{"pairs.mother": "F1-99"}, "parent-not-registered"},
		{"a father that is a female", map[string]any{"pairs.father": "F1-02"}, "sex-disagrees"},
		{"one code for two", map[string]any{"register.code": "F1-01", "register.sex": "F"}, "code-twice"},
		{"a cohort of another line", map[string]any{"register.cohort": "KS-OTHER-1 pool"}, "cohort-not-ancestor"},
		{"closed without a link", map[string]any{"closed": "closed"}, "closed-by-whom"},
	} {
		t.Run(c.name, func(t *testing.T) {
			wrote := broodNotes()
			for k, v := range c.wrote {
				wrote[k] = v
			}
			l := traced(t, planned{code: "KS-OTHER-1", protocol: "grow-out", date: "2024-02-14"},
				planned{code: "KS-B1", protocol: "f1-broodstock", date: "2026-02-10", wrote: wrote})
			if got := findingCodes(l); !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %s", got, c.want)
			}
		})
	}
}

// TestShares holds the three ways of dealing out shares, and a check of the stock that
// must not count twice.
func TestShares(t *testing.T) {
	shore := func(code string, kept int) planned {
		return planned{code: code, protocol: "shore-collection", date: "2026-01-10", wrote: map[string]any{"bag_counts.kept": list(kept), "dead_on_arrival": 0}}
	}
	stock := func(code string, parents ...string) planned {
		return planned{code: code, protocol: "broodstock-acclimation", date: "2026-01-11", parents: parents}
	}
	spawning := func(code string, parents ...string) planned {
		return planned{code: code, protocol: "limpet-spawning", date: "2026-02-14", parents: parents}
	}
	check := planned{code: "KS-G1", protocol: "gonad-check", date: "2026-02-01", parents: []string{"KS-A1"},
		gave: map[string]string{"stock": "KS-A1 broodstock_alive"}}
	brood := broodNotes() // mothers F1-01 to F1-10 of one cohort, fathers of two
	cohorts := make([]any, 40)
	for i := range cohorts {
		cohorts[i] = "KS-S1"
		if i >= 21 { // all fathers but the first, whose two crosses keep 1800 of 3600 spat
			cohorts[i] = "KS-S2"
		}
	}
	brood["register.cohort"] = cohorts
	for _, c := range []struct {
		name, of, want, note string
		batches              []planned
	}{
		{"by numbers", "KS-A1", "KS-C1 0.7500, KS-C2 0.2500", "in proportion to what each parent batch handed over",
			[]planned{shore("KS-C1", 30), shore("KS-C2", 10), stock("KS-A1", "KS-C1", "KS-C2")}},
		{"equal", "KS-S1", "KS-C1 0.5000, KS-C2 0.5000", "equal shares",
			[]planned{shore("KS-C1", 30), shore("KS-C2", 10), stock("KS-A1", "KS-C1"), stock("KS-A2", "KS-C2"), spawning("KS-S1", "KS-A1", "KS-A2")}},
		{"a check of the stock", "KS-S1", "KS-C1 0.5000, KS-C2 0.5000", "equal shares of its 2 parent batches",
			[]planned{shore("KS-C1", 30), shore("KS-C2", 10), stock("KS-A1", "KS-C1"), stock("KS-A2", "KS-C2"), check,
				spawning("KS-S1", "KS-A1", "KS-G1", "KS-A2")}},
		// mothers all of S1: a half; fathers by spat: 1800 of 3600 of S1, 1800 of S2
		{"by crosses", "KS-B1", "KS-C1 0.7500, KS-C2 0.2500", "by the crosses and their offspring",
			[]planned{shore("KS-C1", 30), shore("KS-C2", 10), spawning("KS-S1", "KS-C1"), spawning("KS-S2", "KS-C2"),
				{code: "KS-B1", protocol: "f1-broodstock", date: "2027-02-14", parents: []string{"KS-S1", "KS-S2"}, wrote: brood}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := traced(t, c.batches...)
			h := l.Heritage(lotOf(t, l, c.of))
			if got := shareText(h.Founders); got != c.want || !strings.Contains(strings.Join(h.Notes, "\n"), c.note) {
				t.Errorf("got %s, want %s; notes %q", got, c.want, h.Notes)
			}
		})
	}
}

// TestSpawningsOfOneGeneration: two spawnings of size 16 (20 mothers, 5 fathers) that a
// cohort goes back to by a half each have together 1 / (0.25/16 + 0.25/16) = 32; a
// second one of 8 (4 mothers, 4 fathers) makes it 1 / (0.25/16 + 0.25/8).
func TestSpawningsOfOneGeneration(t *testing.T) {
	spawning := func(code string, females, males int) planned {
		return planned{code: code, protocol: "limpet-spawning", date: "2026-02-14", wrote: map[string]any{"females_spawned": females, "males_spawned": males}}
	}
	for _, second := range []struct {
		females, males int
		size           float64
	}{{20, 5, 16}, {4, 4, 8}} {
		l := traced(t, spawning("KS-S1", 20, 5), spawning("KS-S2", second.females, second.males),
			planned{code: "KS-G1", protocol: "grow-out", date: "2026-06-14", parents: []string{"KS-S1", "KS-S2"}})
		want := 1 / (0.25/16 + 0.25/second.size)
		g := l.Heritage(lotOf(t, l, "KS-G1")).Generations
		if len(g) != 1 || math.Abs(g[0].Size-want) > 1e-9 || len(g[0].Lots) != 2 {
			t.Errorf("sizes 16 and %g: got %+v, want %g", second.size, g, want)
		}
		if second.size == 16 && want != 32 {
			t.Errorf("two of 16 make %g, want 32", want)
		}
	}
}

// TestBroodstockAfterSpawning: what a spawning hands over may be larvae or the parents.
func TestBroodstockAfterSpawning(t *testing.T) {
	l := traced(t,
		planned{code: "KS-C1", protocol: "shore-collection", date: "2026-01-10"},
		planned{code: "KS-S1", protocol: "limpet-spawning@2.0.0", date: "2026-02-14", parents: []string{"KS-C1"}},
		planned{code: "KS-G1", protocol: "gonad-check", date: "2026-03-01", parents: []string{"KS-S1"}, gave: map[string]string{"stock": "KS-S1 broodstock_alive"}},
		planned{code: "KS-S2", protocol: "limpet-spawning@2.0.0", date: "2026-03-14", parents: []string{"KS-S1"}},
		planned{code: "KS-L1", protocol: "larval-rearing", date: "2026-02-16", parents: []string{"KS-S1"}},
	)
	for code, want := range map[string]string{"KS-G1": "wild", "KS-S2": "F1", "KS-L1": "F1"} {
		if got := l.Heritage(lotOf(t, l, code)).Generation.Says(); got != want {
			t.Errorf("%s: got %s, want %s", code, got, want)
		}
	}
	if _, closed := l.ClosedOn(); closed {
		t.Errorf("wild parents spawned again do not close the cycle: %+v", l.Closings)
	}
}

// TestClosedByLinks: a group spawning of reared animals closes the cycle without a word on
// any sheet.
func TestClosedByLinks(t *testing.T) {
	l := traced(t,
		planned{code: "KS-C1", protocol: "shore-collection", date: "2024-01-10"},
		planned{code: "KS-S1", protocol: "limpet-spawning", date: "2024-02-14", parents: []string{"KS-C1"}},
		planned{code: "KS-G1", protocol: "grow-out", date: "2024-05-14", parents: []string{"KS-S1"}},
		planned{code: "KS-S2", protocol: "limpet-spawning", date: "2026-02-14", parents: []string{"KS-G1"}},
	)
	on, closed := l.ClosedOn()
	if !closed || day(on) != "2026-02-14" || !strings.Contains(l.Closings[0].Says, "F1 by the links") {
		t.Errorf("%v %v %+v", on, closed, l.Closings)
	}
}

// TestSharesAddUp: whatever the links, the founders' shares are one whole, and no animal is
// of an earlier generation than its parents.
func TestSharesAddUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		l := &Lineage{byCode: map[string]*Lot{}, byAnimal: map[string]*Animal{}}
		for i := range rapid.IntRange(1, 14).Draw(r, "lots") {
			lot := &Lot{Batch: fmt.Sprintf("L-%02d", i), Group: Kept, of: season.Batch{Sheet: &calc.Sheet{Protocol: &protocols.Protocol{}}}}
			switch rapid.IntRange(0, 2).Draw(r, "kind") {
			case 0:
				lot.Spawning = &Spawning{Size: 10}
			case 1:
				lot.Founding = &Founding{}
			}
			for p, parent := range l.Lots {
				if rapid.IntRange(0, 2).Draw(r, fmt.Sprintf("%d from %d", i, p)) == 0 {
					lot.Parents = append(lot.Parents, &Link{Code: parent.Batch, Parent: parent, Child: lot, Carries: CarriesLine})
				}
			}
			l.Lots = append(l.Lots, lot)
		}
		for _, lot := range l.Lots {
			h, sum := l.Heritage(lot), 0.0
			for _, f := range h.Founders {
				sum += f.Share
			}
			if math.Abs(sum-1) > 1e-9 {
				r.Errorf("%s: founders' shares add up to %v", lot.Batch, sum)
			}
			for _, link := range lot.Parents {
				if l.Heritage(link.Parent).Generation.Number > h.Generation.Number {
					r.Errorf("%s is of an earlier generation than its parent %s", lot.Batch, link.Code)
				}
			}
			if h.Lost < 0 || h.Lost >= 1 {
				r.Errorf("%s: lost %v", lot.Batch, h.Lost)
			}
		}
	})
}
