package seawater

import (
	"fmt"
	"math"
	"testing"
)

func TestRangesOfOxygen(t *testing.T) {
	refuses(t, "solubility, S", 0, 42, func(x float64) (float64, error) { return OxygenSolubility(x, 15) })
	refuses(t, "solubility, temperature", -2, 40, func(x float64) (float64, error) { return OxygenSolubility(35, x) })
	refuses(t, "mg/L, S", 0, 42, func(x float64) (float64, error) { return OxygenSolubilityMGPerL(x, 15) })
	refuses(t, "mg/L, temperature", -2, 40, func(x float64) (float64, error) { return OxygenSolubilityMGPerL(35, x) })
	refuses(t, "percent, measured", 0, 70, func(x float64) (float64, error) { return OxygenSaturationPercent(x, 35, 15) })
	refuses(t, "percent, S", 0, 42, func(x float64) (float64, error) { return OxygenSaturationPercent(8, x, 15) })
	refuses(t, "percent, temperature", -2, 40, func(x float64) (float64, error) { return OxygenSaturationPercent(8, 35, x) })
	refuses(t, "factor, S", 0, 40, func(x float64) (float64, error) { return OxygenPressureFactor(x, 15, 1000) })
	refuses(t, "factor, temperature", 0, 40, func(x float64) (float64, error) { return OxygenPressureFactor(35, x, 1000) })
	refuses(t, "factor, pressure", 0.5*1013.25, 1.1*1013.25, func(x float64) (float64, error) { return OxygenPressureFactor(35, 15, x) })
	refuses(t, "percent at pressure, measured", 0, 70, func(x float64) (float64, error) { return OxygenSaturationPercentAtPressure(x, 35, 15, 1000) })
	refuses(t, "percent at pressure, pressure", 0.5*1013.25, 1.1*1013.25,
		func(x float64) (float64, error) { return OxygenSaturationPercentAtPressure(8, 35, 15, x) })
}

func TestOxygenPressureFactor(t *testing.T) {
	cases := []struct {
		name               string
		s, temp, pressure  float64
		want, allowed      float64
		whereTheNumberIsOf string
	}{
		{"one atmosphere", 35, 15, 1013.25, 1, 1e-15, "definition"},
		{"fresh water, 1008 hPa", 0, 15, 1008, 10.031147 / 10.08428, 5e-6,
			"R package preMetabolizer, documented example of calc_O2sat: 10.08428 mg/L at 1 atm, 10.031147 at 100.8 kPa; its vapour pressure is another equation"},
		{"seawater, half an atmosphere", 35, 15, 506.625, (0.5 - 0.0166) / (1 - 0.0166), 1e-3,
			"the vapour pressure alone: 17.05 hPa over water at 15 °C (steam table, from memory), 0.0168 atm, 1.9 % " +
				"less over S 35; the virial term is left out, 0.0004"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := OxygenPressureFactor(c.s, c.temp, c.pressure)
			if err != nil || !(math.Abs(got-c.want) <= c.allowed) {
				t.Errorf("got %.7f (error %v), want %.7f within %g (%s)", got, err, c.want, c.allowed, c.whereTheNumberIsOf)
			}
		})
	}
}

func TestVapourPressure(t *testing.T) {
	// Steam table over fresh water, from memory: 6.11 hPa at 0 °C, 23.39 at 20 °C, 73.85 at 40 °C.
	// The equation of 1967 stands 0.15 % below it, hence 0.2 %; that moves the factor by 0.00001 at 980 hPa.
	for temp, want := range map[float64]float64{0: 6.11, 20: 23.39, 40: 73.85} {
		if got := 1013.25 * vapourPressureAtm(0, temp); math.Abs(got/want-1) > 0.002 {
			t.Errorf("%g °C: got %.3f hPa, want %.2f within 0.2 %%", temp, got, want)
		}
	}
}

func TestLowAirPressureRaisesThePercentage(t *testing.T) {
	level, err1 := OxygenSaturationPercent(7.2, 35, 18)
	low, err2 := OxygenSaturationPercentAtPressure(7.2, 35, 18, 980)
	standard, err3 := OxygenSaturationPercentAtPressure(7.2, 35, 18, 1013.25)
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	if low <= level || math.Abs(standard-level) > 1e-9 {
		t.Errorf("at 980 hPa %.4f %%, at 1013.25 hPa %.4f %%, without a barometer %.4f %%", low, standard, level)
	}
}

func ExampleOxygenSolubility() {
	// The check value of Garcia and Gordon (1992), whose 10 °C are on IPTS-68.
	solubility, _ := OxygenSolubility(35, 10/1.00024)
	fmt.Printf("%.2f µmol/kg\n", solubility)
	// Output: 274.61 µmol/kg
}

func ExampleOxygenSaturationPercentAtPressure() {
	level, _ := OxygenSaturationPercent(7.2, 35, 18)
	storm, _ := OxygenSaturationPercentAtPressure(7.2, 35, 18, 980)
	fmt.Printf("%.1f %% at 1013.25 hPa, %.1f %% at 980 hPa\n", level, storm)
	// Output: 93.8 % at 1013.25 hPa, 97.1 % at 980 hPa
}
