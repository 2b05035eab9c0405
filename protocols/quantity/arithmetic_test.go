package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func must(t *testing.T, s string) Quantity {
	t.Helper()
	q, err := Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// TestArithmetic checks results as they are printed, or the words of the refusal.
func TestArithmetic(t *testing.T) {
	type operation func(Quantity, Quantity) (Quantity, error)
	plus, minus := operation(Quantity.Plus), operation(Quantity.Minus)
	times, over := operation(Quantity.Times), operation(Quantity.Over)
	cases := []struct {
		name string
		q    string
		do   operation
		r    string
		want string
	}{
		{"like units", "1.5 L", plus, "0.5 L", "2 L"},
		{"unit of the first", "1 L", plus, "250 mL", "1.25 L"},
		{"unlike", "2 L", plus, "300 cells", "cannot add 2 L and 300 cells: volume and cell count"},
		{"two temperatures", "18 °C", plus, "2 °C", "cannot add the temperatures 18 °C and 2 °C; add a temperature difference in K instead"},
		{"temperature and difference", "18 °C", plus, "2 K", "20 °C"},
		{"difference and temperature", "2 K", plus, "18 °C", "20 °C"},
		{"temperatures", "18 °C", minus, "16 °C", "2 K"},
		{"temperature less difference", "18 °C", minus, "0.5 Δ°C", "17.5 °C"},
		{"below absolute zero", "-200 °C", minus, "100 K", "temperature: -300 °C is out of range; it must be at least -273.15 °C"},
		{"unlike difference", "2 L", minus, "1 h", "cannot subtract 1 h from 2 L: time and volume"},
		{"joined", "2 larvae/mL", times, "5 mL", "10 larvae"},
		{"two kinds of volume", "2 L", times, "3 larvae/mL", "6000 larvae"},
		{"two kinds of time", "4 L/h", times, "30 min", "2 L"},
		{"kept apart", "10 cells/mL", times, "2 mL/larva", "20 cells/larva"},
		{"share of a count", "200 eggs", times, "70 %", "140 eggs"},
		{"rate per hour for days", "0.5 L/h", times, "1 d", "12 L"},
		{"concentration", "2 mM", times, "3 L", "0.006 mol"},
		{"power", "2 V", times, "3 A", "6 W"},
		{"square", "10 cm", times, "10 cm", "100 cm2"},
		{"two lengths", "2 m", times, "50 cm", "1 m2"},
		{"temperature", "18 °C", times, "2", "cannot multiply 18 °C and 2: cannot multiply a temperature; use a temperature difference in K"},
		{"eggs per plate", "120 eggs", over, "4 plates", "30 eggs/plate"},
		{"volume over density", "600 larvae", over, "3 larvae/mL", "200 mL"},
		{"ratio of like", "250 mL", over, "1 L", "0.25"},
		{"gradient", "6 K", over, "3 h", "2 K/h"},
		{"by zero", "6 L", over, "0 h", "cannot divide 6 L by 0 h; give a divisor that is not zero"},
		{"by a temperature", "6 L", over, "18 °C", "cannot divide 6 L by 18 °C: cannot divide with a temperature; use a temperature difference in K"},
		{"too large", "1e300 L", times, "1e300", "volume"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.do(must(t, c.q), must(t, c.r))
			words := got.String()
			if err != nil {
				words = err.Error()
			}
			if c.name == "too large" {
				if !errors.Is(err, ErrRange) {
					t.Errorf("got %q, want it out of range", words)
				}
				return
			}
			if words != c.want {
				t.Errorf("got %q, want %q", words, c.want)
			}
		})
	}
}

// TestIn checks conversions and their refusals.
func TestIn(t *testing.T) {
	for _, c := range []struct{ q, unit, want string }{
		{"2 L", "cells", "cannot turn 2 L (volume) into cells (cell count)"},
		{"2 L", "1", "cannot turn 2 L (volume) into a pure number"},
		{"18 °C", "K", "cannot turn 18 °C (temperature) into K (temperature difference)"},
		{"1.5 L", "mL", "1500 mL"},
		{"3 larvae/mL", "larvae/L", "3000 larvae/L"},
		{"1 °C/h", "K/d", "24 K/d"},
		{"1e-320 µL", "L", "too large or too small"},
		{"1e305 m", "nm", "out of range"},
	} {
		q, err := Parse(c.q)
		if err == nil {
			q, err = q.In(MustUnit(c.unit))
		}
		words := q.String()
		if err != nil {
			words = err.Error()
		}
		if !strings.Contains(words, c.want) {
			t.Errorf("%s in %s: got %q, want %q", c.q, c.unit, words, c.want)
		}
	}
}

// TestCompare checks order within a dimension and the refusal outside it.
func TestCompare(t *testing.T) {
	for _, c := range []struct {
		q, r string
		want int
	}{{"1 L", "1000 mL", 0}, {"1 L", "999 mL", 1}, {"18 °C", "20 °C", -1}, {"1 d", "25 h", -1}} {
		if got, err := must(t, c.q).Compare(must(t, c.r)); err != nil || got != c.want {
			t.Errorf("%s against %s: %d, %v; want %d", c.q, c.r, got, err, c.want)
		}
	}
	_, err := must(t, "2 L").Compare(must(t, "300 cells"))
	if !errors.Is(err, ErrDimension) || err.Error() != "cannot compare 2 L and 300 cells: volume and cell count" {
		t.Errorf("got %v", err)
	}
}

// TestNewRefuses checks what is not a quantity.
func TestNewRefuses(t *testing.T) {
	for _, value := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, unit := range []string{"L", "°C", "1"} {
			if q, err := New(value, MustUnit(unit)); !errors.Is(err, ErrRange) || q != (Quantity{}) {
				t.Errorf("New(%v, %q) gave %v, %v", value, unit, q, err)
			}
			if _, err := FromBase(value, MustUnit(unit)); !errors.Is(err, ErrRange) {
				t.Errorf("FromBase(%v, %q): %v", value, unit, err)
			}
		}
	}
	if _, err := New(-273.15, MustUnit("°C")); err != nil {
		t.Errorf("absolute zero itself: %v", err)
	}
	if _, err := New(-273.16, MustUnit("°C")); !errors.Is(err, ErrRange) {
		t.Errorf("below absolute zero: %v", err)
	}
	if q, err := New(math.Copysign(0, -1), MustUnit("L")); err != nil || q.String() != "0 L" {
		t.Errorf("minus zero gave %v, %v", q, err)
	}
}
