package counts

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestSpermRefuses(t *testing.T) {
	calls := map[string]func(x float64) (float64, error){
		"target":       func(x float64) (float64, error) { return SpermStockML(x, 1000, 1e7) },
		"vessel":       func(x float64) (float64, error) { return SpermStockML(1e5, x, 1e7) },
		"stock":        func(x float64) (float64, error) { return SpermStockML(1e5, 1000, x) },
		"water":        func(x float64) (float64, error) { return SpermPerEgg(1e5, x, 1000) },
		"eggs":         func(x float64) (float64, error) { return SpermPerEgg(1e5, 1000, x) },
		"egg diameter": EggsPerCM2,
	}
	for name, call := range calls {
		for _, x := range bad {
			if got, err := call(x); !errors.Is(err, limits.ErrRange) || got != 0 {
				t.Errorf("%s %v: %v, %v", name, x, got, err)
			}
		}
	}
	beyond := map[string]func() (float64, error){
		"stock as thin as the target": func() (float64, error) { return SpermStockML(1e5, 1000, 1e5) },
		"stock thinner":               func() (float64, error) { return SpermStockML(1e5, 1000, 9e4) },
		"sperm density negative":      func() (float64, error) { return SpermPerEgg(-1, 1000, 10) },
		"sperm density NaN":           func() (float64, error) { return SpermPerEgg(math.NaN(), 1000, 10) },
		"ratio overflows":             func() (float64, error) { return SpermPerEgg(1e300, 1e300, 1) },
		"egg of 29 µm":                func() (float64, error) { return EggsPerCM2(29) },
		"egg of 1.1 mm":               func() (float64, error) { return EggsPerCM2(1100) },
	}
	for name, call := range beyond {
		if got, err := call(); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
	if got, err := SpermPerEgg(0, 1000, 10); got != 0 || err != nil {
		t.Errorf("no sperm: %v, %v; want 0", got, err)
	}
}

func TestSpermStockReachesItsTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		target := rapid.Float64Range(1e3, 1e6).Draw(t, "target")
		vessel := rapid.Float64Range(10, 1e5).Draw(t, "vessel")
		stock := rapid.Float64Range(1.01e6, 1e10).Draw(t, "stock")
		added, err := SpermStockML(target, vessel, stock)
		if err != nil {
			t.Fatal(err)
		}
		if reached := stock * added / (vessel + added); math.Abs(reached-target) > 1e-9*target {
			t.Fatalf("%v mL reach %v, want %v", added, reached, target)
		}
	})
}

func TestFertilisationRate(t *testing.T) {
	got, err := FertilisationRate(81-11, 11, 263-81, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// Newcombe (1998), Table I: 81 of 263 gives 0.2553 to 0.3662.
	if math.Abs(got.Cleaved.Low-0.2553) > 5e-5 || math.Abs(got.Cleaved.High-0.3662) > 5e-5 {
		t.Errorf("cleaved %+v", got.Cleaved)
	}
	if got.Regular.Estimate != 70.0/263 || got.Irregular.Estimate != 11.0/263 || got.Scored != 263 || got.FewScored {
		t.Errorf("got %+v", got)
	}
	for _, c := range []struct {
		scored int
		few    bool
	}{{99, true}, {100, false}} {
		if got, err := FertilisationRate(c.scored, 0, 0, 0.95); err != nil || got.FewScored != c.few || got.Cleaved.High != 1 {
			t.Errorf("%d scored: %+v, %v", c.scored, got, err)
		}
	}
	for _, c := range []struct {
		regular, irregular, uncleaved int
		confidence                    float64
	}{{0, 0, 0, 0.95}, {-1, 5, 5, 0.95}, {5, -1, 5, 0.95}, {5, 5, -1, 0.95}, {mostTotal, 1, 0, 0.95}, {5, 5, 5, 1.2}, {5, 5, 5, math.NaN()}, {5, 5, 5, 0}} {
		if got, err := FertilisationRate(c.regular, c.irregular, c.uncleaved, c.confidence); !errors.Is(err, limits.ErrRange) || got != (Fertilisation{}) {
			t.Errorf("%+v: %+v, %v", c, got, err)
		}
	}
}

func ExampleSpermStockML() {
	// 1e5 sperm/mL in 10 L from a stock of 2e8: 1e5 x 10000 / (2e8 - 1e5).
	got, err := SpermStockML(1e5, 10_000, 2e8)
	fmt.Printf("%.3f mL %v\n", got, err)
	// Output: 5.003 mL <nil>
}

func ExampleSpermPerEgg() {
	// 1e5 sperm/mL in 10 L over 200,000 eggs.
	got, err := SpermPerEgg(1e5, 10_000, 200_000)
	fmt.Printf("%.0f %v\n", got, err)
	// Output: 5000 <nil>
}

func ExampleFertilisationRate() {
	got, err := FertilisationRate(104, 6, 10, 0.95)
	fmt.Printf("regular %.0f %% (%.0f to %.0f), irregular %.0f %%, %v\n",
		100*got.Regular.Estimate, 100*got.Regular.Low, 100*got.Regular.High, 100*got.Irregular.Estimate, err)
	// Output: regular 87 % (79 to 92), irregular 5 %, <nil>
}

func ExampleEggsPerCM2() {
	got, err := EggsPerCM2(150) // 0.5 x 4 / (pi x 0.015^2)
	fmt.Printf("%.0f %v\n", got, err)
	// Output: 2829 <nil>
}
