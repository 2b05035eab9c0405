package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/protocols/quantity"
)

func scope() Scope {
	name := func(unit string) Name { return Name{Dimension: quantity.MustUnit(unit).Dimension()} }
	column := name("eggs")
	column.Column = true
	return Scope{
		"volume": name("L"), "cells": name("cells"), "density": name("cells/mL"), "eggs": name("eggs"), "larvae": name("larvae"),
		"share": name("%"), "warm": name("°C"), "cool": name("°C"), "beaker.volume": name("L/beaker"), "counts.eggs": column,
	}
}

func values(t testing.TB) Values {
	t.Helper()
	v := NewValues()
	for name, text := range map[string]string{"volume": "2 L", "cells": "300 cells", "density": "5 cells/mL", "eggs": "10 eggs",
		"larvae": "4 larvae", "share": "10 %", "warm": "18 °C", "cool": "16 °C", "beaker.volume": "0.8 L/beaker"} {
		q, err := quantity.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		v.Set(name, q.Base())
	}
	v.SetColumn("counts.eggs", []float64{4, 6, 5})
	return v
}

func TestRefusedFormulas(t *testing.T) {
	cases := []struct {
		name, formula string
		column        int
		want          string
	}{
		{"litres and cells", "volume + cells", 8, "cannot add volume and cell count"},
		{"unlike comparison", "volume <= cells", 8, "cannot compare volume and cell count"},
		{"unlike branches", "volume > 0 ? volume : cells", 27, "cannot compare volume and cell count"},
		{"eggs and larvae", "eggs - larvae", 6, "cannot subtract larva count from egg count"},
		{"two temperatures added", "warm + cool", 6, "temperature"},
		{"temperature times two", "warm * 2", 6, "temperature"},
		{"unknown name", "2 * volum", 5, `unknown name "volum"; did you mean "volume"?`},
		{"unknown function", "sqrt(share)", 1, `unknown function "sqrt"`},
		{"rounding a volume", "up(volume)", 1, "rounds counts and pure numbers only"},
		{"logarithm of litres", "ln(volume)", 1, "needs a pure number"},
		{"bare column", "counts.eggs + 1", 8, "this is a whole column"},
		{"sum of one number", "sum(eggs)", 5, "wants a column"},
		{"text", `"abc"`, 1, "cannot stand in a formula"},
		{"list", "[1, 2]", 1, "cannot stand in a formula"},
		{"loop", "map(counts.eggs, # * 2)", 1, "unknown function"},
		{"range", "1..10", 2, "is not used in formulas"},
		{"declaration", "let x = 1; x", 5, "cannot stand in a formula"},
		{"truth in a sum", "(eggs > 0) + 1", 7, "a number is wanted here"},
		{"number as truth", "eggs and larvae > 0", 1, "true or false is wanted"},
		{"as of a volume", `as(volume, "egg")`, 4, "recounts counted things and pure numbers only"},
		{"as of no thing", `as(eggs, "horse")`, 10, "is not a counted thing"},
		{"too many arguments", "abs(1, 2)", 1, "takes 1 value"},
		{"huge number", "1e300 * eggs", 1, "too large"},
		{"exponent with a unit", "2 ^ eggs", 3, "exponent must be a pure number"},
		{"unit to a broken power", "volume ^ 0.5", 8, "raised to 1, 2 or 3 only"},
		{"unfinished", "volume +", 8, "unexpected token"},
		{"empty", "  ", 1, "empty"},
		{"too long", strings.Repeat("(", 1_000_000), 1, "split it into amounts"},
		{"two dots", "beaker.volume.litres", 15, "at most one dot"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := Compile(c.formula, scope(), Functions{})
			var fe *Error
			if !errors.As(err, &fe) || !strings.Contains(fe.Says, c.want) {
				t.Fatalf("got %v, want an *Error saying %q", err, c.want)
			}
			if fe.Line != 1 || fe.Column != c.column {
				t.Errorf("at %d:%d, want 1:%d (%s)", fe.Line, fe.Column, c.column, fe.Says)
			}
		})
	}
}

func TestFormulasComputeInTheirUnit(t *testing.T) {
	cases := []struct {
		name, formula, unit string
		want                float64
	}{
		{"cells in a volume", "volume * density", "cells", 10000}, // 2000 mL x 5
		{"beakers", "up(volume / beaker.volume)", "beakers", 3},   // 2.5
		{"share", "eggs * (1 - share)", "eggs", 9},
		{"recount", `as(eggs, "larva") + larvae`, "larvae", 14},
		{"difference of temperatures", "warm - cool", "K", 2},
		{"powers", "(1 - share) ^ 3", "%", 72.9},
		{"conditional", "eggs > 9 * eggs ? 0 : volume", "L", 2},
		{"column mean", "mean(counts.eggs)", "eggs", 5},
		{"column extremes", "largest(counts.eggs) - smallest(counts.eggs)", "eggs", 2},
		{"first, last, filled", "first(counts.eggs) + last(counts.eggs) * filled(counts.eggs)", "eggs", 19},
		{"greatest of three", "greatest(eggs, sum(counts.eggs), 0)", "eggs", 15},
		{"half a plate more is a whole one", "up(eggs * 0.25)", "eggs", 3},
		{"binary noise is not a plate", "up(eggs * 0.1 * 3)", "eggs", 3}, // 3.0000000000000004
		{"whole arithmetic does not wrap", "1000000000 * 1000000000 * 1000", "1", 1e21},
		{"number into a count", `as(filled(counts.eggs), "plate")`, "plates", 3},
		{"standard deviation", "sd(counts.eggs)", "eggs", 1}, // of 4, 6, 5: squares 1 + 1 + 0 over 2
		{"unequal families", "sum(counts.eggs) ^ 2 / sum_squares(counts.eggs)", "1", 225.0 / 77},
		{"logarithm", "ln(exp(2))", "1", 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f, err := Compile(c.formula, scope(), Functions{})
			if err != nil {
				t.Fatal(err)
			}
			unit := quantity.MustUnit(c.unit)
			if f.Dimension() != unit.Dimension() {
				t.Fatalf("dimension %s, want %s", f.Dimension(), unit.Dimension())
			}
			base, err := f.Number(values(t))
			if err != nil {
				t.Fatal(err)
			}
			if got := unit.FromBase(base); math.Abs(got-c.want) > 1e-9*math.Abs(c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func TestTruths(t *testing.T) {
	for formula, want := range map[string]bool{
		"eggs <= 10 * (larvae / larvae) * eggs / 10": true,
		"0.1 + 0.2 == 0.3":                           true, // false in bare binary arithmetic
		"0.1 + 0.2 > 0.3":                            false,
		"eggs > 3 * larvae * (eggs / larvae) / 3":    false,
		"not (volume < 0) and larvae >= 0":           true,
		"share != share or eggs < 0":                 false,
	} {
		f, err := Compile(formula, scope(), Functions{})
		if err != nil {
			t.Errorf("%s: %v", formula, err)
			continue
		}
		if got, err := f.Truth(values(t)); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", formula, got, err, want)
		}
	}
}

func TestNoNumberIsAnError(t *testing.T) {
	for _, text := range []string{"volume / (eggs - eggs)", "ln(0)", "exp(1000)"} {
		f, err := Compile(text, scope(), Functions{})
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got, err := f.Number(values(t)); err == nil || got != 0 {
			t.Errorf("%s: got %v, %v; want an error", text, got, err)
		}
	}
	f, err := Compile("mean(counts.eggs)", scope(), Functions{})
	if err != nil {
		t.Fatal(err)
	}
	empty := NewValues()
	empty.SetColumn("counts.eggs", nil)
	if _, err := f.Number(empty); err == nil || !strings.Contains(err.Error(), "no filled row") {
		t.Errorf("an empty column: got %v", err)
	}
}

func TestWorkingKeepsItsMeaning(t *testing.T) {
	short := map[string]string{"eggs": "E", "larvae": "l", "volume": "v", "share": "s", "beaker.volume": "b"}
	for text, want := range map[string]string{
		"eggs - (eggs - eggs)":                       "E − (E − E)",
		"(volume + volume) * share":                  "(v + v) × s",
		"volume / (share * share)":                   "v ÷ (s × s)",
		"volume * (1 - share) ^ 2":                   "v × (1 − s) ^ 2",
		"up(volume / beaker.volume)":                 "up(v ÷ b)",
		`as(eggs, "larva") + larvae`:                 "E + l",
		"eggs > 0 ? eggs : 2 * eggs":                 "(E > 0 ? E : 2 × E)",
		"volume / share / share":                     "v ÷ s ÷ s",
		"share - share + share":                      "s − s + s",
		"greatest(eggs, 2 * eggs)":                   "greatest(E, 2 × E)",
		"-share * -(share + 1)":                      "−s × −(s + 1)",
		"not (eggs > 0 or larvae <= 0.5e1 * larvae)": "not (E > 0 or l ≤ 5 × l)",
	} {
		f, err := Compile(text, scope(), Functions{})
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got := f.Working(func(name string) string { return short[name] }); got != want {
			t.Errorf("%s: got %q, want %q", text, got, want)
		}
	}
}

func TestAnyTextIsAnswered(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		parts := rapid.SliceOfN(rapid.SampledFrom([]string{"volume", "eggs", "counts.eggs", "(", ")", "+", "*", "/",
			"<=", "?", ":", "1", "0", "up", "sum", ",", ".", "^", "not", `"x"`, "#", "{", "]"}), 0, 12).Draw(r, "parts")
		f, err := Compile(strings.Join(parts, " "), scope(), Functions{})
		if err != nil || f.IsTruth() {
			return
		}
		if x, err := f.Number(values(t)); err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
			r.Fatalf("%q gave %v without an error", f, x)
		}
	})
}

func FuzzCompile(f *testing.F) {
	for _, seed := range []string{"volume * density", "up(eggs / 3)", "sum(counts.eggs)", "a.b.c", "((((", "1..9", "{}", "eggs ?: 1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		compiled, err := Compile(text, scope(), Functions{})
		if err == nil && !compiled.IsTruth() {
			_, _ = compiled.Number(values(t)) // must not panic; the error is the answer
		}
	})
}

func ExampleFormula_Working() {
	f, err := Compile("up(volume / beaker.volume)", scope(), Functions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	put := map[string]string{"volume": "2 L", "beaker.volume": "0.8 L/beaker"}
	fmt.Println(f.Working(func(name string) string { return put[name] }))
	// Output: up(2 L ÷ 0.8 L/beaker)
}
