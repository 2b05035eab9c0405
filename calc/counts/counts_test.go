package counts

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

// bad lists what no volume, area or density may be.
var bad = []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)}

func TestReplicateSpread(t *testing.T) {
	cases := []struct {
		name   string
		counts []int
		want   Spread
	}{
		{"one subsample has no spread", []int{25}, Spread{Subsamples: 1, Total: 25, Mean: 25, PoissonCVPercent: 20, PoissonCVOfMeanPercent: 20}},
		{"nothing counted has no CV", []int{0, 0, 0}, Spread{Subsamples: 3, HasSD: true}},
		// sd = 0; Poisson CV of one is 100/sqrt(100) = 10 %, of four 5 %.
		{"all equal", []int{100, 100, 100, 100}, Spread{Subsamples: 4, Total: 400, Mean: 100, HasSD: true, HasCV: true,
			PoissonCVPercent: 10, PoissonCVOfMeanPercent: 5, PValue: 1}},
		// Squares about the mean 100: 2 x 400 = 800; sd = 20, CV 20 % = exactly twice Poisson:
		// not above it. Chi-square 8 on 2: p = exp(-4).
		{"at the limit of bad mixing", []int{80, 100, 120}, Spread{Subsamples: 3, Total: 300, Mean: 100, SD: 20, HasSD: true, CVPercent: 20, HasCV: true,
			PoissonCVPercent: 10, PoissonCVOfMeanPercent: 100 / math.Sqrt(300), Index: 8, PValue: math.Exp(-4)}},
		{"just beyond it", []int{79, 100, 121}, Spread{Subsamples: 3, Total: 300, Mean: 100, SD: 21, HasSD: true, CVPercent: 21, HasCV: true,
			PoissonCVPercent: 10, PoissonCVOfMeanPercent: 100 / math.Sqrt(300), Index: 8.82, PValue: math.Exp(-4.41), BadlyMixed: true}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := ReplicateSpread(c.counts)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.PValue-c.want.PValue) > 1e-12 {
				t.Errorf("p value %v, want %v", got.PValue, c.want.PValue)
			}
			got.PValue = c.want.PValue
			if got != c.want {
				t.Errorf("got  %+v\nwant %+v", got, c.want)
			}
		})
	}
}

func TestSpreadRefuses(t *testing.T) {
	if _, err := ReplicateSpread(nil); !errors.Is(err, ErrTooFew) {
		t.Errorf("no count: %v", err)
	}
	for _, counts := range [][]int{{-1}, {5, -3}, {mostTotal + 1}, {mostTotal, 1}} {
		if got, err := ReplicateSpread(counts); !errors.Is(err, limits.ErrRange) || got != (Spread{}) {
			t.Errorf("%v: %+v, %v", counts, got, err)
		}
	}
}

func TestEstimatesRefuse(t *testing.T) {
	counts := []int{40, 50}
	calls := map[string]func(x float64) (Estimate, error){
		"square":     func(x float64) (Estimate, error) { return EstimatePerML(counts, x, 1, 0.95) },
		"dilution":   func(x float64) (Estimate, error) { return EstimatePerML(counts, 1, x, 0.95) },
		"confidence": func(x float64) (Estimate, error) { return EstimatePerML(counts, 1, 1, x) },
		"subsample":  func(x float64) (Estimate, error) { return EstimateInVolume(counts, x, 1, 1000, 0.95) },
		"vessel":     func(x float64) (Estimate, error) { return EstimateInVolume(counts, 1, 1, x, 0.95) },
		"window":     func(x float64) (Estimate, error) { return EstimateOnArea(counts, x, 100, 0.95) },
		"area":       func(x float64) (Estimate, error) { return EstimateOnArea(counts, 1, x, 0.95) },
	}
	for name, call := range calls {
		for _, x := range bad {
			if got, err := call(x); !errors.Is(err, limits.ErrRange) || got != (Estimate{}) {
				t.Errorf("%s %v: %+v, %v", name, x, got, err)
			}
		}
	}
	beyond := map[string]func() (Estimate, error){
		"dilution 0.99":                func() (Estimate, error) { return EstimatePerML(counts, 1, 0.99, 0.95) },
		"confidence 1.2":               func() (Estimate, error) { return EstimatePerML(counts, 1, 1, 1.2) },
		"confidence 95":                func() (Estimate, error) { return EstimatePerML(counts, 1, 1, 95) },
		"vessel below subsample":       func() (Estimate, error) { return EstimateInVolume(counts, 2, 1, 1.9, 0.95) },
		"area below window":            func() (Estimate, error) { return EstimateOnArea(counts, 2, 1.9, 0.95) },
		"a volume that overflows":      func() (Estimate, error) { return EstimatePerML(counts, 5e-324, 1, 0.95) },
		"an estimate that overflows":   func() (Estimate, error) { return EstimateInVolume(counts, 1e-300, 1, 1e10, 0.95) },
		"only its limits overflow":     func() (Estimate, error) { return EstimatePerML([]int{1}, 1e-308, 1, 0.95) },
		"replicate limits overflow":    func() (Estimate, error) { return EstimatePerML([]int{1, 1, 2}, 4e-308, 1, 0.9999) },
		"counts negative":              func() (Estimate, error) { return EstimatePerML([]int{-1}, 1, 1, 0.95) },
		"negative count in a vessel":   func() (Estimate, error) { return EstimateInVolume([]int{3, -1}, 1, 1, 100, 0.95) },
		"negative count in a window":   func() (Estimate, error) { return EstimateOnArea([]int{3, -1}, 1, 100, 0.95) },
		"infinite vessel, no dilution": func() (Estimate, error) { return EstimateInVolume(counts, 1, 1, math.Inf(1), 0.95) },
	}
	for name, call := range beyond {
		if got, err := call(); !errors.Is(err, limits.ErrRange) || got != (Estimate{}) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	if _, err := EstimatePerML(nil, 1, 1, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("no counts: %v", err)
	}
}

func TestCellsPerMLRefuses(t *testing.T) {
	for _, x := range bad {
		if got, err := CellsPerML(10, 4, x, 1); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("square %v mL: %v, %v", x, got, err)
		}
		if got, err := CellsPerML(10, 4, 1e-4, x); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("dilution %v: %v, %v", x, got, err)
		}
	}
	for _, c := range [][2]int{{-1, 4}, {10, 0}, {10, -1}, {mostTotal + 1, 4}} {
		if got, err := CellsPerML(c[0], c[1], 1e-4, 1); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("%d cells in %d squares: %v, %v", c[0], c[1], got, err)
		}
	}
}

// The interval reported is the one with the larger standard error.
func TestEstimateBasis(t *testing.T) {
	cases := []struct {
		name   string
		counts []int
		want   Basis
	}{
		{"one subsample", []int{100}, BasisCounting},
		{"nothing", []int{0, 0, 0}, BasisCounting},
		{"closer than Poisson", []int{98, 100, 102}, BasisCounting},
		{"wider than Poisson", []int{80, 100, 120}, BasisReplicates},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := EstimateInVolume(c.counts, 1, 1, 5000, 0.95)
			if err != nil || got.Basis != c.want || got.HasReplicates != (len(c.counts) > 1) {
				t.Fatalf("got %+v, %v; want basis %d", got, err, c.want)
			}
			want := got.Poisson
			if c.want == BasisReplicates {
				want = got.Replicates.Interval
			}
			if got.Interval != want {
				t.Errorf("reports %+v, want %+v", got.Interval, want)
			}
		})
	}
	// 80, 100, 120: sd 20, error of the mean 20/sqrt(3), t(2) at 97.5 % = 4.302653 in
	// printed tables; times 5000 mL.
	got, _ := EstimateInVolume([]int{80, 100, 120}, 1, 1, 5000, 0.95)
	half := 4.302653 * 20 / math.Sqrt(3) * 5000
	if math.Abs(got.Estimate-500_000) > 1e-6 || math.Abs(got.High-500_000-half) > 1 || math.Abs(500_000-half-got.Low) > 1 {
		t.Errorf("got %+v, want 500000 +- %v", got.Interval, half)
	}
	if want := 20 / math.Sqrt(3) * 5000; math.Abs(got.Replicates.StandardError-want) > 1e-6 {
		t.Errorf("standard error %v, want %v", got.Replicates.StandardError, want)
	}
	if whole, err := EstimateInVolume([]int{7}, 2, 1, 2, 0.95); err != nil || whole.Estimate != 7 {
		t.Errorf("the whole vessel counted: %+v, %v; want 7", whole.Interval, err)
	}
	if plate, err := EstimateOnArea([]int{3, 5}, 4, 400, 0.95); err != nil || plate.Estimate != 400 {
		t.Errorf("4 a window of 4 cm2 on 400 cm2: %+v, %v; want 400", plate.Interval, err)
	}
	wide, _ := EstimateInVolume([]int{1, 30}, 1, 1, 5000, 0.95)
	if wide.Low != 0 || wide.Basis != BasisReplicates {
		t.Errorf("a number below 0: %+v", wide.Interval)
	}
}

func TestEstimateProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		counts := rapid.SliceOfN(rapid.IntRange(0, 2000), 1, 12).Draw(t, "counts")
		vessel := rapid.Float64Range(10, 1e6).Draw(t, "vessel")
		got, err := EstimateInVolume(counts, 2, 5, vessel, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if !(0 <= got.Low && got.Low <= got.Estimate && got.Estimate <= got.High) {
			t.Fatalf("%+v", got)
		}
		double, err := EstimateInVolume(counts, 2, 5, 2*vessel, 0.95)
		if err != nil || math.Abs(double.High-2*got.High) > 1e-9*double.High {
			t.Fatalf("%+v, then %+v, %v", got, double, err)
		}
		density, err := EstimatePerML(counts, 2, 5, 0.95)
		if err != nil || math.Abs(density.Estimate*vessel-got.Estimate) > 1e-9*got.Estimate {
			t.Fatalf("%+v, then %+v, %v", got, density, err)
		}
		if s := got.Spread; s.BadlyMixed && s.PValue > 0.05 {
			t.Fatalf("badly mixed by chance alone: %+v", s) // pairs reach 0.0455 at most
		}
	})
}

func TestPrecision(t *testing.T) {
	for _, c := range []struct {
		single, wanted float64
		subsamples     int
	}{{20, 10, 4}, {20, 9.9, 5}, {5, 10, 1}, {0, 10, 1}, {30, 10, 9}} {
		if got, err := SubsamplesForPrecision(c.single, c.wanted); err != nil || got != c.subsamples {
			t.Errorf("%v %% to %v %%: %d, %v; want %d", c.single, c.wanted, got, err, c.subsamples)
		}
	}
	for _, x := range append(bad, 0.09, 101) {
		if got, err := SubsamplesForPrecision(20, x); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("wanted %v %%: %d, %v", x, got, err)
		}
	}
	for _, x := range []float64{-1, 1001, math.NaN(), math.Inf(1)} {
		if got, err := SubsamplesForPrecision(x, 10); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("single %v %%: %d, %v", x, got, err)
		}
	}
	spread, _ := ReplicateSpread([]int{98, 100, 102}) // CV 2 %, Poisson 10 %
	if cv, known := spread.SingleCVPercent(); cv != 10 || !known {
		t.Errorf("planning CV %v, %v; want the Poisson 10 %%", cv, known)
	}
	empty, _ := ReplicateSpread([]int{0, 0})
	if cv, known := empty.SingleCVPercent(); cv != 0 || known {
		t.Errorf("nothing counted: %v, %v", cv, known)
	}
}

func ExampleCellsPerML() {
	// 200 cells in 4 large squares of an improved Neubauer chamber, undiluted.
	got, err := CellsPerML(200, 4, NeubauerLargeSquareML, 1)
	fmt.Printf("%.0f %v\n", got, err)
	// Output: 500000 <nil>
}

func ExampleEstimateInVolume() {
	// Five subsamples of 1 mL from 12 L of eggs.
	eggs, err := EstimateInVolume([]int{112, 98, 121, 105, 117}, 1, 1, 12_000, 0.95)
	fmt.Printf("%.0f eggs (%.0f to %.0f), ", eggs.Estimate, eggs.Low, eggs.High)
	fmt.Printf("CV %.1f %%, counting alone %.1f %%, badly mixed: %v, %v\n",
		eggs.Spread.CVPercent, eggs.Spread.PoissonCVPercent, eggs.Spread.BadlyMixed, err)
	// Output: 1327200 eggs (1218873 to 1442572), CV 8.4 %, counting alone 9.5 %, badly mixed: false, <nil>
}

func ExampleSubsamplesForPrecision() {
	spread, _ := ReplicateSpread([]int{23, 31, 27})
	cv, _ := spread.SingleCVPercent()
	subsamples, err := SubsamplesForPrecision(cv, 10)
	fmt.Printf("CV of one %.1f %%: count %d for 10 %%, %v\n", cv, subsamples, err)
	// Output: CV of one 19.2 %: count 4 for 10 %, <nil>
}
