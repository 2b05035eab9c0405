package calc_test

import (
	"fmt"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols/library"
)

// TestAlikeIsScale holds what is taken over from another sheet against scaling anew.
func TestAlikeIsScale(t *testing.T) {
	p, err := library.Load("limpet-spawning@1.0.0", functions.All())
	if err != nil {
		t.Fatal(err)
	}
	shared, apart := 0, 0
	rapid.Check(t, func(r *rapid.T) {
		draw := func(name string) (calc.Site, calc.Plan) {
			text := fmt.Sprintf("batch: T-26-0%d\nprotocol: limpet-spawning@1.0.0\nspecies: Patella %s\ndate: 2026-0%d-14\nstart: \"1%d:00\"\nnote: %s\n",
				rapid.IntRange(1, 9).Draw(r, name+" batch"), rapid.SampledFrom([]string{"vulgata", "vulgata", "vulgata", "aspera"}).Draw(r, name+" species"),
				rapid.IntRange(1, 9).Draw(r, name+" month"), rapid.IntRange(0, 9).Draw(r, name+" hour"),
				rapid.SampledFrom([]string{"none", "second try"}).Draw(r, name+" note"))
			if rapid.Bool().Draw(r, name+" has parents") {
				text += fmt.Sprintf("parents:\n  - {batch: GC-26-01, revision: %d, gave: {females: ripe_females}}\n", rapid.IntRange(1, 3).Draw(r, name+" revision"))
			}
			text += fmt.Sprintf("settings: {females: %d, males: 40, eggs_expected: 8e6, spat_wanted: 200000%s}\n",
				rapid.SampledFrom([]int{60, 60, 60, 61}).Draw(r, name+" females"), roomy)
			plan, err := calc.ReadPlan("plan.yaml", []byte(text))
			if err != nil {
				r.Fatal(err)
			}
			return site(t, rapid.SampledFrom([]string{"", "", "", "# another text of the site\n"}).Draw(r, name+" site")), plan
		}
		homeA, planA := draw("one")
		homeB, planB := draw("other")
		one, errA := calc.Scale(p, homeA, planA)
		want, errB := calc.Scale(p, homeB, planB)
		if errA != nil || errB != nil {
			r.Fatal(errA, errB)
		}
		before := one.Digest
		got, ok := one.Alike(p, homeB, planB)
		same := planA.Species == planB.Species && planA.Settings["females"].Text == planB.Settings["females"].Text && string(homeA.Text) == string(homeB.Text)
		if ok != same {
			r.Fatalf("got alike %v, want %v", ok, same)
		}
		if !ok {
			apart++
			return
		}
		shared++
		if !reflect.DeepEqual(got, want) {
			r.Errorf("the sheet taken over is not the one scaled:\n%+v\nwant\n%+v", got, want)
		}
		if one.Digest != before || one.Plan.Batch != planA.Batch {
			r.Errorf("the sheet asked was changed")
		}
	})
	if shared == 0 || apart == 0 {
		t.Errorf("%d pairs were alike and %d were not; want some of both", shared, apart)
	}
}
