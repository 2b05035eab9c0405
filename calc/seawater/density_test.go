package seawater

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"spatsheet/calc/limits"
)

// outside lists values no calculation may accept, beside the limits low and high.
func outside(low, high float64) []float64 {
	return []float64{math.Nextafter(low, math.Inf(-1)), math.Nextafter(high, math.Inf(1)),
		math.NaN(), math.Inf(1), math.Inf(-1)}
}

// refuses asserts that f gives 0 and ErrRange for every value and works at both limits.
func refuses(t *testing.T, name string, low, high float64, f func(float64) (float64, error)) {
	t.Helper()
	for _, x := range outside(low, high) {
		if got, err := f(x); got != 0 || !errors.Is(err, limits.ErrRange) {
			t.Errorf("%s %v: got %v, %v; want 0 and ErrRange", name, x, got, err)
		}
	}
	for _, x := range []float64{low, high} {
		if got, err := f(x); err != nil || math.IsNaN(got) || math.IsInf(got, 0) {
			t.Errorf("%s %v, a limit: got %v, %v; want a number", name, x, got, err)
		}
	}
}

func TestRangesOfDensityAndSalinity(t *testing.T) {
	refuses(t, "density, S", 0, 42, func(x float64) (float64, error) { return Density(x, 15) })
	refuses(t, "density, temperature", -2, 40, func(x float64) (float64, error) { return Density(35, x) })
	refuses(t, "pure water", 0, 40, PureWaterDensity)
	refuses(t, "conductivity, S", 2, 42, func(x float64) (float64, error) { return Conductivity(x, 15) })
	refuses(t, "conductivity, temperature", -2, 35, func(x float64) (float64, error) { return Conductivity(35, x) })
	refuses(t, "salinity from conductivity, temperature", -2, 35, func(x float64) (float64, error) { return SalinityFromConductivity(30, x) })
	refuses(t, "salinity from gravity, temperature", -2, 40, func(x float64) (float64, error) { return SalinityFromSpecificGravity(1.02, x, 20) })
	refuses(t, "salinity from gravity, reference", 0, 40, func(x float64) (float64, error) { return SalinityFromSpecificGravity(1.02, 20, x) })
}

func TestReadingsThatNoSeawaterGives(t *testing.T) {
	cases := []struct {
		name string
		f    func() (float64, error)
		want string
	}{
		{"salinity 60", func() (float64, error) { return Density(60, 20) },
			"practical salinity: 60 is out of range; it must lie from 0 to 42"},
		{"5 °C below zero", func() (float64, error) { return Density(35, -5) },
			"temperature: -5 °C is out of range; it must lie from -2 to 40 °C"},
		{"tap water in the conductivity cell", func() (float64, error) { return SalinityFromConductivity(0.5, 20) }, ""},
		{"microsiemens typed as millisiemens", func() (float64, error) { return SalinityFromConductivity(47918, 20) }, ""},
		{"infinite conductivity", func() (float64, error) { return SalinityFromConductivity(math.Inf(1), 20) }, ""},
		{"negative conductivity", func() (float64, error) { return SalinityFromConductivity(-1, 20) },
			"conductivity: -1 mS/cm is out of range; it must be at least 0 mS/cm"},
		{"salinity typed as gravity", func() (float64, error) { return SalinityFromSpecificGravity(35, 20, 20) }, ""},
		{"gravity below water", func() (float64, error) { return SalinityFromSpecificGravity(0.99, 20, 20) }, ""},
		{"gravity not a number", func() (float64, error) { return SalinityFromSpecificGravity(math.NaN(), 20, 20) }, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.f()
			if got != 0 || !errors.Is(err, limits.ErrRange) {
				t.Fatalf("got %v, %v; want 0 and ErrRange", got, err)
			}
			if c.want != "" && err.Error() != c.want {
				t.Errorf("got %q, want %q", err, c.want)
			}
		})
	}
}

func ExampleDensity() {
	density, err := Density(34, 14)
	fmt.Printf("%.3f kg/m3 %v\n", density, err)
	_, err = Density(60, 14)
	fmt.Println(err)
	// Output:
	// 1025.418 kg/m3 <nil>
	// practical salinity: 60 is out of range; it must lie from 0 to 42
}

func ExampleSalinityFromConductivity() {
	// The definition of the scale: standard seawater at 15 °C on IPTS-68.
	salinity, _ := SalinityFromConductivity(42.914, 15/1.00024)
	fmt.Printf("%.4f\n", salinity)
	// Output: 35.0000
}

func ExampleSalinityFromSpecificGravity() {
	for _, reference := range []float64{15, 20} {
		salinity, _ := SalinityFromSpecificGravity(1.025, 20, reference)
		fmt.Printf("1.025 at 20 °C, marked 20/%g °C: S %.1f\n", reference, salinity)
	}
	// Output:
	// 1.025 at 20 °C, marked 20/15 °C: S 34.1
	// 1.025 at 20 °C, marked 20/20 °C: S 32.9
}
