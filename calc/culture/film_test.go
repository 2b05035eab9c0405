package culture

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestFilm(t *testing.T) {
	cases := []struct {
		name string
		call func() (float64, error)
		want float64
	}{
		{"both sides", func() (float64, error) { return PlateArea(60, 30, 2) }, 3600},
		{"one side", func() (float64, error) { return PlateArea(60, 30, 1) }, 1800},
		{"cells for half attaching", func() (float64, error) { return SeedingCells(1e4, 3600, 0.5) }, 7.2e7},
		{"cells when all attach", func() (float64, error) { return SeedingCells(1e4, 3600, 1) }, 3.6e7},
		{"culture for no cells", func() (float64, error) { return CultureVolume(0, 1e6) }, 0},
		{"culture for cells", func() (float64, error) { return CultureVolume(7.2e7, 1e6) }, 72},
		{"culture for a film", func() (float64, error) { return SeedingVolume(1e4, 3600, 0.5, 1e6) }, 72},
		{"film from a scraping", func() (float64, error) { return FilmDensity(8e4, 10, 4) }, 2e5},
		{"bare patch", func() (float64, error) { return FilmDensity(0, 10, 4) }, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || !near(got, c.want) {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestPlateCounts(t *testing.T) {
	cases := []struct {
		name string
		call func() (int, error)
		want int
	}{
		{"exactly ten", func() (int, error) { return PlatesNeeded(3600, 0.1, 3600, 0) }, 10},
		{"one spat more", func() (int, error) { return PlatesNeeded(3601, 0.1, 3600, 0) }, 11},
		{"ten and a spare", func() (int, error) { return PlatesNeeded(3600, 0.1, 3600, 0.1) }, 11},
		{"never none", func() (int, error) { return PlatesNeeded(1e-12, 1, 3600, 0) }, 1},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || got != c.want {
				t.Errorf("got %v, %v, want %v", got, err, c.want)
			}
		})
	}
}

func TestFilmRefuses(t *testing.T) {
	calls := map[string]func(x float64) error{
		"length":       func(x float64) error { _, err := PlateArea(x, 1, 1); return err },
		"height":       func(x float64) error { _, err := PlateArea(1, x, 1); return err },
		"film":         func(x float64) error { _, err := SeedingCells(x, 1, 1); return err },
		"area":         func(x float64) error { _, err := SeedingCells(1, x, 1); return err },
		"share":        func(x float64) error { _, err := SeedingCells(1, 1, x); return err },
		"share of two": func(x float64) error { _, err := SeedingVolume(1, 1, x, 1); return err },
		"culture":      func(x float64) error { _, err := CultureVolume(1, x); return err },
		"cells":        func(x float64) error { _, err := CultureVolume(x-1e-9, 1); return err },
		"count":        func(x float64) error { _, err := FilmDensity(x-1e-9, 1, 1); return err },
		"suspension":   func(x float64) error { _, err := FilmDensity(1, x, 1); return err },
		"patch":        func(x float64) error { _, err := FilmDensity(1, 1, x); return err },
		"spat":         func(x float64) error { _, err := PlatesNeeded(x, 1, 1, 0); return err },
		"spat density": func(x float64) error { _, err := PlatesNeeded(1, x, 1, 0); return err },
		"plate":        func(x float64) error { _, err := PlatesNeeded(1, 1, x, 0); return err },
		"spare":        func(x float64) error { _, err := PlatesNeeded(1, 1, 1, x-1e-9); return err },
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
	for name, err := range map[string]error{
		"three sides":     second(PlateArea(1, 1, 3)),
		"no side":         second(PlateArea(1, 1, 0)),
		"percent, 80":     second(SeedingCells(1, 1, 80)),
		"too many plates": second(PlatesNeeded(1e9, 1, 1, 0)),
	} {
		if !errors.Is(err, limits.ErrRange) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestPlatesHoldTheSpat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spat := rapid.Float64Range(1, 1e6).Draw(t, "spat")
		density := rapid.Float64Range(0.1, 2).Draw(t, "spat/cm2")
		plate := rapid.Float64Range(100, 1e4).Draw(t, "cm2")
		plates, err := PlatesNeeded(spat, density, plate, 0)
		if err != nil {
			t.Fatal(err)
		}
		if room := float64(plates) * density * plate; room < spat*(1-1e-6) {
			t.Fatalf("%d plates hold %v of %v", plates, room, spat)
		}
		if fewer := float64(plates-1) * density * plate; plates > 1 && fewer >= spat {
			t.Fatalf("%d plates would have done", plates-1)
		}
	})
}

func ExampleSeedingVolume() {
	// 40 plates of 60 x 30 cm, both sides, to 1e4 cells/cm2 when 65 % attach.
	area, err := PlateArea(60, 30, 2)
	if err != nil {
		fmt.Println(err)
		return
	}
	ml, err := SeedingVolume(1e4, 40*area, 0.65, 1e6)
	fmt.Printf("%.0f mL %v\n", ml, err)
	// Output: 2215 mL <nil>
}
