package stats

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestDegreeHours(t *testing.T) {
	readings := []TemperatureReading{{TempC: 10, Hours: 6}, {TempC: 7, Hours: 12}, {TempC: 12.5, Hours: 2}}
	got, err := DegreeHours(readings, 7.5) // 2.5 x 6 + 0 + 5 x 2
	if err != nil || got != 25 {
		t.Errorf("got %v, %v; want 25", got, err)
	}
	if got, err := DegreeHours([]TemperatureReading{{TempC: 40, Hours: 0}, {TempC: -2, Hours: 9}}, 40); err != nil || got != 0 {
		t.Errorf("at the ends of the range: %v, %v; want 0", got, err)
	}
	cases := []struct {
		name      string
		readings  []TemperatureReading
		threshold float64
		want      error
	}{
		{"no reading", nil, 7.5, ErrTooFew},
		{"threshold -2.1", readings, -2.1, limits.ErrRange},
		{"61 °F typed", []TemperatureReading{{TempC: 61, Hours: 1}}, 7.5, limits.ErrRange},
		{"NaN", []TemperatureReading{{TempC: math.NaN(), Hours: 1}}, 7.5, limits.ErrRange},
		{"hours negative", []TemperatureReading{{TempC: 12, Hours: -1}}, 7.5, limits.ErrRange},
		{"hours Inf", []TemperatureReading{{TempC: 12, Hours: math.Inf(1)}}, 7.5, limits.ErrRange},
		{"sum overflows", []TemperatureReading{{TempC: 39, Hours: math.MaxFloat64}}, 7.5, limits.ErrRange},
		{"threshold NaN", readings, math.NaN(), limits.ErrRange},
		{"threshold 41", readings, 41, limits.ErrRange},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := DegreeHours(c.readings, c.threshold); !errors.Is(err, c.want) || got != 0 {
				t.Fatalf("got %v, %v; want %v", got, err, c.want)
			}
		})
	}
}

func TestFitDevelopment(t *testing.T) {
	// Batches made with T0 = 8 °C and DH = 360: hours = 360 / (T - 8).
	temps, hours := []float64{12, 14, 16, 18}, []float64{90, 60, 45, 36}
	fit, err := FitDevelopment(temps, hours)
	if err != nil || math.Abs(fit.ThresholdC-8) > 1e-9 || math.Abs(fit.DegreeHours-360) > 1e-7 || fit.Batches != 4 {
		t.Fatalf("got %+v, %v", fit, err)
	}
	if got, err := fit.HoursAt(13); err != nil || math.Abs(got-72) > 1e-9 {
		t.Errorf("at 13 °C: %v, %v; want 72 h", got, err)
	}
	for _, tempC := range []float64{11.9, 18.1, math.NaN()} {
		if got, err := fit.HoursAt(tempC); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("at %v °C: %v, %v", tempC, got, err)
		}
	}
	refused := []struct {
		name         string
		temps, hours []float64
		want         error
	}{
		{"two batches", temps[:2], hours[:2], ErrTooFew},
		{"one temperature", []float64{14, 14, 14}, hours[:3], ErrTooFew},
		{"unpaired", temps, hours[:3], limits.ErrRange},
		{"hours 0", temps[:3], []float64{90, 0, 45}, limits.ErrRange},
		{"hours NaN", temps[:3], []float64{90, math.NaN(), 45}, limits.ErrRange},
		{"60 °F", []float64{12, 14, 60}, hours[:3], limits.ErrRange},
		{"slower in warm water", temps[:3], []float64{45, 60, 90}, ErrNoFit},
		{"no difference", temps[:3], []float64{60, 60, 60}, ErrNoFit},
		{"a line by which the coldest batch never develops", temps[:3], []float64{10_000, 5_000, 30}, ErrNoFit},
	}
	for _, c := range refused {
		t.Run(c.name, func(t *testing.T) {
			if got, err := FitDevelopment(c.temps, c.hours); !errors.Is(err, c.want) {
				t.Fatalf("got %+v, %v; want %v", got, err, c.want)
			}
		})
	}
}

func TestGonadIndex(t *testing.T) {
	if got, err := GonadIndexPercent(2.4, 10); err != nil || got != 24 {
		t.Errorf("got %v, %v; want 24 %%", got, err)
	}
	if got, err := GonadIndexPercent(0, 10); err != nil || got != 0 {
		t.Errorf("no gonad: %v, %v; want 0 %%", got, err)
	}
	for _, c := range [][2]float64{{2, 0}, {2, -1}, {-1, 10}, {10, 10}, {12, 10}, {math.NaN(), 10}, {2, math.NaN()}, {2, math.Inf(1)}, {math.Inf(1), 10}} {
		if got, err := GonadIndexPercent(c[0], c[1]); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("gonad %v g, body %v g: %v, %v", c[0], c[1], got, err)
		}
	}
}

func TestDecideRipeness(t *testing.T) {
	half := RipenessRule{LimitShare: 0.5, Confidence: 0.95, LeastAnimals: UsualLeastAnimals}
	cases := []struct {
		name   string
		sample GonadSample
		rule   RipenessRule
		want   RipenessVerdict
	}{
		// Wilson bounds by hand: 10 of 10 gives 0.722 to 1; 9 of 12 gives 0.468 to 0.911;
		// 1 of 12 gives 0.015 to 0.354.
		{"all ten", GonadSample{10, 6, 4}, half, RipenessReached},
		{"nine of twelve", GonadSample{12, 5, 4}, half, RipenessUndecided},
		{"one of twelve", GonadSample{12, 1, 0}, half, RipenessBelow},
		{"none of twelve", GonadSample{12, 0, 0}, half, RipenessBelow},
		{"all ten female", GonadSample{10, 10, 0}, half, RipenessOneSex},
		{"nine animals, ten asked", GonadSample{9, 5, 4}, half, RipenessTooFew},
		{"three of three", GonadSample{3, 2, 1}, half, RipenessTooFew},
		{"three of three, limit low", GonadSample{3, 2, 1}, RipenessRule{0.05, 0.5, LeastAnimalsEver}, RipenessTooFew},
		{"none of three", GonadSample{3, 0, 0}, RipenessRule{0.99, 0.5, LeastAnimalsEver}, RipenessTooFew},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := DecideRipeness(c.sample, c.rule)
			if err != nil || got.Verdict != c.want || got.Go() != (c.want == RipenessReached) {
				t.Fatalf("got %+v, %v; want verdict %d", got, err, c.want)
			}
			words := strings.ToLower(got.Words())
			for _, promise := range []string{"guarantee", "certain", "sure", "safe", "will", "proven"} {
				if strings.Contains(words, promise) {
					t.Errorf("%q promises: %q", words, promise)
				}
			}
			if decided := !strings.Contains(words, "not decided"); decided != (c.want == RipenessReached || c.want == RipenessBelow) {
				t.Errorf("verdict %d reads %q", c.want, words)
			}
		})
	}
}

// At the limit itself: the lower bound decides for, the upper bound doesn't decide against.
func TestDecideRipenessAtTheLimit(t *testing.T) {
	share, err := ShareWilson1927(9, 12, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for limit, want := range map[float64]RipenessVerdict{share.Low: RipenessReached, share.High: RipenessUndecided} {
		got, err := DecideRipeness(GonadSample{12, 5, 4}, RipenessRule{limit, 0.95, 10})
		if err != nil || got.Verdict != want {
			t.Errorf("limit %v: %+v, %v; want verdict %d", limit, got, err, want)
		}
	}
}

func TestDecideRipenessRefuses(t *testing.T) {
	sample, rule := GonadSample{12, 5, 4}, RipenessRule{0.5, 0.95, 10}
	refuse := func(name string, sample GonadSample, rule RipenessRule) {
		if got, err := DecideRipeness(sample, rule); !errors.Is(err, limits.ErrRange) || got != (Ripeness{}) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	for _, x := range append(beyondRange, 0, 1) {
		refuse(fmt.Sprintf("limit %v", x), sample, RipenessRule{x, 0.95, 10})
		refuse(fmt.Sprintf("confidence %v", x), sample, RipenessRule{0.5, x, 10})
	}
	refuse("none dissected", GonadSample{}, rule)
	refuse("dissected -1", GonadSample{-1, 0, 0}, rule)
	refuse("more ripe than dissected", GonadSample{12, 7, 6}, rule)
	refuse("females -1", GonadSample{12, -1, 4}, rule)
	refuse("males -1", GonadSample{12, 1, -4}, rule)
	refuse("a rule that would decide from three", sample, RipenessRule{0.5, 0.95, 3})
}

func TestThreeAnimalsNeverDecide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dissected := rapid.IntRange(1, 3).Draw(t, "dissected")
		females := rapid.IntRange(0, dissected).Draw(t, "females")
		males := rapid.IntRange(0, dissected-females).Draw(t, "males")
		rule := RipenessRule{
			LimitShare:   rapid.Float64Range(0.001, 0.999).Draw(t, "limit"),
			Confidence:   rapid.Float64Range(leastConfidence, mostConfidence).Draw(t, "confidence"),
			LeastAnimals: rapid.IntRange(LeastAnimalsEver, 30).Draw(t, "least"),
		}
		got, err := DecideRipeness(GonadSample{dissected, females, males}, rule)
		if err != nil || got.Verdict != RipenessTooFew || got.Go() {
			t.Fatalf("got %+v, %v", got, err)
		}
	})
}

func TestLossWorked(t *testing.T) {
	for _, c := range []struct{ survival, days, want float64 }{{0.5, 5, math.Ln2 / 5}, {0.75, 1, -math.Log(0.75)}, {1, 3, 0}} {
		got, err := LossPerDay(c.survival, c.days)
		if err != nil || math.Abs(got-c.want) > 1e-15 || math.Signbit(got) {
			t.Errorf("%v in %v days: %v, %v; want %v", c.survival, c.days, got, err, c.want)
		}
	}
}

func TestLossAndStartRefuse(t *testing.T) {
	for _, x := range []float64{0, -0.1, 1.2, math.NaN(), math.Inf(1)} {
		if got, err := LossPerDay(x, 3); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("survival %v: %v, %v", x, got, err)
		}
		if got, err := AnimalsToStart(100, []float64{0.5, x}); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("start from survival %v: %v, %v", x, got, err)
		}
	}
	for _, x := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := LossPerDay(0.5, x); !errors.Is(err, limits.ErrRange) || got != 0 {
			t.Errorf("days %v: %v, %v", x, got, err)
		}
	}
	if got, err := AnimalsToStart(math.NaN(), nil); !errors.Is(err, limits.ErrRange) || got != 0 {
		t.Errorf("target NaN: %v, %v", got, err)
	}
}

func TestAnimalsToStartIsEnough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		target := float64(rapid.IntRange(0, 1_000_000).Draw(t, "target"))
		survivals := rapid.SliceOfN(rapid.Float64Range(0.01, 1), 0, 5).Draw(t, "survivals")
		start, err := AnimalsToStart(target, survivals)
		if err != nil || start != math.Trunc(start) {
			t.Fatal(start, err)
		}
		left := start
		for _, s := range survivals {
			left *= s
		}
		if left < target*(1-1e-9) {
			t.Fatalf("%v leave %v of %v", start, left, target)
		}
	})
}

func ExampleDecideRipeness() {
	rule := RipenessRule{LimitShare: 0.5, Confidence: 0.95, LeastAnimals: UsualLeastAnimals}
	check, err := DecideRipeness(GonadSample{Dissected: 12, RipeFemales: 5, RipeMales: 4}, rule)
	fmt.Println(strings.ReplaceAll(check.Words(), ". ", ".\n"))
	fmt.Println(check.Go(), err)
	// Output:
	// 9 of 12 animals were ripe (75 %; the stock is likely between 47 and 91 %).
	// Not decided: the site limit of 50 % lies inside these bounds; check more animals or wait.
	// false <nil>
}

func ExampleDegreeHours() {
	// Two days at 15.6 °C over a threshold of 7.6 °C: 8 °C x 48 h.
	got, err := DegreeHours([]TemperatureReading{{TempC: 15.6, Hours: 48}}, 7.6)
	fmt.Printf("%.0f %v\n", got, err)
	// Output: 384 <nil>
}

func ExampleAnimalsToStart() {
	// 1000 spat at 10 % settlement of larvae, 75 % of eggs hatching.
	eggs, err := AnimalsToStart(1000, []float64{0.75, 0.1})
	fmt.Println(eggs, err)
	// Output: 13334 <nil>
}
