package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

// beyondRange lists the floating values that no share, confidence or size may take.
var beyondRange = []float64{math.NaN(), math.Inf(1), math.Inf(-1), -0.1, 1.2, 95}

func TestShareRefuses(t *testing.T) {
	methods := map[string]func(int, int, float64) (Interval, error){
		"wilson": ShareWilson1927, "clopper-pearson": ShareClopperPearson1934,
	}
	for name, method := range methods {
		cases := []struct {
			name              string
			successes, trials int
			confidence        float64
		}{
			{"no trials", 0, 0, 0.95},
			{"negative trials", 0, -1, 0.95},
			{"negative successes", -1, 10, 0.95},
			{"more successes than trials", 12, 10, 0.95},
			{"too many trials", 1, mostCount + 1, 0.95},
			{"confidence 0", 1, 10, 0},
			{"confidence 1", 1, 10, 1},
		}
		for _, x := range beyondRange {
			cases = append(cases, struct {
				name              string
				successes, trials int
				confidence        float64
			}{fmt.Sprintf("confidence %v", x), 1, 10, x})
		}
		for _, c := range cases {
			t.Run(name+" "+c.name, func(t *testing.T) {
				got, err := method(c.successes, c.trials, c.confidence)
				if !errors.Is(err, limits.ErrRange) || got != (Interval{}) {
					t.Fatalf("got %+v, %v; want nothing and ErrRange", got, err)
				}
			})
		}
	}
}

func TestPoissonMeanRefuses(t *testing.T) {
	if _, err := PoissonMeanGarwood1936(-1, 0.95); !errors.Is(err, limits.ErrRange) {
		t.Errorf("count -1: %v", err)
	}
	if _, err := PoissonMeanGarwood1936(mostCount+1, 0.95); !errors.Is(err, limits.ErrRange) {
		t.Errorf("count too large: %v", err)
	}
	for _, x := range append(beyondRange, 0, 1) {
		if _, err := PoissonMeanGarwood1936(3, x); !errors.Is(err, limits.ErrRange) {
			t.Errorf("confidence %v: %v", x, err)
		}
	}
}

func TestMeanStudent(t *testing.T) {
	// Mean 3, s = sqrt(2.5), n = 5; t(4) at 97.5 % is 2.776445 in printed tables.
	got, err := MeanStudent1908([]float64{1, 2, 3, 4, 5}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	half := 2.776445 * math.Sqrt(2.5/5)
	if got.Estimate != 3 || math.Abs(got.Low-(3-half)) > 1e-6 || math.Abs(got.High-(3+half)) > 1e-6 {
		t.Errorf("got %+v, want 3 +- %v", got, half)
	}
	// Two values: s = sqrt(2), error of the mean 1; t(1) at 97.5 % is 12.7062 in printed tables.
	if got, err := MeanStudent1908([]float64{3, 5}, 0.95); err != nil || math.Abs(got.High-16.7062) > 1e-4 || math.Abs(got.StandardError-1) > 1e-15 {
		t.Errorf("two values: %+v, %v", got, err)
	}
	if _, err := MeanStudent1908([]float64{4}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("one value: %v", err)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.MaxFloat64} {
		if got, err := MeanStudent1908([]float64{1, x, -x}, 0.95); !errors.Is(err, limits.ErrRange) {
			t.Errorf("value %v: %+v, %v", x, got, err)
		}
	}
}

// The limits of Clopper and Pearson are where the binomial tails equal half of what the
// confidence leaves; the sum over the binomial is an independent way to see it.
func TestClopperPearsonIsBinomialTail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		confidence := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 0.99, 0.9999}).Draw(t, "confidence")
		tail := (1 - confidence) / 2
		got, err := ShareClopperPearson1934(x, n, confidence)
		if err != nil {
			t.Fatal(err)
		}
		if x > 0 {
			if upper := binomialSum(n, x, n, got.Low); math.Abs(upper-tail) > 1e-9 {
				t.Fatalf("P(X >= %d | %v) = %v, want %v", x, got.Low, upper, tail)
			}
		}
		if x < n {
			if lower := binomialSum(n, 0, x, got.High); math.Abs(lower-tail) > 1e-9 {
				t.Fatalf("P(X <= %d | %v) = %v, want %v", x, got.High, lower, tail)
			}
		}
	})
}

func binomialSum(n, from, to int, p float64) float64 {
	sum := 0.0
	for k := from; k <= to; k++ {
		sum += distuv.Binomial{N: float64(n), P: p}.Prob(float64(k))
	}
	return sum
}

func TestGarwoodIsPoissonTail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.IntRange(0, 400).Draw(t, "x")
		got, err := PoissonMeanGarwood1936(x, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		lower, upper := 0.0, 1.0
		for k := 0; k <= x; k++ {
			lower += distuv.Poisson{Lambda: got.High}.Prob(float64(k))
			if k < x && x > 0 {
				upper -= distuv.Poisson{Lambda: got.Low}.Prob(float64(k))
			}
		}
		if math.Abs(lower-0.025) > 1e-9 || (x > 0 && math.Abs(upper-0.025) > 1e-9) {
			t.Fatalf("count %d: tails %v and %v, want 0.025", x, lower, upper)
		}
	})
}

func TestShareIntervalsHoldTheEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 100_000).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		confidence := rapid.Float64Range(leastConfidence, mostConfidence).Draw(t, "confidence")
		for _, method := range []func(int, int, float64) (Interval, error){ShareWilson1927, ShareClopperPearson1934} {
			got, err := method(x, n, confidence)
			if err != nil {
				t.Fatal(err)
			}
			if !(0 <= got.Low && got.Low <= got.Estimate && got.Estimate <= got.High && got.High <= 1) {
				t.Fatalf("%d of %d: %+v", x, n, got)
			}
			mirror, err := method(n-x, n, confidence)
			if err != nil || math.Abs(mirror.Low-(1-got.High)) > 1e-9 {
				t.Fatalf("%d of %d: mirror %+v of %+v, %v", x, n, mirror, got, err)
			}
		}
	})
}

// At the largest count the exact limits still meet the score limits, which need no
// special function: the difference is below 1 % of the half width.
func TestExactLimitsAtTheLargestCount(t *testing.T) {
	for _, x := range []int{mostCount / 100, mostCount / 2, mostCount - 1000} {
		exact, err := ShareClopperPearson1934(x, mostCount, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		score, err := ShareWilson1927(x, mostCount, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		width := score.High - score.Low
		if math.Abs(exact.Low-score.Low) > 0.02*width || math.Abs(exact.High-score.High) > 0.02*width {
			t.Errorf("%d: exact %+v, score %+v", x, exact, score)
		}
	}
	got, err := PoissonMeanGarwood1936(mostCount, 0.95)
	half := 1.959964 * math.Sqrt(mostCount)
	if err != nil || math.Abs(got.High-mostCount-half) > 0.01*half || math.Abs(mostCount-got.Low-half) > 0.01*half {
		t.Errorf("Garwood %+v, %v; want +- %v", got, err, half)
	}
}

func ExampleShareWilson1927() {
	// Newcombe (1998), Table I: 81 of 263 gives 0.2553 to 0.3662.
	share, err := ShareWilson1927(81, 263, 0.95)
	fmt.Printf("%.4f (%.4f to %.4f) %v\n", share.Estimate, share.Low, share.High, err)
	// Output: 0.3080 (0.2553 to 0.3662) <nil>
}

func ExampleShareClopperPearson1934() {
	// Newcombe (1998), Table I: 15 of 148 gives 0.0578 to 0.1617.
	share, err := ShareClopperPearson1934(15, 148, 0.95)
	fmt.Printf("%.4f to %.4f %v\n", share.Low, share.High, err)
	// Output: 0.0578 to 0.1617 <nil>
}

func ExamplePoissonMeanGarwood1936() {
	// Pearson and Hartley print 4.80 and 18.39 for a count of 10.
	mean, err := PoissonMeanGarwood1936(10, 0.95)
	fmt.Printf("%.2f to %.2f %v\n", mean.Low, mean.High, err)
	// Output: 4.80 to 18.39 <nil>
}
