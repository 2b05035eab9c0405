package calc_test

import (
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols/library"
)

func BenchmarkScale(b *testing.B) {
	p, err := library.Load("limpet-spawning@1.0.0", functions.All())
	if err != nil {
		b.Fatal(err)
	}
	home := site(b, "")
	plan, err := calc.ReadPlan("plan.yaml", []byte(spawn(1, roomy)))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	amounts := 0
	for b.Loop() {
		s, err := calc.Scale(p, home, plan)
		if err != nil {
			b.Fatal(err)
		}
		amounts = len(s.Amounts)
	}
	b.ReportMetric(float64(amounts), "amounts")
}

// BenchmarkBoxes lists the boxes of a sheet, which every form and check does.
func BenchmarkBoxes(b *testing.B) {
	s := must(b, site(b, ""), spawn(1, roomy))
	b.ReportAllocs()
	boxes := 0
	for b.Loop() {
		boxes = len(s.Boxes())
	}
	b.ReportMetric(float64(boxes), "boxes")
}

// BenchmarkAlike gives the sheet of another batch that was planned in the same size.
func BenchmarkAlike(b *testing.B) {
	s := must(b, site(b, ""), spawn(1, roomy))
	other := s.Plan
	other.Batch = "T-26-02"
	b.ReportAllocs()
	for b.Loop() {
		if _, ok := s.Alike(s.Protocol, s.Site, other); !ok {
			b.Fatal("not alike")
		}
	}
}
