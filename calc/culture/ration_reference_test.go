package culture

import (
	"errors"
	"maps"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/limits"
	"spatsheet/calc/referencetest"
)

var givenNumber = regexp.MustCompile(`(?:^|; )([^=;]+)=([\d.eE+-]+)`)

// given reads "n=4000; deaths z=0 per day; ..." into numbers by name.
func given(t *testing.T, text string) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for _, found := range givenNumber.FindAllStringSubmatch(text, -1) {
		x, err := strconv.ParseFloat(found[2], 64)
		if err != nil {
			continue // a name such as species=H. corrugata
		}
		out[found[1]] = x
	}
	return out
}

// feedValue computes what a row of feed.csv asks.
func feedValue(what string, x map[string]float64) (float64, error) {
	length, growth, last := x["L0"], x["growth"]/1000, x["days"]-1
	alive := x["n"] * math.Exp(-x["deaths z"]*last)
	share := func(length float64) (float64, error) { // of one animal's ration, in % of its mass
		ration, err := Ration(x["FCR"], 1, x["a"], length, growth)
		if err != nil {
			return 0, err
		}
		mass, err := MassAtLength(x["a"], length)
		return 100 * ration / mass, err
	}
	switch what {
	case "ration_first_day":
		return Ration(x["FCR"], x["n"], x["a"], length, growth)
	case "ration_last_day":
		return Ration(x["FCR"], alive, x["a"], length+last*growth, growth)
	case "ration_first_day_share":
		return share(length)
	case "ration_last_day_share":
		return share(length + last*growth)
	case "feed_total", "feed_total_closed_form":
		return SeasonFeed(x["FCR"], x["n"], x["a"], length, growth, x["deaths z"], int(x["days"]))
	case "film_carrying_density":
		return FilmAnimals(x["mu"], x["film"], x["grazing at 1 mm"], x["L"])
	}
	return math.NaN(), errors.New("nothing computes " + what)
}

func TestRationReference(t *testing.T) {
	elsewhere := map[string]string{
		"length_end":                  "L0 + growth x days, a formula of the protocol",
		"specific_growth_from_length": "3 g / L, for comparison with published rates only",
		"mass_coefficient":            "W / L^3, the numbers that MassAtLength quotes",
	}
	ran := map[string]int{}
	for _, r := range referencetest.Read(t, "feed.csv") {
		what := r.Cells["what"]
		if elsewhere[what] != "" {
			continue
		}
		got, err := feedValue(what, given(t, r.Cells["inputs"]))
		want, _ := strconv.ParseFloat(r.Cells["expected"], 64)
		percent, perr := strconv.ParseFloat(strings.TrimSuffix(r.Cells["tolerance"], " %"), 64)
		if err != nil || perr != nil || !(math.Abs(got-want) <= percent/100*want) {
			t.Errorf("line %d, %s of %s: got %v (error %v), want %v within %s\n%s", r.Line, what, r.Cells["inputs"], got, err, want, r.Cells["tolerance"], r.Origin())
		}
		ran[what]++
	}
	want := map[string]int{"ration_first_day": 4, "ration_first_day_share": 4, "ration_last_day": 4, "ration_last_day_share": 4,
		"feed_total": 4, "feed_total_closed_form": 3, "film_carrying_density": 4}
	if !maps.Equal(ran, want) {
		t.Errorf("rows that ran: %v, want %v", ran, want)
	}
}

// TestMassAtLengthPublished: the published pairs that the coefficients come from, to three figures.
func TestMassAtLengthPublished(t *testing.T) {
	for _, c := range []struct{ a, length, mass float64 }{{1.224e-4, 10.7, 0.15}, {1.422e-4, 26, 2.5}, {1.514e-4, 33.9, 5.9}} {
		if got, err := MassAtLength(c.a, c.length); err != nil || !(math.Abs(got-c.mass) <= 0.002*c.mass) {
			t.Errorf("mass at %v mm: %v (error %v), want %v g", c.length, got, err, c.mass)
		}
	}
}

func TestRationRefuses(t *testing.T) {
	calls := map[string]func(x float64) error{
		"conversion": func(x float64) error { _, err := Ration(x, 4000, 1.4e-4, 4, 0.07); return err },
		"animals":    func(x float64) error { _, err := Ration(1.5, x, 1.4e-4, 4, 0.07); return err },
		"mass":       func(x float64) error { _, err := MassAtLength(x, 4); return err },
		"length":     func(x float64) error { _, err := Ration(1.5, 4000, 1.4e-4, x, 0.07); return err },
		"growth":     func(x float64) error { _, err := Ration(1.5, 4000, 1.4e-4, 4, x); return err },
		"deaths":     func(x float64) error { _, err := SeasonFeed(1.5, 4000, 1.4e-4, 4, 0.07, x, 100); return err },
		"film":       func(x float64) error { _, err := FilmAnimals(0.4, x, 724, 1); return err },
		"rate":       func(x float64) error { _, err := FilmAnimals(x, 3e5, 724, 1); return err },
	}
	for name, call := range calls {
		for _, x := range []float64{math.NaN(), math.Inf(1), -1, 1e12} {
			if err := call(x); !errors.Is(err, limits.ErrRange) {
				t.Errorf("%s %v: error %v, want ErrRange", name, x, err)
			}
		}
	}
	if _, err := SeasonFeed(1.5, 4000, 1.4e-4, 4, 0.07, 0, 0); !errors.Is(err, limits.ErrRange) {
		t.Errorf("no day: error %v, want ErrRange", err)
	}
}
