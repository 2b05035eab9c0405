package culture

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestGrowth(t *testing.T) {
	e := math.E
	cases := []struct {
		name string
		call func() (float64, error)
		want float64
	}{
		{"rate, e times in 2 days", func() (float64, error) { return SpecificGrowthRate(1e4, 1e4*e, 2) }, 0.5},
		{"rate, shrinking", func() (float64, error) { return SpecificGrowthRate(1e4, 1e4/e, 4) }, -0.25},
		{"divisions of ln 2", func() (float64, error) { return DivisionsPerDay(math.Ln2) }, 1},
		{"rate of half a division", func() (float64, error) { return RateFromDivisions(0.5) }, 0.5 * math.Ln2},
		{"doubling at 2 ln 2", func() (float64, error) { return DoublingDays(2 * math.Ln2) }, 0.5},
		{"1:e with lag", func() (float64, error) { return DaysToGrow(e, 0.5, 1.5) }, 3.5},
		{"1:1 is the lag", func() (float64, error) { return DaysToGrow(1, 0.5, 1.5) }, 1.5},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || !near(got, c.want) {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestHarvestDay(t *testing.T) {
	cases := []struct {
		name                     string
		start, target, rate, lag float64
		want                     int
	}{
		{"rounded up", 1e4, 1e5, 0.4, 0, 6},                          // ln 10 / 0.4 = 5.76
		{"with lag", 1e4, 1e5, 0.4, 1.5, 8},                          // 7.26
		{"exact in spite of dust", 1e4, 8e4, math.Ln2, 2, 5},         // 3 doublings + 2
		{"one tenth over is a day more", 1e4, 8e4, math.Ln2, 2.1, 6}, // 5.1
		{"ready now", 1e5, 1e5, 0.4, 0, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := HarvestDay(c.start, c.target, c.rate, c.lag); err != nil || got != c.want {
				t.Errorf("got %d, %v, want %d", got, err, c.want)
			}
		})
	}
}

func TestGrowthRefuses(t *testing.T) {
	calls := map[string]func(x float64) error{
		"first density": func(x float64) error { _, err := SpecificGrowthRate(x, 1, 1); return err },
		"last density":  func(x float64) error { _, err := SpecificGrowthRate(1, x, 1); return err },
		"days":          func(x float64) error { _, err := SpecificGrowthRate(1, 1, x); return err },
		"doubling":      func(x float64) error { _, err := DoublingDays(x); return err },
		"ratio":         func(x float64) error { _, err := DaysToGrow(x, 1, 0); return err },
		"growth rate":   func(x float64) error { _, err := DaysToGrow(10, x, 0); return err },
		"lag":           func(x float64) error { _, err := DaysToGrow(10, 1, x-1e-9); return err },
		"start":         func(x float64) error { _, err := HarvestDay(x, 1, 1, 0); return err },
		"target":        func(x float64) error { _, err := HarvestDay(1, x, 1, 0); return err },
	}
	for name, call := range calls {
		for _, x := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
			// A *limits.Error names the argument; a division by 0 found out later would not.
			var refused *limits.Error
			if err := call(x); !errors.As(err, &refused) {
				t.Errorf("%s %v: got %v, want a *limits.Error", name, x, err)
			}
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1)} {
		if _, err := DivisionsPerDay(x); !errors.Is(err, limits.ErrRange) {
			t.Errorf("divisions of %v: %v", x, err)
		}
		if _, err := RateFromDivisions(x); !errors.Is(err, limits.ErrRange) {
			t.Errorf("rate of %v: %v", x, err)
		}
	}
	if _, err := HarvestDay(1, 10, 1e-300, 0); !errors.Is(err, limits.ErrRange) {
		t.Errorf("a growth rate of almost 0: %v", err)
	}
	_, err := HarvestDay(2e5, 1e5, 0.4, 0)
	want := "target density: 100000 cells/mL is below the starting density of 200000 cells/mL; harvest now, or raise the target: out of range"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestGrowthProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Float64Range(1, 1e6).Draw(t, "start")
		rate := rapid.Float64Range(0.01, 2).Draw(t, "rate")
		lag := rapid.Float64Range(0, 3).Draw(t, "lag")
		target := start * rapid.Float64Range(1, 1e4).Draw(t, "ratio")
		day, err := HarvestDay(start, target, rate, lag)
		if err != nil {
			t.Fatal(err)
		}
		reached := start * math.Exp(rate*math.Max(0, float64(day)-lag))
		if reached < target*(1-1e-6) {
			t.Fatalf("on day %d only %v of %v", day, reached, target)
		}
		if day > 0 && float64(day-1) > lag {
			if before := start * math.Exp(rate*(float64(day-1)-lag)); before >= target {
				t.Fatalf("already %v of %v the day before", before, target)
			}
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0.01, 2).Draw(t, "rate")
		doubling, err := DoublingDays(rate)
		if err != nil {
			t.Fatal(err)
		}
		back, err := SpecificGrowthRate(1e4, 2e4, doubling)
		if err != nil || math.Abs(back-rate) > 1e-9 {
			t.Fatalf("rate %v came back as %v: %v", rate, back, err)
		}
	})
}

func ExampleDaysToGrow() {
	// The trade's figure: a tenfold step at 0.4 a day takes 5.8 days, and the lag.
	days, err := DaysToGrow(10, 0.4, 0)
	fmt.Printf("%.1f d %v\n", days, err)
	// Output: 5.8 d <nil>
}

func ExampleDivisionsPerDay() {
	divisions, err := DivisionsPerDay(0.51)
	fmt.Printf("%.2f divisions a day %v\n", divisions, err)
	// Output: 0.74 divisions a day <nil>
}

func ExampleHarvestDay() {
	day, err := HarvestDay(2e4, 1e6, 0.45, 1.5)
	fmt.Println("day", day, err)
	// Output: day 11 <nil>
}
