package seawater

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"spatsheet/calc/limits"
)

// oneKilogramL is the volume of a kilogram of pure water at 4 °C: the row
// density_pure_water at 4 °C of testdata/reference/seawater.csv, 999.97487 kg/m3.
const oneKilogramL = 1000 / 999.97487

func TestMixingWorkedByHand(t *testing.T) {
	cases := []struct {
		name string
		f    func() (float64, error)
		want float64 // worked in the name or beside
	}{
		{"nothing to lower", func() (float64, error) { return FreshWaterToLower(100, 33, 33, 18) }, 0},
		{"nothing to raise", func() (float64, error) { return SaltToRaise(100, 33, 33, 18, 0.87) }, 0},
		{"a kilogram of pure water to S 35 with dry salt: x/(1000 + x) = 0.03516504",
			func() (float64, error) { return SaltToRaise(oneKilogramL, 0, 35, 4, 1) }, 35.16504 / 0.96483496},
		{"the same with a product that is 80 % salt: 0.8 x/(1000 + x) = 0.03516504",
			func() (float64, error) { return SaltToRaise(oneKilogramL, 0, 35, 4, 0.8) }, 35.16504 / 0.76483496},
		// A litre of S 35 at 20 °C weighs 1.024766 kg (density_teos10_exact in seawater.csv gives
		// 1024.76600); to S 17.5 it takes as many kg of fresh water at 998.20715 kg/m3.
		{"half the salinity takes the same mass of fresh water",
			func() (float64, error) { return FreshWaterToLower(1, 35, 17.5, 20) }, 1024.76600 / 998.20715},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.f()
			// 1e-7 of the value: the densities above are printed to 1e-5 kg/m3, 1e-8 of them.
			if err != nil || !(math.Abs(got-c.want) <= 1e-7*max(1, c.want)) {
				t.Errorf("got %.9g, %v; want %.9g", got, err, c.want)
			}
		})
	}
}

func TestRangesOfMixing(t *testing.T) {
	type calculation = func(float64) (float64, error)
	for name, f := range map[string]calculation{
		"raise from 0": func(x float64) (float64, error) { return SaltToRaise(100, 0, x, 15, 0.9) },
		"volumes":      func(x float64) (float64, error) { a, _, err := VolumesToMix(1, x, 0, 42, 15); return a, err },
	} {
		refuses(t, name+", S", 0, 42, f)
	}
	for name, f := range map[string]calculation{
		"lower":   func(x float64) (float64, error) { return FreshWaterToLower(1, 35, 30, x) },
		"raise":   func(x float64) (float64, error) { return SaltToRaise(1, 30, 35, x, 0.9) },
		"volumes": func(x float64) (float64, error) { _, b, err := VolumesToMix(1, 33, 35, 20, x); return b, err },
	} {
		refuses(t, name+", temperature", -2, 40, f)
	}
	for name, f := range map[string]calculation{
		"lower, volume": func(x float64) (float64, error) { return FreshWaterToLower(x, 35, 30, 15) },
		"raise, volume": func(x float64) (float64, error) { return SaltToRaise(x, 30, 35, 15, 0.9) },
	} {
		for _, x := range []float64{-1e-9, math.NaN(), math.Inf(1), math.Inf(-1)} {
			if got, err := f(x); got != 0 || !errors.Is(err, limits.ErrRange) {
				t.Errorf("%s %v: got %v, %v; want 0 and ErrRange", name, x, got, err)
			}
		}
	}
	refuses(t, "share of salt", 0.5, 1, func(x float64) (float64, error) { return SaltToRaise(100, 30, 35, 15, x) })
	// 0 is not allowed: no amount of fresh water takes all the salt away.
	for _, x := range []float64{0, -1, math.Nextafter(35, 36), math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := FreshWaterToLower(100, 35, x, 15); got != 0 || !errors.Is(err, limits.ErrRange) {
			t.Errorf("lower to %v: got %v, %v; want 0 and ErrRange", x, got, err)
		}
	}
}

func TestMixturesThatCannotBe(t *testing.T) {
	cases := []struct {
		name string
		f    func() error
		want string
	}{
		{"wanted saltier than both", func() error { _, _, err := VolumesToMix(100, 36, 35, 0, 15); return err },
			"practical salinity wanted: 36 is out of range; it must lie from 0 to 35"},
		{"two waters alike", func() error { _, _, err := VolumesToMix(100, 35, 35, 35, 15); return err },
			"both waters have practical salinity 35, so no share of them can be told; give two that differ: out of range"},
		{"no volume wanted", func() error { _, _, err := VolumesToMix(0, 30, 35, 0, 15); return err },
			"volume wanted: 0 L is out of range; it must be above 0 L"},
		{"fresh water cannot raise", func() error { _, err := FreshWaterToLower(100, 30, 33, 15); return err },
			"practical salinity wanted: 33 is out of range; it must lie from 0 to 30"},
		{"salt cannot lower", func() error { _, err := SaltToRaise(100, 33, 30, 15, 1); return err },
			"practical salinity wanted: 30 is out of range; it must lie from 33 to 42"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if err := c.f(); err == nil || err.Error() != c.want || !errors.Is(err, limits.ErrRange) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}

func ExampleVolumesToMix() {
	sea, fresh, _ := VolumesToMix(100, 30, 35, 0, 18)
	fmt.Printf("%.2f L of seawater and %.2f L of fresh water\n", sea, fresh)
	// Output: 85.39 L of seawater and 14.61 L of fresh water
}

func ExampleSaltToRaise() {
	grams, _ := SaltToRaise(100, 30, 35, 18, 0.87)
	fmt.Printf("%.0f g\n", grams)
	// Output: 615 g
}
