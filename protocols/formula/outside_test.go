package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"spatsheet/protocols/quantity"
)

// outsiders is a small list of functions from outside.
func outsiders(t testing.TB) Functions {
	t.Helper()
	all, err := NewFunctions(
		Function{Name: "flow", Says: "Flow that keeps a rate", Result: "L/h", Source: "arithmetic", Working: "rate * water / change",
			Arguments: []Argument{
				{Name: "change", Unit: Any, High: math.Inf(1), Open: true}, {Name: "rate", Unit: "any/h", High: math.Inf(1), Open: true},
				{Name: "water", Unit: "L", Low: 0, High: 1000},
			},
			Call: func(x []float64) (float64, error) { return x[1] * x[2] / x[0], nil }},
		Function{Name: "pool", Says: "Volume that holds a number", Result: "mL", Source: "arithmetic", Working: "number / density",
			Arguments: []Argument{{Name: "number", Unit: Thing, High: 1e9, Whole: true}, {Name: "density", Unit: "thing/mL", High: math.Inf(1)}},
			Call: func(x []float64) (float64, error) {
				if x[1] == 0 {
					return 0, errors.New("density: 0 holds nothing")
				}
				return x[0] / x[1], nil
			}},
		Function{Name: "start", Says: "Number to start with", Result: Thing, Source: "arithmetic", Working: "target / share", Rest: true,
			Arguments: []Argument{{Name: "target", Unit: Thing, High: math.Inf(1)}, {Name: "share", Unit: "1", High: 1, Open: true}},
			Call: func(x []float64) (float64, error) {
				for _, s := range x[1:] {
					x[0] /= s
				}
				return x[0], nil
			}},
	)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func outsideScope() Scope {
	unit := func(s string) Name { return Name{Dimension: quantity.MustUnit(s).Dimension()} }
	return Scope{"gap": unit("K"), "here": unit("°C"), "there": unit("°C"), "speed": unit("°C/h"), "saltier": unit("PSU/h"), "tank": unit("L"),
		"eggs": unit("eggs"), "egg_density": unit("eggs/mL"), "larval_density": unit("larvae/mL"), "alive": unit("%")}
}

// TestOutside calls functions with values in other units than theirs.
func TestOutside(t *testing.T) {
	v := NewValues()
	for name, q := range map[string]string{"gap": "3 K", "here": "15 °C", "there": "18 °C", "speed": "1 °C/h",
		"tank": "400 L", "eggs": "2e6 eggs", "egg_density": "50 eggs/mL", "alive": "50 %"} {
		parsed, err := quantity.Parse(q)
		if err != nil {
			t.Fatal(err)
		}
		v.Set(name, parsed.Base())
	}
	for _, c := range []struct {
		formula, unit string
		want          float64
		inside        string
	}{
		{"flow(gap, speed, tank)", "L/h", 400.0 / 3, "flow = rate × water ÷ change = [speed] × [tank] ÷ [gap]"},
		{"flow(abs(here - there), speed, tank / 2)", "mL/min", 200.0 / 3 * 1000 / 60,
			"flow = rate × water ÷ change = [speed] × ([tank] ÷ 2) ÷ abs([here] − [there])"},
		{"pool(eggs, egg_density)", "L", 40, "pool = number ÷ density = [eggs] ÷ [egg_density]"},
		{"start(eggs, alive)", "eggs", 4e6, "start = target ÷ share = [eggs] ÷ [alive]"},
		{"start(eggs, alive, 0.25)", "eggs", 16e6, "start = target ÷ share = [eggs] ÷ ([alive] × 0.25)"},
	} {
		t.Run(c.formula, func(t *testing.T) {
			f, err := Compile(c.formula, outsideScope(), outsiders(t))
			if err != nil {
				t.Fatal(err)
			}
			unit := quantity.MustUnit(c.unit)
			if got, want := f.Dimension(), unit.Dimension(); got != want {
				t.Fatalf("gives a %s, want a %s", got, want)
			}
			base, err := f.Number(v)
			if got := unit.FromBase(base); err != nil || math.Abs(got-c.want) > 1e-9*c.want {
				t.Errorf("gives %g %s (%v), want %g", got, c.unit, err, c.want)
			}
			inside := f.Inside(func(name string) string { return "[" + name + "]" })
			if got := strings.Join(inside, "\n"); got != c.inside {
				t.Errorf("inside is\n%s\nwant\n%s", got, c.inside)
			}
		})
	}
}

// TestOutsideRefused holds what is wrong with a call against its place and words.
func TestOutsideRefused(t *testing.T) {
	for _, c := range []struct {
		formula string
		column  int
		says    string
	}{
		{"flow(gap, speed)", 1, "flow takes 3 value(s), 2 given; write flow(change, rate, water)"},
		{"flow(gap, speed, egg_density)", 18, "flow wants its argument water in L (volume), this is a egg count per volume, eggs/L"},
		{"flow(gap, saltier, tank)", 11, "flow wants its argument rate in K/h"},
		{"flow(here, speed, tank)", 6, "flow wants its argument change in any quantity, this is a temperature"},
		{"flow(gap, speed, 1001)", 18, "water: 1001 L is out of range; it must be at least 0 and at most 1000 L"},
		{"pool(eggs, larval_density)", 12, "pool wants its argument density in eggs/L"},
		{"pool(tank, egg_density)", 6, "pool wants its argument number in counted things or a pure number, this is a volume, L"},
		{"start(eggs, 0)", 13, "share: 0 is out of range; it must be above 0 and at most 1"},
		{"nothing(eggs)", 1, `unknown function "nothing"`},
	} {
		t.Run(c.formula, func(t *testing.T) {
			_, err := Compile(c.formula, outsideScope(), outsiders(t))
			var fault *Error
			if !errors.As(err, &fault) {
				t.Fatalf("not refused: %v", err)
			}
			if fault.Column != c.column || !strings.Contains(fault.Says, c.says) {
				t.Errorf("refused at column %d with %q; want column %d and %q", fault.Column, fault.Says, c.column, c.says)
			}
		})
	}
}

// TestOutsideAtRunTime: a value that a function does not take names the function, its
// argument and what it is computed from.
func TestOutsideAtRunTime(t *testing.T) {
	for _, c := range []struct {
		formula string
		eggs    float64
		density float64
		want    string
	}{
		{"pool(eggs, egg_density)", 10.5, 1, "pool: number: 10.5 is not a whole number; look at egg_density, eggs"},
		{"pool(eggs, egg_density)", 2e9, 1, "pool: number: 2e+09 is out of range; it must be at least 0 and at most 1"},
		{"pool(eggs, egg_density)", 10, 0, "pool: density: 0 holds nothing; look at egg_density, eggs"},
		{"pool(eggs, egg_density)", math.NaN(), 1, "pool: number is not a finite number"},
	} {
		t.Run(fmt.Sprint(c.eggs, c.density), func(t *testing.T) {
			f, err := Compile(c.formula, outsideScope(), outsiders(t))
			if err != nil {
				t.Fatal(err)
			}
			v := NewValues()
			v.Set("eggs", c.eggs)
			v.Set("egg_density", c.density)
			if _, err = f.Number(v); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("says %v, want %q in it", err, c.want)
			}
		})
	}
}

// TestFunctionsRefused: a list with a fault in it is no list.
func TestFunctionsRefused(t *testing.T) {
	good := Function{Name: "good", Result: "L", Arguments: []Argument{{Name: "a", Unit: "L"}}}
	for name, c := range map[string]struct {
		change func(f *Function)
		want   string
	}{
		"own name":   {func(f *Function) { f.Name = "sum" }, "the name is taken"},
		"unit":       {func(f *Function) { f.Arguments = []Argument{{Name: "a", Unit: "gallon"}} }, "argument a: "},
		"two things": {func(f *Function) { f.Result = "thing/thing" }, "thing may stand in it once"},
		"working":    {func(f *Function) { f.Working = "a +" }, "its working: "},
	} {
		f := good
		c.change(&f)
		if _, err := NewFunctions(f); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
}
