package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/limits"
)

func TestKaplanMeierRefuses(t *testing.T) {
	good := []Observation{{Time: 1, Died: true, Number: 1}}
	cases := []struct {
		name         string
		observations []Observation
		confidence   float64
		kind         LimitsKind
		want         error
	}{
		{"nothing", nil, 0.95, LimitsLogLog, ErrTooFew},
		{"time NaN", []Observation{{Time: math.NaN(), Number: 1}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"time Inf", []Observation{{Time: math.Inf(1), Number: 1}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"time negative", []Observation{{Time: -1, Number: 1}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"number 0", []Observation{{Time: 1}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"number negative", []Observation{{Time: 1, Number: -3}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"number in all too large", []Observation{{Time: 1, Number: mostCount}, {Time: 2, Number: 1}}, 0.95, LimitsLogLog, limits.ErrRange},
		{"confidence 1.2", good, 1.2, LimitsLogLog, limits.ErrRange},
		{"confidence NaN", good, math.NaN(), LimitsLogLog, limits.ErrRange},
		{"kind unknown", good, 0.95, 7, limits.ErrRange},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := KaplanMeier(c.observations, c.confidence, c.kind); !errors.Is(err, c.want) {
				t.Fatalf("got %+v, %v; want %v", got, err, c.want)
			}
		})
	}
}

func TestSurvivalCurveAtAndMedian(t *testing.T) {
	// Ten animals: 4 die on day 2, 3 on day 5, 1 is removed on day 6, 2 live on day 14.
	curve, err := KaplanMeier([]Observation{
		{Time: 14, Number: 2}, {Time: 2, Died: true, Number: 4}, {Time: 5, Died: true, Number: 3}, {Time: 6, Number: 1},
	}, 0.95, LimitsLogLog)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ time, want float64 }{{0, 1}, {1.9, 1}, {2, 0.6}, {4.9, 0.6}, {5, 0.3}, {14, 0.3}} {
		if got, err := curve.At(c.time); err != nil || math.Abs(got.Survival-c.want) > 1e-15 {
			t.Errorf("day %v: got %v, %v; want %v", c.time, got.Survival, err, c.want)
		}
	}
	for _, time := range []float64{-0.1, 14.1, math.NaN(), math.Inf(1)} {
		if _, err := curve.At(time); !errors.Is(err, limits.ErrRange) {
			t.Errorf("day %v: %v", time, err)
		}
	}
	if median, reached := curve.Median(); median != 5 || !reached {
		t.Errorf("median %v, %v; want day 5", median, reached)
	}
	if start, _ := curve.At(0); start.HasLimits || start.AtRisk != 10 {
		t.Errorf("start %+v", start)
	}
	alive, err := KaplanMeier([]Observation{{Time: 14, Number: 12}}, 0.95, LimitsLogLog)
	if _, reached := alive.Median(); reached || err != nil || len(alive.Points) != 0 {
		t.Errorf("nothing died: %+v, %v", alive, err)
	}
}

// The reference curves reach survival 0; so does this one, with the three kinds.
func TestNoLimitsAtSurvivalZero(t *testing.T) {
	for _, kind := range []LimitsKind{LimitsPlain, LimitsLog, LimitsLogLog} {
		curve, err := KaplanMeier([]Observation{{Time: 3, Died: true, Number: 5}}, 0.95, kind)
		if err != nil || len(curve.Points) != 1 {
			t.Fatalf("%+v, %v", curve, err)
		}
		if p := curve.Points[0]; p != (SurvivalPoint{Time: 3, AtRisk: 5, Deaths: 5}) {
			t.Errorf("kind %d: %+v", kind, p)
		}
	}
}

func drawObservations(t *rapid.T, label string) []Observation {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Observation {
		return Observation{
			Time:   float64(rapid.IntRange(0, 20).Draw(t, "time")),
			Died:   rapid.Bool().Draw(t, "died"),
			Number: rapid.IntRange(1, 30).Draw(t, "number"),
		}
	}), 1, 25).Draw(t, label)
}

func TestSurvivalProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		observations := drawObservations(t, "observations")
		kind := rapid.SampledFrom([]LimitsKind{LimitsPlain, LimitsLog, LimitsLogLog}).Draw(t, "kind")
		curve, err := KaplanMeier(observations, 0.95, kind)
		if err != nil {
			t.Fatal(err)
		}
		before := 1.0
		for _, p := range curve.Points {
			if p.Survival >= before || p.Survival < 0 || p.HasLimits == (p.Survival == 0) {
				t.Fatalf("%+v after survival %v", p, before)
			}
			if p.HasLimits && !(0 <= p.Low && p.Low <= p.Survival && p.Survival <= p.High && p.High <= 1 && p.StandardError > 0) {
				t.Fatalf("limits %+v", p)
			}
			before = p.Survival
		}
	})
}

// With nobody lost, the curve is the plain share alive and Greenwood is binomial.
func TestSurvivalWithoutLossIsBinomial(t *testing.T) {
	curve, err := KaplanMeier([]Observation{{Time: 1, Died: true, Number: 7}, {Time: 3, Died: true, Number: 5}, {Time: 9, Number: 28}}, 0.95, LimitsPlain)
	if err != nil {
		t.Fatal(err)
	}
	p := curve.Points[1]
	if s := 28.0 / 40; math.Abs(p.Survival-s) > 1e-15 || math.Abs(p.StandardError-math.Sqrt(s*(1-s)/40)) > 1e-15 {
		t.Errorf("got %+v", p)
	}
}

func TestLogRankRefuses(t *testing.T) {
	lived := SurvivalGroup{Name: "lived", Observations: []Observation{{Time: 9, Number: 10}}}
	early := SurvivalGroup{Name: "taken on day 1", Observations: []Observation{{Time: 1, Number: 10}}}
	died := SurvivalGroup{Name: "died", Observations: []Observation{{Time: 3, Died: true, Number: 4}}}
	bad := SurvivalGroup{Name: "bad", Observations: []Observation{{Time: math.NaN(), Number: 4}}}
	cases := []struct {
		name   string
		groups []SurvivalGroup
		want   error
	}{
		{"none", nil, ErrTooFew},
		{"one", []SurvivalGroup{died}, ErrTooFew},
		{"no deaths", []SurvivalGroup{lived, early}, ErrTooFew},
		{"only one at risk", []SurvivalGroup{died, early}, ErrTooFew},
		{"all at once", []SurvivalGroup{died, died}, ErrTooFew},
		{"empty group", []SurvivalGroup{died, {Name: "empty"}}, ErrTooFew},
		{"time NaN", []SurvivalGroup{died, bad}, limits.ErrRange},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got, err := LogRank(c.groups); !errors.Is(err, c.want) {
				t.Fatalf("got %+v, %v; want %v", got, err, c.want)
			}
		})
	}
}

// Three groups worked by hand. Day 1: 2 of 12 die, all in A; day 2: 1 of 10, in B.
// E(A) = 2 x 4/12 + 1 x 2/10 = 13/15; E(B) = E(C) = 2/3 + 4/10 = 16/15.
// V = d (n-d)/(n-1) (share - share x share): day 1 factor 2 x 10/11, day 2 factor 1.
func TestLogRankThreeGroups(t *testing.T) {
	groups := []SurvivalGroup{
		{Name: "A", Observations: []Observation{{Time: 1, Died: true, Number: 2}, {Time: 7, Number: 2}}},
		{Name: "B", Observations: []Observation{{Time: 2, Died: true, Number: 1}, {Time: 7, Number: 3}}},
		{Name: "C", Observations: []Observation{{Time: 7, Number: 4}}},
	}
	got, err := LogRank(groups)
	if err != nil {
		t.Fatal(err)
	}
	vAA := 20.0/11*(1.0/3-1.0/9) + 0.2 - 0.04
	vBB := 20.0/11*(1.0/3-1.0/9) + 0.4 - 0.16
	vAB := -20.0/11/9 - 0.2*0.4
	a, b := 2-13.0/15, 1-16.0/15
	want := (a*a*vBB - 2*a*b*vAB + b*b*vAA) / (vAA*vBB - vAB*vAB)
	if math.Abs(got.ChiSquare-want) > 1e-12 || got.DegreesOfFreedom != 2 || math.Abs(got.PValue-math.Exp(-want/2)) > 1e-12 {
		t.Errorf("got %+v, want chi-square %v", got, want)
	}
}

// A group taken away before the first death adds neither deaths nor a degree of freedom.
func TestLogRankGroupNeverAtRisk(t *testing.T) {
	a := SurvivalGroup{Name: "a", Observations: []Observation{{Time: 3, Died: true, Number: 4}, {Time: 9, Number: 6}}}
	b := SurvivalGroup{Name: "b", Observations: []Observation{{Time: 5, Died: true, Number: 1}, {Time: 9, Number: 9}}}
	early := SurvivalGroup{Name: "early", Observations: []Observation{{Time: 1, Number: 20}}}
	two, err := LogRank([]SurvivalGroup{a, b})
	if err != nil {
		t.Fatal(err)
	}
	three, err := LogRank([]SurvivalGroup{early, a, b})
	if err != nil || three.ChiSquare != two.ChiSquare || three.DegreesOfFreedom != 1 || three.PValue != two.PValue || len(three.Groups) != 3 {
		t.Errorf("got %+v, %v; want %+v with one group more", three, err, two)
	}
}

func TestLogRankIgnoresOrderAndUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawObservations(t, "a"), drawObservations(t, "b"), drawObservations(t, "c")
		got, err := LogRank([]SurvivalGroup{{"a", a}, {"b", b}, {"c", c}})
		hours := append([]Observation(nil), a...)
		for _, g := range [][]Observation{b, c, hours} {
			for i := range g {
				g[i].Time *= 24
			}
		}
		again, errAgain := LogRank([]SurvivalGroup{{"c", c}, {"a", hours}, {"b", b}})
		if (err == nil) != (errAgain == nil) {
			t.Fatalf("%v, then %v", err, errAgain)
		}
		if math.Abs(got.ChiSquare-again.ChiSquare) > 1e-7*(1+got.ChiSquare) || got.DegreesOfFreedom != again.DegreesOfFreedom {
			t.Fatalf("%+v, then %+v", got, again)
		}
	})
}

func ExampleKaplanMeier() {
	// Freireich et al. (1963), the 6-MP arm: 0.857 at 6 weeks and 0.448 at 23.
	var observations []Observation
	for _, week := range []float64{6, 6, 6, 7, 10, 13, 16, 22, 23} {
		observations = append(observations, Observation{Time: week, Died: true, Number: 1})
	}
	for _, week := range []float64{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35} {
		observations = append(observations, Observation{Time: week, Number: 1})
	}
	curve, err := KaplanMeier(observations, 0.95, LimitsLogLog)
	for _, p := range []SurvivalPoint{curve.Points[0], curve.Points[6]} {
		fmt.Printf("week %g: %.3f (%.3f to %.3f)\n", p.Time, p.Survival, p.Low, p.High)
	}
	fmt.Println(err)
	// Output:
	// week 6: 0.857 (0.620 to 0.952)
	// week 23: 0.448 (0.188 to 0.680)
	// <nil>
}

func ExampleLogRank() {
	// Miller (1997), acute myelogenous leukaemia, weeks: chi-square 3.4, p = 0.065.
	group := func(name string, died, alive []float64) SurvivalGroup {
		g := SurvivalGroup{Name: name}
		for _, week := range died {
			g.Observations = append(g.Observations, Observation{Time: week, Died: true, Number: 1})
		}
		for _, week := range alive {
			g.Observations = append(g.Observations, Observation{Time: week, Number: 1})
		}
		return g
	}
	result, err := LogRank([]SurvivalGroup{
		group("maintained", []float64{9, 13, 18, 23, 31, 34, 48}, []float64{13, 28, 45, 161}),
		group("not maintained", []float64{5, 5, 8, 8, 12, 23, 27, 30, 33, 43, 45}, []float64{16}),
	})
	fmt.Printf("chi-square %.1f on %d degree of freedom, p = %.3f, %v\n", result.ChiSquare, result.DegreesOfFreedom, result.PValue, err)
	// Output: chi-square 3.4 on 1 degree of freedom, p = 0.065, <nil>
}
