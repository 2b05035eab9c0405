package culture

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

// site is a scale-up whose numbers come out whole: each step starts at 5e4 from 1e6, so a
// twentieth of the volume, and doubles once a day.
func site() (Starter, []ScaleUpStep) {
	step := ScaleUpStep{StartCellsPerML: 5e4, HarvestCellsPerML: 8e5, RatePerDay: math.Ln2, LagDays: 1}
	flask, carboy, tank := step, step, step
	flask.Name, flask.Vessels, flask.VolumeML = "flask", 4, 1000
	carboy.Name, carboy.Vessels, carboy.VolumeML, carboy.KeepML = "carboy", 2, 20000, 500
	tank.Name, tank.Vessels, tank.VolumeML = "tank", 1, 500000
	return Starter{Name: "tube", CellsPerML: 1e6, VolumeML: 250, KeepML: 50}, []ScaleUpStep{flask, carboy, tank}
}

func TestScaleUp(t *testing.T) {
	starter, steps := site()
	got, err := ScaleUp(starter, steps)
	if err != nil {
		t.Fatal(err)
	}
	// Worked by hand: 5e4/1e6 x 1000 = 50 mL, then 5e4/8e5 x 20 L = 1250 mL and x 500 L =
	// 31.25 L; 16-fold is 4 doublings, 4 days, and a day of lag.
	want := []struct {
		from                          string
		inoculum, medium, total, left float64
		split, ready                  int
	}{
		{"tube", 50, 950, 200, 50, 0, 5},
		{"flask", 1250, 18750, 2500, 1500, 5, 10},
		{"carboy", 31250, 468750, 31250, 8750, 10, 15},
	}
	if len(got) != len(want) {
		t.Fatalf("%d steps, want %d", len(got), len(want))
	}
	for i, w := range want {
		g := got[i]
		if g.From != w.from || !near(g.InoculumML, w.inoculum) || !near(g.MediumML, w.medium) ||
			!near(g.InoculumTotalML, w.total) || !near(g.ParentLeftML, w.left) || g.SplitDay != w.split || g.ReadyDay != w.ready {
			t.Errorf("step %d: got %+v, want %+v", i+1, g, w)
		}
		if !near(g.GrowthDays, 5) || !near(g.InoculumShare, w.inoculum/g.VolumeML) || !near(g.HarvestedTotalML, g.VolumeML*float64(g.Vessels)) {
			t.Errorf("step %d: %v days, share %v, yield %v", i+1, g.GrowthDays, g.InoculumShare, g.HarvestedTotalML)
		}
	}
}

func TestScaleUpRefuses(t *testing.T) {
	nan := math.NaN()
	cases := []struct {
		name   string
		change func(starter *Starter, steps []ScaleUpStep)
		want   string
	}{
		{"starter too small", func(s *Starter, _ []ScaleUpStep) { s.VolumeML = 240 },
			`scale-up step 1 "flask": inoculum: 200 mL are wanted of "tube", which has 240 mL and keeps 50 mL back, so 10 mL are short; grow more of it, put a step between, or start thinner`},
		{"carboy keeps too much", func(_ *Starter, steps []ScaleUpStep) { steps[1].KeepML = 9000 }, `step 3 "tank": inoculum: 3.125e+04 mL are wanted of "carboy"`},
		{"thicker than the parent", func(s *Starter, _ []ScaleUpStep) { s.CellsPerML = 4e4 }, `step 1 "flask": target density: 50000 cells/mL is not below what the culture can give`},
		{"harvest below start", func(_ *Starter, steps []ScaleUpStep) { steps[1].HarvestCellsPerML = 1e4 }, `step 2 "carboy": target density: 10000 cells/mL is below the starting density`},
		{"no vessel", func(_ *Starter, steps []ScaleUpStep) { steps[2].Vessels = 0 }, `step 3 "tank": vessels: 0 is out of range`},
		{"no growth", func(_ *Starter, steps []ScaleUpStep) { steps[0].RatePerDay = 0 }, `step 1 "flask": growth rate`},
		{"volume not a number", func(_ *Starter, steps []ScaleUpStep) { steps[0].VolumeML = nan }, `step 1 "flask": vessel volume: NaN`},
		{"volume beyond all numbers", func(_ *Starter, steps []ScaleUpStep) { steps[0].VolumeML = math.MaxFloat64 }, `volume of all vessels`},
		{"held back not a number", func(_ *Starter, steps []ScaleUpStep) { steps[1].KeepML = nan }, `step 2 "carboy": held back: NaN`},
		{"vessel of 0 mL", func(_ *Starter, steps []ScaleUpStep) { steps[0].VolumeML = 0 }, `vessel volume: 0 mL`},
		{"starter without cells", func(s *Starter, _ []ScaleUpStep) { s.CellsPerML = 0 }, `starter density: 0`},
		{"starter density", func(s *Starter, _ []ScaleUpStep) { s.CellsPerML = -1 }, `starter density: -1`},
		{"starter volume", func(s *Starter, _ []ScaleUpStep) { s.VolumeML = 0 }, `starter volume: 0`},
		{"starter held back", func(s *Starter, _ []ScaleUpStep) { s.KeepML = nan }, `starter held back: NaN`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			starter, steps := site()
			c.change(&starter, steps)
			got, err := ScaleUp(starter, steps)
			if got != nil || !errors.Is(err, limits.ErrRange) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, %v, want %q", got, err, c.want)
			}
		})
	}
	if _, err := ScaleUp(Starter{}, nil); !errors.Is(err, limits.ErrRange) {
		t.Errorf("no steps: %v", err)
	}
}

func TestScaleUpUsesTheLastDrop(t *testing.T) {
	starter, steps := site()
	starter.VolumeML, starter.KeepML = 200, 0 // the four flasks take 50 mL each
	got, err := ScaleUp(starter, steps[:1])
	if err != nil || got[0].ParentLeftML != 0 {
		t.Errorf("got %+v, %v, want nothing left", got, err)
	}
}

func TestScaleUpKeepsCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		starter, steps := site()
		starter.VolumeML, starter.CellsPerML = 1e9, rapid.Float64Range(1e5, 1e7).Draw(t, "starter")
		steps = steps[:1]
		steps[0].Vessels = rapid.IntRange(1, 20).Draw(t, "vessels")
		steps[0].VolumeML = rapid.Float64Range(1, 1e5).Draw(t, "volume")
		got, err := ScaleUp(starter, steps)
		if err != nil {
			t.Fatal(err)
		}
		in, out := got[0].InoculumTotalML*starter.CellsPerML, got[0].HarvestedTotalML*got[0].StartCellsPerML
		if math.Abs(in-out) > 1e-9*out || math.Abs(got[0].InoculumML+got[0].MediumML-got[0].VolumeML) > 1e-9*got[0].VolumeML {
			t.Fatalf("%v cells put in, %v found: %+v", in, out, got[0])
		}
	})
}

func ExampleScaleUp() {
	steps, err := ScaleUp(
		Starter{Name: "tube", CellsPerML: 1e6, VolumeML: 60, KeepML: 20},
		[]ScaleUpStep{
			{Name: "flask", Vessels: 3, VolumeML: 250, StartCellsPerML: 5e4, HarvestCellsPerML: 1e6, RatePerDay: 0.45, LagDays: 1},
			{Name: "carboy", Vessels: 1, VolumeML: 10000, StartCellsPerML: 5e4, HarvestCellsPerML: 1e6, RatePerDay: 0.4, LagDays: 1.5},
		})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range steps {
		fmt.Printf("day %d: %.1f mL of %s and %.1f mL of medium into each %s, ready on day %d\n",
			s.SplitDay, s.InoculumML, s.From, s.MediumML, s.Name, s.ReadyDay)
	}
	// Output:
	// day 0: 12.5 mL of tube and 237.5 mL of medium into each flask, ready on day 8
	// day 8: 500.0 mL of flask and 9500.0 mL of medium into each carboy, ready on day 17
}
