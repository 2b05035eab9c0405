package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

var notPositive = []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)}

func TestFitsRefuse(t *testing.T) {
	days, counts := []float64{0, 1, 2, 3, 4}, []float64{1, 2, 3, 3.5, 3.7}
	change := func(row []float64, at int, x float64) []float64 {
		changed := append([]float64(nil), row...)
		changed[at] = x
		return changed
	}
	cases := []struct {
		name       string
		x, y       []float64
		confidence float64
		want       error
	}{
		{"unpaired", days, counts[1:], 0.95, limits.ErrRange},
		{"nothing", nil, nil, 0.95, ErrTooFew},
		{"two", days[:2], counts[:2], 0.95, ErrTooFew},
		{"one day only", []float64{2, 2, 2, 2, 2}, counts, 0.95, ErrTooFew},
		{"day NaN", change(days, 1, math.NaN()), counts, 0.95, limits.ErrRange},
		{"day Inf", change(days, 1, math.Inf(1)), counts, 0.95, limits.ErrRange},
		{"size NaN", days, change(counts, 2, math.NaN()), 0.95, limits.ErrRange},
		{"size negative", days, change(counts, 2, -1), 0.95, limits.ErrRange},
		{"confidence 1.2", days, counts, 1.2, limits.ErrRange},
		{"confidence NaN", days, counts, math.NaN(), limits.ErrRange},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := FitExponential(c.x, c.y, c.confidence); !errors.Is(err, c.want) {
				t.Errorf("exponential: got %+v, %v; want %v", got, err, c.want)
			}
			if got, err := FitVonBertalanffy(c.x, c.y, c.confidence); !errors.Is(err, c.want) {
				t.Errorf("von Bertalanffy: got %+v, %v; want %v", got, err, c.want)
			}
			if got, err := FitVonBertalanffyFromZero(c.x, c.y, c.confidence); !errors.Is(err, c.want) {
				t.Errorf("von Bertalanffy from zero: got %+v, %v; want %v", got, err, c.want)
			}
		})
	}
	want := "value 2 of 5: observation: NaN is out of range; it must be a finite number"
	if _, err := FitExponential(change(days, 1, math.NaN()), counts, 0.95); err == nil || err.Error() != want {
		t.Errorf("got %v, want %q", err, want)
	}
	if _, err := FitExponential(days, change(counts, 2, 0), 0.95); !errors.Is(err, limits.ErrRange) {
		t.Errorf("count 0: %v", err)
	}
	if _, err := FitVonBertalanffyFromZero(change(days, 0, -1), counts, 0.95); !errors.Is(err, limits.ErrRange) {
		t.Errorf("age -1 from zero: %v", err)
	}
}

func TestCurvesThatAreNoGrowthCurve(t *testing.T) {
	ages := []float64{1, 2, 3, 4, 5, 6}
	cases := []struct {
		name    string
		lengths []float64
	}{
		{"a straight line", []float64{1, 2, 3, 4, 5, 6}},
		{"bending upward", []float64{1, 2, 4, 8, 16, 32}},
		{"all the same", []float64{4, 4, 4, 4, 4, 4}},
		{"all zero", []float64{0, 0, 0, 0, 0, 0}},
		{"shrinking", []float64{9, 6, 4.5, 3.8, 3.4, 3.2}},
		{"one step", []float64{0, 5, 5, 5, 5, 5}},
		{"one step, in µm", []float64{0, 5e4, 5e4, 5e4, 5e4, 5e4}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := FitVonBertalanffy(ages, c.lengths, 0.95); !errors.Is(err, ErrNoFit) {
				t.Fatalf("got %+v, %v; want ErrNoFit", got, err)
			}
		})
	}
}

func TestVonBertalanffyFindsTheCurveItCameFrom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		largest := rapid.Float64Range(0.1, 300).Draw(t, "Linf")
		rate := rapid.Float64Range(0.1, 2).Draw(t, "K")
		ageAtZero := rapid.Float64Range(-2, 0.4).Draw(t, "t0")
		unit := rapid.SampledFrom([]float64{1, 365.25, 8766}).Draw(t, "ages per year")
		var ages, lengths []float64
		for age := 0.5; age <= 7; age += 0.5 {
			ages = append(ages, age*unit)
			lengths = append(lengths, -largest*math.Expm1(-rate*(age-ageAtZero)))
		}
		fit, err := FitVonBertalanffy(ages, lengths, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near := func(name string, got, want, scale float64) {
			if math.Abs(got-want) > 1e-5*scale {
				t.Fatalf("%s: got %v, want %v", name, got, want)
			}
		}
		near("Linf", fit.LargestLength.Estimate, largest, largest)
		near("K", fit.Rate.Estimate, rate/unit, rate/unit)
		near("t0", fit.AgeAtZero.Estimate, ageAtZero*unit, unit)
		length, err := fit.LengthAt(ages[3])
		if err != nil {
			t.Fatal(err)
		}
		near("length", length, lengths[3], largest)
	})
}

func TestLengthAtStaysInsideTheAgesTried(t *testing.T) {
	fit, err := FitVonBertalanffyFromZero([]float64{1, 2, 3, 4}, []float64{4, 6, 7.5, 8}, 0.95)
	if err != nil || fit.HasAgeAtZero || fit.AgeAtZero != (Parameter{}) {
		t.Fatalf("%+v, %v", fit, err)
	}
	for _, age := range []float64{0.99, 4.01, math.NaN(), math.Inf(1)} {
		if got, err := fit.LengthAt(age); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("age %v: %v, %v", age, got, err)
		}
	}
}

// The straight line must not depend on where the days are counted from.
func TestExponentialRateIgnoresTheFirstDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		counts := rapid.SliceOfN(rapid.Float64Range(1, 1e7), 3, 12).Draw(t, "counts")
		shift := rapid.Float64Range(-30, 30).Draw(t, "shift")
		days, later := make([]float64, len(counts)), make([]float64, len(counts))
		for i := range counts {
			days[i], later[i] = float64(i), float64(i)+shift
		}
		a, errA := FitExponential(days, counts, 0.95)
		b, errB := FitExponential(later, counts, 0.95)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if math.Abs(a.RatePerDay.Low-b.RatePerDay.Low) > 1e-7 || math.Abs(a.RatePerDay.Estimate-b.RatePerDay.Estimate) > 1e-9 {
			t.Fatalf("%+v, then %+v", a, b)
		}
	})
}

func ExampleFitVonBertalanffy() {
	// Kimura (1980), female Pacific hake: Linf 61.23 cm, K 0.296 per year, t0 -0.057 years.
	ages := []float64{1, 2, 3.3, 4.3, 5.3, 6.3, 7.3, 8.3, 9.3, 10.3, 11.3, 12.3, 13.3}
	lengths := []float64{15.4, 28.03, 41.18, 46.2, 48.23, 50.26, 51.82, 54.27, 56.98, 58.93, 59, 60.91, 61.83}
	fit, err := FitVonBertalanffy(ages, lengths, 0.95)
	fmt.Printf("Linf %.2f cm (%.1f to %.1f), ", fit.LargestLength.Estimate, fit.LargestLength.Low, fit.LargestLength.High)
	fmt.Printf("K %.3f per year, t0 %.3f years, %v\n", fit.Rate.Estimate, fit.AgeAtZero.Estimate, err)
	// Output: Linf 61.23 cm (58.5 to 63.9), K 0.296 per year, t0 -0.057 years, <nil>
}

func ExampleFitVonBertalanffyFromZero() {
	// Bates and Watts (1988), oxygen demand: A 19.143 mg/L, k 0.5311 per day.
	fit, err := FitVonBertalanffyFromZero([]float64{1, 2, 3, 4, 5, 7}, []float64{8.3, 10.3, 19, 16, 15.6, 19.8}, 0.95)
	fmt.Printf("%.3f, %.4f, %v\n", fit.LargestLength.Estimate, fit.Rate.Estimate, err)
	// Output: 19.143, 0.5311, <nil>
}

func ExampleFitExponential() {
	// R 4.2.2 lm and confint on these counts: 0.5163 a day, 0.5037 to 0.5290.
	days := []float64{0, 1, 2, 3, 4, 5, 6}
	cellsPerML := []float64{21000, 34500, 61000, 98000, 171000, 270000, 468000}
	fit, err := FitExponential(days, cellsPerML, 0.95)
	fmt.Printf("%.4f a day (%.4f to %.4f) %v\n", fit.RatePerDay.Estimate, fit.RatePerDay.Low, fit.RatePerDay.High, err)
	// Output: 0.5163 a day (0.5037 to 0.5290) <nil>
}
