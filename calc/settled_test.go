package calc_test

import (
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols/library"
)

// TestSettled holds what has a value and what has none against what Scale says.
func TestSettled(t *testing.T) {
	p, err := library.Load("limpet-spawning@1.0.0", functions.All())
	if err != nil {
		t.Fatal(err)
	}
	// females are given, males out of range; eggs_expected and spat_wanted nobody gives
	plan, err := calc.ReadPlan("plan.yaml", []byte("batch: T-26-01\nprotocol: limpet-spawning@1.0.0\n"+
		"species: Patella vulgata\ndate: 2026-02-14\nstart: \"18:00\"\nsettings: {females: 6, males: 0, contact: 20 min}\n"))
	if err != nil {
		t.Fatal(err)
	}
	settled, lacking := calc.Settled(p, site(t, ""), plan)
	if len(lacking) != 2 || lacking[0].ID != "eggs_expected" || lacking[1].ID != "spat_wanted" {
		t.Errorf("lacking: %v", lacking)
	}
	if len(settled) != len(p.Settings)-3 {
		t.Errorf("%d of %d have a value, want all but males and the two", len(settled), len(p.Settings))
	}
	from := map[string]string{}
	for _, v := range settled {
		from[v.Setting.ID] = v.Quantity.Format(0) + " by the " + string(v.From)
	}
	for id, want := range map[string]string{"females": "6 animals by the plan", "contact": "20 min by the plan",
		"rinses": "3 by the protocol", "beaker.count": "24 beakers by the site"} {
		if from[id] != want {
			t.Errorf("%s: %q, want %q", id, from[id], want)
		}
	}
}
