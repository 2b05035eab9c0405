package seawater

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"spatsheet/calc/limits"
)

// The comments of density.go and hydrometer.go say how far the three equations differ;
// the figures come from this sweep, not from elsewhere.
func TestDensityEquationsDifferAsTheCommentsSay(t *testing.T) {
	worstHatchery, worst, worstRoquet, worstGravity := 0.0, 0.0, 0.0, 0.0
	for s := 0.0; s <= 42; s += 0.5 {
		for temp := -2.0; temp <= 40; temp += 0.5 {
			teos, err1 := Density(s, temp)
			eos80, err2 := DensityMillero1981(s, temp)
			roquet, err3 := DensityRoquet2015(s*35.16504/35, temp)
			if err := errors.Join(err1, err2, err3); err != nil {
				t.Fatalf("S %g, %g °C: %v", s, temp, err)
			}
			worst = max(worst, math.Abs(teos-eos80))
			worstRoquet = max(worstRoquet, math.Abs(teos-roquet))
			if s >= 5 && s <= 40 && temp >= 5 && temp <= 32 {
				worstHatchery = max(worstHatchery, math.Abs(teos-eos80))
			}
			if temp >= 0 {
				pure, _ := PureWaterDensity(temp)
				pure80, _ := DensityMillero1981(0, temp)
				worstGravity = max(worstGravity, math.Abs(teos/pure-eos80/pure80))
			}
		}
	}
	if worstHatchery > 0.006 || worst > 0.012 || worstRoquet > 0.0015 || worstGravity > 1e-5 {
		t.Errorf("EOS-80 %.4f kg/m3 in the hatchery's range and %.4f anywhere, Roquet %.4f, gravity %.2g; the comments say 0.006, 0.012, 0.0015, 0.00001",
			worstHatchery, worst, worstRoquet, worstGravity)
	}
}

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
	maxAbsolute := 42 * (35.16504 / 35.0)
	refuses(t, "density, S", 0, 42, func(x float64) (float64, error) { return Density(x, 15) })
	refuses(t, "density, temperature", -2, 40, func(x float64) (float64, error) { return Density(35, x) })
	refuses(t, "EOS-80, S", 0, 42, func(x float64) (float64, error) { return DensityMillero1981(x, 15) })
	refuses(t, "EOS-80, temperature", -2, 40, func(x float64) (float64, error) { return DensityMillero1981(35, x) })
	refuses(t, "density, SA", 0, maxAbsolute, func(x float64) (float64, error) { return DensityOfAbsoluteSalinity(x, 15) })
	refuses(t, "density of SA, temperature", -2, 40, func(x float64) (float64, error) { return DensityOfAbsoluteSalinity(35, x) })
	refuses(t, "75 terms, SA", 0, maxAbsolute, func(x float64) (float64, error) { return DensityRoquet2015(x, 15) })
	refuses(t, "75 terms, temperature", -2, 40, func(x float64) (float64, error) { return DensityRoquet2015(35, x) })
	refuses(t, "pure water", 0, 40, PureWaterDensity)
	refuses(t, "absolute salinity", 0, 42, AbsoluteSalinity)
	refuses(t, "salinity from absolute", 0, maxAbsolute, SalinityFromAbsolute)
	refuses(t, "conductivity, S", 2, 42, func(x float64) (float64, error) { return Conductivity(x, 15) })
	refuses(t, "conductivity, temperature", -2, 35, func(x float64) (float64, error) { return Conductivity(35, x) })
	refuses(t, "salinity from conductivity, temperature", -2, 35, func(x float64) (float64, error) { return SalinityFromConductivity(30, x) })
	refuses(t, "gravity, S", 0, 42, func(x float64) (float64, error) { return SpecificGravity(x, 20, 20) })
	refuses(t, "gravity, temperature", -2, 40, func(x float64) (float64, error) { return SpecificGravity(35, x, 20) })
	refuses(t, "gravity, reference", 0, 40, func(x float64) (float64, error) { return SpecificGravity(35, 20, x) })
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

func ExampleDensityMillero1981() {
	// The check values of UNESCO Technical Papers in Marine Science 44 are on IPTS-68.
	for _, salinity := range []float64{0, 35} {
		for _, temp68 := range []float64{5.0, 25} {
			density, _ := DensityMillero1981(salinity, temp68/1.00024)
			fmt.Printf("S %g, %g °C: %.5f kg/m3\n", salinity, temp68, density)
		}
	}
	// Output:
	// S 0, 5 °C: 999.96675 kg/m3
	// S 0, 25 °C: 997.04796 kg/m3
	// S 35, 5 °C: 1027.67547 kg/m3
	// S 35, 25 °C: 1023.34306 kg/m3
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

func ExampleAbsoluteSalinity() {
	// The definition of reference-composition salinity, Millero et al. (2008).
	salt, _ := AbsoluteSalinity(35)
	fmt.Printf("%.5f g/kg\n", salt)
	// Output: 35.16504 g/kg
}
