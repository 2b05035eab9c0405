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

func TestInoculumAndFeed(t *testing.T) {
	cases := []struct {
		name string
		call func() (float64, error)
		want float64
	}{
		// testdata/reference/dilution.csv, third row: 80 mL.
		{"inoculum", func() (float64, error) { return InoculumVolume(2e4, 20000, 5e6) }, 80},
		{"all of it", func() (float64, error) { return InoculumVolume(5e6, 100, 5e6) }, 100},
		// 100 L x (5e4 - 1e4) / (1e6 - 5e4) = 4.2105 L
		{"feed on top", func() (float64, error) { return FeedVolumeToDensity(5e4, 1e4, 100, 1e6) }, 1e5 * 4 / 95},
		{"fed already", func() (float64, error) { return FeedVolumeToDensity(5e4, 6e4, 100, 1e6) }, 0},
		{"fed already, thin culture", func() (float64, error) { return FeedVolumeToDensity(5e4, 6e4, 100, 1e3) }, 0},
		{"no ration", func() (float64, error) { return FeedVolumeToDensity(0, 0, 100, 1e6) }, 0},
		{"no animals", func() (float64, error) { return FeedVolumeForAnimals(0, 0, 1e6) }, 0},
		{"feed per animal", func() (float64, error) { return FeedVolumeForAnimals(1e5, 2000, 1e6) }, 200},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || !near(got, c.want) {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestInoculumRefuses(t *testing.T) {
	calls := map[string]func(x float64) error{
		"target":             func(x float64) error { _, err := InoculumVolume(x, 1, 1); return err },
		"final volume":       func(x float64) error { _, err := InoculumVolume(1, x, 1); return err },
		"culture":            func(x float64) error { _, err := InoculumVolume(1, 1, x); return err },
		"tank":               func(x float64) error { _, err := FeedVolumeToDensity(1, 0, x, 2); return err },
		"feed":               func(x float64) error { _, err := FeedVolumeToDensity(1, 0, 1, x); return err },
		"ration":             func(x float64) error { _, err := FeedVolumeToDensity(x-1e-9, 0, 1, 1); return err },
		"residual":           func(x float64) error { _, err := FeedVolumeToDensity(1, x-1e-9, 1, 2); return err },
		"ration an animal":   func(x float64) error { _, err := FeedVolumeForAnimals(x-1e-9, 1, 2); return err },
		"feed for an animal": func(x float64) error { _, err := FeedVolumeForAnimals(1, 1, x); return err },
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
	if _, err := FeedVolumeForAnimals(1, -1, 1); !errors.Is(err, limits.ErrRange) {
		t.Errorf("-1 animals: %v", err)
	}
}

func TestTooStrongSaysTheRemedy(t *testing.T) {
	_, inoculum := InoculumVolume(2e6, 100, 1e6)
	_, feed := FeedVolumeToDensity(1e6, 0, 100, 1e6)
	for remedy, err := range map[string]error{
		"grow or concentrate the culture, or lower the target": inoculum,
		"not below what the culture can give":                  feed,
	} {
		if !errors.Is(err, limits.ErrRange) || !strings.Contains(err.Error(), remedy) {
			t.Errorf("got %v, want %q in it", err, remedy)
		}
	}
}

func TestFeedReachesTheRation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		culture := rapid.Float64Range(1e5, 1e7).Draw(t, "culture")
		ration := rapid.Float64Range(0.01, 0.9).Draw(t, "ration share") * culture
		residual := rapid.Float64Range(0, 1).Draw(t, "residual share") * ration
		tankL := rapid.Float64Range(0.1, 1e4).Draw(t, "tank")
		feedML, err := FeedVolumeToDensity(ration, residual, tankL, culture)
		if err != nil {
			t.Fatal(err)
		}
		feedL := feedML / 1000
		got := (residual*tankL + culture*feedL) / (tankL + feedL)
		if math.Abs(got-ration) > 1e-9*ration {
			t.Fatalf("the tank comes to %v, want %v", got, ration)
		}
	})
}

func ExampleInoculumVolume() {
	ml, err := InoculumVolume(2e4, 20000, 5e6)
	fmt.Printf("%.0f mL %v\n", ml, err)
	// Output: 80 mL <nil>
}

func ExampleFeedVolumeToDensity() {
	ml, err := FeedVolumeToDensity(5e4, 1e4, 100, 1e6)
	fmt.Printf("%.0f mL %v\n", ml, err)
	// Output: 4211 mL <nil>
}
