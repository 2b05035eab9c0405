package calc_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/quantity"
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
		"windows: Window 1 of 12",
		"buckets: Fertilisation vessel 1 of 4; Water for the eggs 12 L",
	}
	if got := kinds(s); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
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
