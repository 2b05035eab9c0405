package stats

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// assertFinite walks every float of a result: no NaN or infinity may come with a nil error.
func assertFinite(t *rapid.T, x reflect.Value) {
	switch x.Kind() {
	case reflect.Float64:
		if f := x.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Fatalf("a result holds %v", f)
		}
	case reflect.Struct:
		for i := range x.NumField() {
			assertFinite(t, x.Field(i))
		}
	case reflect.Slice:
		for i := range x.Len() {
			assertFinite(t, x.Index(i))
		}
	}
}

// Any numbers at all, the bad ones among them: an error or finite numbers, and no panic.
func TestResultsAreFiniteOrRefused(t *testing.T) {
	anything := rapid.OneOf(
		rapid.Float64Range(0, 50), rapid.Float64(), rapid.Map(rapid.IntRange(-1, 6), func(i int) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, 1, 1.2, 95, 1e-310, 5e-324, 1e308, math.MaxFloat64, math.NaN(), math.Inf(1), math.Inf(-1)}),
	)
	tame := rapid.OneOf(rapid.Float64Range(0, 50), rapid.Map(rapid.IntRange(0, 6), func(i int) float64 { return float64(i) }))
	rapid.Check(t, func(t *rapid.T) {
		source := rapid.SampledFrom([]*rapid.Generator[float64]{anything, tame}).Draw(t, "source")
		x := rapid.SliceOfN(source, 5, 8).Draw(t, "x")
		y := rapid.SliceOfN(source, len(x), len(x)).Draw(t, "y")
		check := func(result any, err error) {
			if err == nil {
				assertFinite(t, reflect.ValueOf(result))
			}
		}
		keep := func(f func() (any, error)) { check(f()) }
		keep(func() (any, error) { return FitExponential(x, y, 0.95) })
		keep(func() (any, error) { return FitVonBertalanffy(x, y, 0.95) })
		keep(func() (any, error) { return FitVonBertalanffyFromZero(x, y, 0.95) })
		keep(func() (any, error) { return FitDevelopment(x, y) })
		keep(func() (any, error) { return MeanStudent1908(x, y[0]) })
		keep(func() (any, error) { return ContributingParents(x) })
		keep(func() (any, error) { return EffectiveSizeFromContributions(x, y) })
		keep(func() (any, error) { return EffectiveSizeOverGenerations(x) })
		keep(func() (any, error) { return EffectiveSizeWithHatchery(x[0], x[1], x[2]) })
		keep(func() (any, error) { return EffectiveSizeFromFamilyVariance(4, x[0]) })
		keep(func() (any, error) { return InbreedingAfter(x[0], 4) })
		keep(func() (any, error) { return GonadIndexPercent(x[0], x[1]) })
		keep(func() (any, error) { return LossPerDay(x[0], x[1]) })
		keep(func() (any, error) { return AnimalsToStart(x[0], y[:2]) })
		keep(func() (any, error) { return DegreeHours([]TemperatureReading{{x[0], y[0]}, {x[1], y[1]}}, x[2]) })
		keep(func() (any, error) {
			return LifeTable([]StageCount{{"a", x[0], y[0]}, {"b", x[1], y[1]}, {"c", x[2], y[2]}})
		})
		keep(func() (any, error) {
			return KaplanMeier([]Observation{{x[0], true, 3}, {x[1], true, 2}, {x[2], false, 2}}, y[0], LimitsLog)
		})
	})
}
