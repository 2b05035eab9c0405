package calc_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/calc/referencetest"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/templates"
)

const spawning = `batch: T-26-01
protocol: limpet-spawning@1.0.0
species: Patella vulgata
date: 2026-02-14
start: "18:00"
settings: {females: %d, males: %d, eggs_expected: %g, spat_wanted: %g%s}
`

const culture = `batch: T-26-D1
protocol: diatom-culture@1.0.0
species: Navicula
date: 2026-01-28
start: "09:00"
settings: {medium: %g L, parent_density: 8e5, parent_volume: %g L%s}
`

// roomy lets every batch size of these tests fit.
const roomy = ", beaker.count: 5000, bucket.count: 1000, rearing.count: 1000, plate.count: 100000, tank.count: 1000"

func site(t testing.TB, extra string) calc.Site {
	t.Helper()
	s, err := calc.ReadSite("site.yaml", []byte(string(templates.Site)+extra))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func scaled(t testing.TB, site calc.Site, text string) (*calc.Sheet, error) {
	t.Helper()
	plan, err := calc.ReadPlan("plan.yaml", []byte(text))
	if err != nil {
		return nil, err
	}
	p, ok := loaded[plan.Protocol]
	if !ok {
		if p, err = library.Load(plan.Protocol, functions.All()); err != nil {
			t.Fatal(err)
		}
		loaded[plan.Protocol] = p
	}
	return calc.Scale(p, site, plan)
}

// loaded keeps the protocols: loading compiles every formula, scaling does not.
var loaded = map[string]*protocols.Protocol{}

func must(t testing.TB, site calc.Site, text string) *calc.Sheet {
	t.Helper()
	s, err := scaled(t, site, text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func spawn(k float64, extra string) string {
	return fmt.Sprintf(spawning, int(60*k), int(40*k), 8e6*k, 2e5*k, extra)
}

func TestExtensiveAmountsScaleAndOthersDoNot(t *testing.T) {
	plans := map[string]func(k float64) string{
		"limpet-spawning": func(k float64) string { return spawn(k, roomy) },
		"diatom-culture": func(k float64) string {
			return fmt.Sprintf(culture, 40*k, 2*k, ", carboy.count: 1000")
		},
	}
	for id, plan := range plans {
		one := must(t, site(t, ""), plan(1))
		for _, k := range []float64{0.1, 1, 3, 10} {
			t.Run(fmt.Sprintf("%s x%g", id, k), func(t *testing.T) {
				s := must(t, site(t, ""), plan(k))
				for i, a := range s.Amounts {
					want := one.Amounts[i].Exact.Value()
					if a.Definition.Scales {
						want *= k
					}
					// What is computed from settings alone scales exactly. What is computed from
					// rounded amounts carries their rounding: two vessels or graduations at
					// the smaller of the two sizes, and 2 % for rounding to figures.
					slack := 1e-9 * want
					if a.Definition.Scales && !fromSettings(s, a) {
						slack = 0.02*want + 2*max(1, k)
					}
					if got := a.Exact.Value(); math.Abs(got-want) > slack {
						t.Errorf("%s: got %v, want %v within %v", a.Definition.ID, got, want, slack)
					}
				}
			})
		}
	}
}

func fromSettings(s *calc.Sheet, a calc.Amount) bool {
	for _, name := range a.Definition.Formula.Names() {
		if _, ok := s.Amount(name); ok {
			return false
		}
	}
	return true
}

func TestScalingUpNeverLowersAnAmount(t *testing.T) {
	home := site(t, "")
	rapid.Check(t, func(r *rapid.T) {
		k := rapid.Float64Range(0.05, 4).Draw(r, "k")
		more := k * rapid.Float64Range(1, 2).Draw(r, "more")
		small, errSmall := scaled(t, home, spawn(k, roomy))
		large, errLarge := scaled(t, home, spawn(more, roomy))
		if errSmall != nil || errLarge != nil {
			r.Fatalf("%v %v", errSmall, errLarge)
		}
		for i := range small.Amounts {
			a, b := small.Amounts[i], large.Amounts[i]
			if a.Rounded.Base() > b.Rounded.Base() {
				r.Errorf("%s falls from %s to %s", a.Definition.ID, a.Rounded, b.Rounded)
			}
		}
	})
}

func TestPartsAddUpExactly(t *testing.T) {
	home := site(t, "")
	rapid.Check(t, func(r *rapid.T) {
		s, err := scaled(t, home, spawn(rapid.Float64Range(0.05, 4).Draw(r, "k"), roomy))
		if err != nil {
			r.Fatal(err)
		}
		for _, a := range s.Amounts {
			if len(a.Parts) == 0 {
				continue
			}
			// Whole thousandths of the unit: the finest graduation here is 0.01.
			sum, low, high := 0.0, math.Inf(1), 0.0
			for _, p := range a.Parts {
				sum += math.Round(p.Value() * 1000)
				low, high = min(low, p.Value()), max(high, p.Value())
			}
			if sum != math.Round(a.Rounded.Value()*1000) {
				r.Errorf("%s: the parts add up to %v thousandths, the whole is %s", a.Definition.ID, sum, a.Rounded)
			}
			if a.Definition.Round.Direction == "up" && a.Rounded.Value() < a.Exact.Value()*(1-1e-9) {
				r.Errorf("%s: rounded up from %s to %s", a.Definition.ID, a.Exact, a.Rounded)
			}
		}
	})
}

// TestMediumAsPublished holds the stocks for 1 L and 20 L against the f/2 recipe of
// Guillard and Ryther (1962) and Guillard (1975), in testdata/reference/medium_f2.csv.
func TestMediumAsPublished(t *testing.T) {
	amounts := map[string]string{"NaNO3": "nitrate", "NaH2PO4.H2O": "phosphate", "Na2SiO3.9H2O": "silicate"}
	ran := 0
	for _, row := range referencetest.Read(t, "medium_f2.csv") {
		id, ok := amounts[row.Cells["component"]]
		if !ok || row.Cells["stock_mL_per_L_medium"] == "" {
			continue
		}
		perLitre, err := strconv.ParseFloat(row.Cells["stock_mL_per_L_medium"], 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, litres := range []float64{1, 20} {
			s := must(t, site(t, ""), fmt.Sprintf(culture, litres, 2.0, ""))
			a, _ := s.Amount(id)
			if got, want := a.Rounded.Value(), perLitre*litres; math.Abs(got-want) > 1e-12 {
				t.Errorf("%s for %g L: got %g mL, want %g (%s)", id, litres, got, want, row.Origin())
			}
			ran++
		}
	}
	// Vitamins at 0.5 mL/L and trace metals at 1 mL/L: same recipe, from memory.
	for id, perLitre := range map[string]float64{"vitamins": 0.5, "trace": 1} {
		for _, litres := range []float64{1, 20} {
			s := must(t, site(t, ""), fmt.Sprintf(culture, litres, 2.0, ""))
			if a, _ := s.Amount(id); math.Abs(a.Rounded.Value()-perLitre*litres) > 1e-12 {
				t.Errorf("%s for %g L: got %s, want %g mL", id, litres, a.Rounded, perLitre*litres)
			}
			ran++
		}
	}
	if ran < 10 {
		t.Errorf("only %d comparisons ran", ran)
	}
}

func TestRefusals(t *testing.T) {
	good := spawn(0.3, "")
	cases := []struct {
		name, plan string
		want       []string
	}{
		{"below range", strings.Replace(good, "females: 18", "females: 0", 1), []string{"plan.yaml:6:21: females (Females): 0 animals is outside 1 to 1000"}},
		{"not whole", strings.Replace(good, "females: 18", "females: 1.5", 1), []string{"plan.yaml:6:21: females (Females): 1.5 animals is not a whole number"}},
		{"wrong unit", strings.Replace(good, "females: 18", "females: 3 L", 1), []string{"plan.yaml:6:21: females", "volume"}},
		{"unknown setting", strings.Replace(good, "females: 18", "femals: 18", 1),
			[]string{`plan.yaml:6:20: limpet-spawning@1.0.0 has no setting "femals"; did you mean "females"?`, "the plan needs settings: females"}},
		{"missing setting", strings.Replace(good, "males: 12,", "", 1), []string{"the plan needs settings: males (Males, in animals, 1 to 1000); add it"}},
		{"another species", strings.Replace(good, "Patella vulgata", "Haliotis rubra", 1), []string{"plan.yaml:3:10:", "written for Patella, Cellana, Lottia"}},
		{"a device of Windows as batch code", strings.Replace(good, "T-26-01", "COM1", 1), []string{`plan.yaml:1:8: batch code "COM1" is the name of a device`}},
		{"path in the batch code", strings.Replace(good, "T-26-01", "../../etc", 1), []string{"plan.yaml:1:8: batch code"}},
		{"no such day", strings.Replace(good, "2026-02-14", "2026-02-30", 1), []string{"plan.yaml:4:7: date"}},
		{"unknown key", good + "colour: red\n", []string{`plan.yaml:7:1: unknown key "colour"`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := scaled(t, site(t, ""), c.plan)
			for _, want := range c.want {
				if err == nil || !strings.Contains(err.Error(), want) {
					t.Errorf("got %v\nwant it to contain %q", err, want)
				}
			}
		})
	}
}

func TestMeasureTooCoarse(t *testing.T) {
	coarse := calc.Site{}
	text := strings.Replace(string(templates.Site),
		"  - {label: 1 mL pipette, holds: 1 mL, step: 0.01 mL}\n  - {label: 10 mL pipette, holds: 10 mL, step: 0.1 mL}\n", "", 1)
	coarse, err := calc.ReadSite("site.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	_, err = scaled(t, coarse, fmt.Sprintf(culture, 1.0, 2.0, ""))
	if err == nil || !strings.Contains(err.Error(), "cannot be measured with the 100 mL cylinder") || !strings.Contains(err.Error(), "list a finer measure") {
		t.Errorf("0.5 mL of vitamins with a 1 mL graduation: got %v", err)
	}
}

func TestShortageNamesTheLargestBatch(t *testing.T) {
	_, err := scaled(t, site(t, ""), spawn(1, ""))
	var short *calc.Shortage
	if !errors.As(err, &short) {
		t.Fatalf("got %v, want a shortage", err)
	}
	for _, want := range []string{"beakers: needs ", "short of ", "the largest batch of this shape that fits: females "} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing in:\n%v", want, err)
		}
	}
	fit := map[string]string{}
	more := map[string]string{}
	for _, v := range short.Fits {
		fit[v.Setting.ID] = strconv.FormatFloat(v.Quantity.Value(), 'g', -1, 64)
		more[v.Setting.ID] = strconv.FormatFloat(math.Ceil(v.Quantity.Value()*1.12), 'g', -1, 64)
	}
	plan := func(m map[string]string) string {
		return strings.Replace(spawn(1, ""), "{females: 60, males: 40, eggs_expected: 8e+06, spat_wanted: 200000}",
			fmt.Sprintf("{females: %s, males: %s, eggs_expected: %s, spat_wanted: %s}", m["females"], m["males"], m["eggs_expected"], m["spat_wanted"]), 1)
	}
	if _, err := scaled(t, site(t, ""), plan(fit)); err != nil {
		t.Errorf("the batch that is said to fit does not: %v", err)
	}
	if _, err := scaled(t, site(t, ""), plan(more)); !errors.As(err, &short) {
		t.Errorf("an eighth more should not fit, got %v", err)
	}
}

// TestShortageNamesTheBottleneck: where one setting is all that is too large, what it may be
// is told, and fits.
func TestShortageNamesTheBottleneck(t *testing.T) {
	spat := func(n float64) string {
		return strings.Replace(spawn(0.1, ""), "spat_wanted: 20000", fmt.Sprintf("spat_wanted: %.0f", n), 1)
	}
	_, err := scaled(t, site(t, ""), spat(1e5))
	var short *calc.Shortage
	if !errors.As(err, &short) || len(short.Alone) != 1 || short.Alone[0].Setting.ID != "spat_wanted" {
		t.Fatalf("got %v, want spat_wanted alone to be too large", err)
	}
	if want := "with the rest as planned this fits: spat_wanted "; !strings.Contains(err.Error(), want) {
		t.Errorf("%q is missing in:\n%v", want, err)
	}
	fit := short.Alone[0].Quantity.Value()
	if _, err := scaled(t, site(t, ""), spat(fit)); err != nil {
		t.Errorf("what is said to fit does not: %v", err)
	}
	if _, err := scaled(t, site(t, ""), spat(fit*1.12)); !errors.As(err, &short) {
		t.Errorf("an eighth more should not fit, got %v", err)
	}
}

func TestDigest(t *testing.T) {
	home := site(t, "")
	base := must(t, home, spawn(0.1, ""))
	same := strings.Replace(spawn(0.1, ""), "species: Patella vulgata\ndate: 2026-02-14\n", "# a comment\ndate: 2026-02-14\nspecies: 'Patella vulgata'\n", 1)
	if got := must(t, home, same).Digest; got != base.Digest {
		t.Errorf("order of keys and comments change the digest: %s, %s", got, base.Digest)
	}
	for name, text := range map[string]string{
		"a setting":      strings.Replace(spawn(0.1, ""), "males: 4", "males: 5", 1),
		"the start":      strings.Replace(spawn(0.1, ""), "18:00", "18:01", 1),
		"the batch code": strings.Replace(spawn(0.1, ""), "T-26-01", "T-26-02", 1),
	} {
		if got := must(t, home, text).Digest; got == base.Digest {
			t.Errorf("%s does not change the digest", name)
		}
	}
	other, err := calc.ReadSite("site.yaml", []byte(strings.Replace(string(templates.Site), "count: 24", "count: 25", 1)))
	if err != nil {
		t.Fatal(err)
	}
	if got := must(t, other, spawn(0.1, "")).Digest; got == base.Digest {
		t.Error("the site does not change the digest")
	}
}

func TestPrecedence(t *testing.T) {
	withSite := strings.Replace(string(templates.Site), "watch_hours: 12 h", "watch_hours: 10 h", 1)
	home, err := calc.ReadSite("site.yaml", []byte(withSite))
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct{ name, extra, id, want, from string }{
		{"protocol", "", "contact", "30 min", "protocol"},
		{"site over protocol", "", "watch_hours", "10 h", "site"},
		{"plan over site", ", watch_hours: 8 h", "watch_hours", "8 h", "plan"},
		{"plan converts units", ", contact: 0.75 h", "contact", "45 min", "plan"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v, ok := must(t, home, spawn(0.1, c.extra)).Value(c.id)
			if !ok || v.Quantity.String() != c.want || string(v.From) != c.from {
				t.Errorf("got %s from %s, want %s from %s", v.Quantity, v.From, c.want, c.from)
			}
		})
	}
}

func TestBoxesAreNamedOnce(t *testing.T) {
	s := must(t, site(t, ""), spawn(0.1, ""))
	seen := map[calc.Key]bool{}
	for _, b := range s.Boxes() {
		if seen[b.Key] {
			t.Errorf("%s stands twice", b.Key)
		}
		seen[b.Key] = true
		if b.Printed == "" || b.Entry == nil {
			t.Errorf("%s has no printed name or entry", b.Key)
		}
	}
	for _, want := range []calc.Key{"eggs_counted", "egg_counts.5.counted", "sign.stock.checked", "stocking.1.stocked"} {
		if !seen[want] {
			t.Errorf("there is no box %s", want)
		}
	}
}
