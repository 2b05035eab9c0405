package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestEffectiveSizeRefuses(t *testing.T) {
	calls := map[string]func(x float64) (float64, error){
		"contribution":     func(x float64) (float64, error) { return ContributingParents([]float64{1, x}) },
		"fathers":          func(x float64) (float64, error) { return EffectiveSizeFromContributions([]float64{x}, []float64{1}) },
		"mothers":          func(x float64) (float64, error) { return EffectiveSizeFromContributions([]float64{1}, []float64{x}) },
		"over generations": func(x float64) (float64, error) { return EffectiveSizeOverGenerations([]float64{20, x}) },
		"inbreeding":       InbreedingPerGeneration,
		"inbreeding after": func(x float64) (float64, error) { return InbreedingAfter(x, 3) },
	}
	for name, call := range calls {
		for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -0.1} {
			if got, err := call(x); !errors.Is(err, limits.ErrRange) || got != 0 {
				t.Errorf("%s %v: got %v, %v", name, x, got, err)
			}
		}
	}
	beyond := map[string]func() (float64, error){
		"no males":                func() (float64, error) { return EffectiveSize(0, 5) },
		"no females":              func() (float64, error) { return EffectiveSize(5, 0) },
		"negative males":          func() (float64, error) { return EffectiveSize(-1, 5) },
		"size 0 of a generation":  func() (float64, error) { return EffectiveSizeOverGenerations([]float64{0}) },
		"size that overflows 1/x": func() (float64, error) { return EffectiveSizeOverGenerations([]float64{5e-324}) },
		"inbreeding of 0.9":       func() (float64, error) { return InbreedingPerGeneration(0.9) },
		"generations -1":          func() (float64, error) { return InbreedingAfter(10, -1) },
	}
	for name, call := range beyond {
		if got, err := call(); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("%s: got %v, %v", name, got, err)
		}
	}
	if _, err := EffectiveSizeOverGenerations(nil); !errors.Is(err, ErrTooFew) {
		t.Errorf("no generation: %v", err)
	}
	for _, none := range [][]float64{nil, {0, 0}} {
		if _, err := ContributingParents(none); !errors.Is(err, ErrTooFew) {
			t.Errorf("contributions %v: %v", none, err)
		}
	}
}

func TestEffectiveSizeWorked(t *testing.T) {
	cases := []struct {
		name string
		call func() (float64, error)
		want float64
	}{
		{"equal fathers and mothers are the plain formula", func() (float64, error) {
			return EffectiveSizeFromContributions([]float64{7, 7, 7}, []float64{3, 3})
		}, 4 * 3 * 2.0 / 5},
		{"one father of three does nearly all: 100^2 / (98^2 + 1 + 1)", func() (float64, error) {
			return ContributingParents([]float64{98, 1, 1})
		}, 10000.0 / 9606},
		{"a father without offspring is no parent", func() (float64, error) {
			return ContributingParents([]float64{5, 0, 5})
		}, 2},
		{"a poor generation weighs most: 3 / (1/50 + 1/5 + 1/50)", func() (float64, error) {
			return EffectiveSizeOverGenerations([]float64{50, 5, 50})
		}, 12.5},
		{"two generations of one pair: 1 - 0.75^2", func() (float64, error) { return InbreedingAfter(2, 2) }, 0.4375},
		{"selfing", func() (float64, error) { return InbreedingPerGeneration(1) }, 0.5},
		{"none yet", func() (float64, error) { return InbreedingAfter(2, 0) }, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := c.call(); err != nil || math.Abs(got-c.want) > 1e-12*(1+c.want) {
				t.Fatalf("got %v, %v; want %v", got, err, c.want)
			}
		})
	}
}

func TestUnequalFamiliesNeverRaiseTheSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		contributions := rapid.SliceOfN(rapid.Float64Range(0.001, 1e9), 1, 40).Draw(t, "contributions")
		got, err := ContributingParents(contributions)
		if n := float64(len(contributions)); err != nil || got < 1-1e-12 || got > n+1e-9 {
			t.Fatalf("got %v of %v parents, %v", got, n, err)
		}
	})
}

func ExampleEffectiveSize() {
	// Five males and twenty females: 4 x 5 x 20 / 25.
	size, err := EffectiveSize(5, 20)
	inbreeding, errInbreeding := InbreedingPerGeneration(size)
	fmt.Printf("%.0f, %.2f %% a generation, %v %v\n", size, 100*inbreeding, err, errInbreeding)
	// Output: 16, 3.12 % a generation, <nil> <nil>
}
