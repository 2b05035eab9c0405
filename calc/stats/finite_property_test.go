package stats

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// everyNumber lists every float of a result.
func everyNumber(x reflect.Value) []float64 {
	var numbers []float64
	switch x.Kind() {
	case reflect.Float64:
		numbers = append(numbers, x.Float())
	case reflect.Struct:
		for i := range x.NumField() {
			numbers = append(numbers, everyNumber(x.Field(i))...)
		}
	case reflect.Slice:
		for i := range x.Len() {
			numbers = append(numbers, everyNumber(x.Index(i))...)
		}
	}
	return numbers
}

// anyArguments are functions of this package by name, with all they take from a row of numbers;
// good is a row within their ranges.
var anyArguments = map[string]struct {
	good []float64
	call func(x []float64) (any, error)
}{
	"ContributingParents":            {[]float64{3, 1, 0, 5, 2}, func(x []float64) (any, error) { return ContributingParents(x) }},
	"EffectiveSizeFromContributions": {[]float64{3, 1, 4, 5, 2}, func(x []float64) (any, error) { return EffectiveSizeFromContributions(x[:2], x[2:]) }},
	"EffectiveSizeOverGenerations":   {[]float64{3, 1, 4, 5, 2}, func(x []float64) (any, error) { return EffectiveSizeOverGenerations(x) }},
	"InbreedingPerGeneration":        {[]float64{3, 0, 0, 0, 0}, func(x []float64) (any, error) { return InbreedingPerGeneration(x[0]) }},
	"InbreedingAfter":                {[]float64{3, 0, 0, 0, 0}, func(x []float64) (any, error) { return InbreedingAfter(x[0], 4) }},
	"MeanStudent1908":                {[]float64{0.95, 1, 4, 5, 2}, func(x []float64) (any, error) { return MeanStudent1908(x[1:], x[0]) }},
	"GonadIndexPercent":              {[]float64{2, 10, 0, 0, 0}, func(x []float64) (any, error) { return GonadIndexPercent(x[0], x[1]) }},
	"LossPerDay":                     {[]float64{0.5, 10, 0, 0, 0}, func(x []float64) (any, error) { return LossPerDay(x[0], x[1]) }},
	"AnimalsToStart":                 {[]float64{100, 0.5, 0.9, 0, 0}, func(x []float64) (any, error) { return AnimalsToStart(x[0], x[1:3]) }},
	"DegreeHours": {[]float64{14, 24, 15, 24, 7}, func(x []float64) (any, error) {
		return DegreeHours([]TemperatureReading{{x[0], x[1]}, {x[2], x[3]}}, x[4])
	}},
	"FitDevelopment": {[]float64{12, 14, 16, 90, 60, 45}, func(x []float64) (any, error) { return FitDevelopment(x[:3], x[3:]) }},
	"DecideRipeness": {[]float64{0.5, 0.95, 0, 0, 0}, func(x []float64) (any, error) {
		return DecideRipeness(GonadSample{12, 5, 4}, RipenessRule{x[0], x[1], 10})
	}},
	"ShareWilson1927":         {[]float64{0.95, 0, 0, 0, 0}, func(x []float64) (any, error) { return ShareWilson1927(3, 10, x[0]) }},
	"ShareClopperPearson1934": {[]float64{0.95, 0, 0, 0, 0}, func(x []float64) (any, error) { return ShareClopperPearson1934(3, 10, x[0]) }},
	"PoissonMeanGarwood1936":  {[]float64{0.95, 0, 0, 0, 0}, func(x []float64) (any, error) { return PoissonMeanGarwood1936(3, x[0]) }},
	"KaplanMeier": {[]float64{1, 3, 4, 0.95, 0}, func(x []float64) (any, error) {
		return KaplanMeier([]Observation{{x[0], true, 3}, {x[1], true, 2}, {x[2], false, 2}}, x[3], LimitsLog)
	}},
}

// A number within the ranges gives an answer of numbers, or "finite or refused" below would
// hold for functions that always refuse.
func TestResultsComeWithinTheRanges(t *testing.T) {
	for name, f := range anyArguments {
		got, err := f.call(f.good)
		numbers := everyNumber(reflect.ValueOf(got))
		if err != nil || len(numbers) == 0 || slices.Max(numbers) == 0 || slices.ContainsFunc(numbers, notFinite) {
			t.Errorf("%s(%v): got %+v, %v; want finite numbers, not all 0", name, f.good, got, err)
		}
	}
}

func notFinite(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// Any numbers at all in place of some of the good ones: an error or finite numbers, no panic.
func TestResultsAreFiniteOrRefused(t *testing.T) {
	anything := rapid.OneOf(
		rapid.Float64Range(0, 50), rapid.Float64(), rapid.Map(rapid.IntRange(-1, 6), func(i int) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, 1, 1.2, 95, 1e-310, 5e-324, 1e308, math.MaxFloat64, math.NaN(), math.Inf(1), math.Inf(-1)}),
	)
	rapid.Check(t, func(t *rapid.T) {
		for name, f := range anyArguments {
			x := slices.Clone(f.good)
			for _, at := range rapid.SliceOfN(rapid.IntRange(0, len(x)-1), 1, len(x)).Draw(t, name+" at") {
				x[at] = anything.Draw(t, name)
			}
			got, err := f.call(x)
			if err == nil && slices.ContainsFunc(everyNumber(reflect.ValueOf(got)), notFinite) {
				t.Fatalf("%s(%v): %+v without an error", name, x, got)
			}
		}
	})
}
