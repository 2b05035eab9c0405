package calc_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/protocols/quantity"
)

// kinds writes the first vessel of every kind.
func kinds(s *calc.Sheet) []string {
	var list []string
	for _, v := range s.Vessels() {
		if v.Number > 1 {
			continue
		}
		line := fmt.Sprintf("%s: %s 1 of %d", v.Count, v.Name, v.Of)
		for _, a := range v.Amounts {
			line += fmt.Sprintf("; %s %s", a.Label, a.Part)
		}
		list = append(list, line)
	}
	return list
}

// TestVesselsOfASpawning has numbers worked out by hand: 18 + 12 animals, 3 to a beaker,
// 0.5 L each; 2.4e6 eggs at 50/mL; 60 % of them hatched at 5/mL; the rest by the sheet.
func TestVesselsOfASpawning(t *testing.T) {
	s := must(t, site(t, ""), spawn(0.3, ""))
	want := []string{
		"beakers: Beaker 1 of 10; Animals 3 animals; Seawater for the beakers 1.5 L",
		"rearing_vessels: Larval vessel 1 of 3; Water for the larvae 96 L",
		"tanks: Settlement tank 1 of 9; Larvae to stock 66667 larvae; Plates to stock 38 plates",
		"buckets: Fertilisation vessel 1 of 4; Water for the eggs 12 L",
	}
	if got := kinds(s); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestRowsGetLabels: of things counted in things, of what is dealt out, and where the
// protocol says so; whatever they are called.
func TestRowsGetLabels(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(windows *protocols.Table, p *protocols.Protocol)
		want   string // empty: none
	}{
		{"windows, counted", func(*protocols.Table, *protocols.Protocol) {}, ""},
		{"dishes, counted", func(w *protocols.Table, _ *protocols.Protocol) { w.RowLabel = "Dish" }, ""},
		{"dishes, said", func(w *protocols.Table, _ *protocols.Protocol) { w.RowLabel, w.Labels = "Dish", protocols.Labelled }, "windows: Dish 1 of 12"},
		{"counted in plates", func(w *protocols.Table, p *protocols.Protocol) { unitOf(p, "windows", "plates") }, "windows: Window 1 of 12"},
		{"counted in plates, denied", func(w *protocols.Table, p *protocols.Protocol) {
			unitOf(p, "windows", "plates")
			w.Labels = protocols.NoLabels
		}, ""},
		{"dealt out", func(w *protocols.Table, p *protocols.Protocol) { w.RowCount, w.RowLabel = "beakers", "Place" }, ""}, // the beakers, once
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := library.Load("limpet-spawning@1.0.0", functions.All())
			if err != nil {
				t.Fatal(err)
			}
			last := &p.Steps[len(p.Steps)-1]
			if last.Tables[0].RowCount != "windows" {
				t.Fatalf("the last table counts %s", last.Tables[0].RowCount)
			}
			c.change(&last.Tables[0], p)
			plan, err := calc.ReadPlan("plan.yaml", []byte(spawn(0.3, "")))
			if err != nil {
				t.Fatal(err)
			}
			s, err := calc.Scale(p, site(t, ""), plan)
			if err != nil {
				t.Fatal(err)
			}
			got, beakers := "", 0
			for _, k := range kinds(s) {
				if strings.HasPrefix(k, "windows: ") {
					got = k
				}
				if strings.HasPrefix(k, "beakers: ") {
					beakers++
				}
			}
			if got != c.want || beakers != 1 {
				t.Errorf("got %q, want %q; %d kinds of beakers", got, c.want, beakers)
			}
		})
	}
}

func unitOf(p *protocols.Protocol, setting, unit string) {
	for i := range p.Settings {
		if p.Settings[i].ID == setting {
			p.Settings[i].Unit = quantity.MustUnit(unit)
		}
	}
}

// TestNoWindowIsLabelled in any released protocol that counts in windows.
func TestNoWindowIsLabelled(t *testing.T) {
	for protocol, settings := range map[string]string{
		"settlement@1.0.0": "larvae_ready: 1e6, plates_ready: 200, spat_wanted: 15000",
		"nursery@1.0.0":    "spat_start: 5000",
	} {
		s := must(t, site(t, ""), "batch: T-26-02\nprotocol: "+protocol+"\nspecies: Patella vulgata\ndate: 2026-02-14\nstart: \"09:00\"\nsettings: {"+settings+"}\n")
		tanks := false
		for _, v := range s.Vessels() {
			tanks = tanks || v.Count == "tanks"
			if v.Count == "windows" || v.Count == "plates_to_count" {
				t.Errorf("%s: a label for %s %d", protocol, v.Name, v.Number)
				break
			}
		}
		if !tanks {
			t.Errorf("%s: no label for its tanks", protocol)
		}
	}
}

// TestVesselsHavePartsOfTheWhole adds the parts up again, and counts the numbers.
func TestVesselsHavePartsOfTheWhole(t *testing.T) {
	s := must(t, site(t, ""), spawn(1, roomy))
	sums, next := map[string]float64{}, map[string]int{}
	for _, v := range s.Vessels() {
		next[v.Count]++
		if v.Number != next[v.Count] || v.Number > v.Of {
			t.Errorf("%s %d of %d after %d", v.Name, v.Number, v.Of, next[v.Count]-1)
		}
		for _, a := range v.Amounts {
			sums[a.Label] += a.Part.Value()
		}
	}
	split := 0
	for _, a := range s.Amounts {
		if a.Definition.Split == "" {
			continue
		}
		split++
		if got := sums[a.Definition.Label]; got < a.Rounded.Value()*(1-1e-9) || got > a.Rounded.Value()*(1+1e-9) {
			t.Errorf("%s: the labels add up to %v, the whole is %s", a.Definition.ID, got, a.Rounded)
		}
	}
	if split != len(sums) || split == 0 {
		t.Errorf("%d amounts dealt out, %d on labels", split, len(sums))
	}
}

// TestVesselsLeaveOutNothings: a part of nothing is not printed on a label.
func TestVesselsLeaveOutNothings(t *testing.T) {
	s := must(t, site(t, ""), spawn(0.3, ""))
	water, _ := s.Amount("spawning_water")
	nothing, err := quantity.New(0, water.Definition.Unit)
	if err != nil {
		t.Fatal(err)
	}
	water.Parts[0] = nothing
	if got := s.Vessels()[0].Amounts; len(got) != 1 || got[0].Label != "Animals" {
		t.Errorf("got %+v", got)
	}
}
