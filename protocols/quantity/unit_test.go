package quantity

import (
	"errors"
	"strings"
	"testing"
)

// TestRefusedUnits checks that a unit that cannot be read names the part and the remedy.
func TestRefusedUnits(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"near miss", "larve/mL", `unknown unit "larve" in "larve/mL"; did you mean larva?`},
		{"near miss below the line", "mL/mim", `unknown unit "mim" in "mL/mim"; did you mean min?`},
		{"wrong case", "ML", `unknown unit "ML"; did you mean mL?`},
		{"wrong case of a thing", "Eggs", `unknown unit "Eggs"; did you mean eggs?`},
		{"Fahrenheit", "°F", `unknown unit "°F"; use °C`},
		{"parts per thousand", "ppt", `write PSU for practical salinity`},
		{"per mille", "‰", `write PSU for practical salinity`},
		{"word for per", "cells per mL", `write a slash for per: cells/mL`},
		{"negative power", "µmol m-2 s-1", `write divisors with a slash`},
		{"brackets", "cells/(mL)", `without blanks, brackets or minus signs`},
		{"product below the line", "cells/mL.d", `give each divisor its own slash`},
		{"trailing slash", "cells/", `a factor is missing`},
		{"leading slash", "/mL", `a factor is missing`},
		{"power zero", "m0", `must be a whole number from 1 to 99`},
		{"power too large", "m100", `must be a whole number from 1 to 99`},
		{"scale too small", "nm99", `too large or too small to hold`},
		{"too many factors", "L.L.L.L.L.L.L.L.L", `8 are the most`},
		{"far from all", "frobnicate", `write for instance mL, °C, PSU`},
		{"invalid text", "\xff\xfe", `unknown unit`},
		{"very long", strings.Repeat("x", 1000), `xxx…`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			u, err := ParseUnit(c.text)
			if err == nil {
				t.Fatalf("ParseUnit(%q) gave %q, want an error", c.text, u.Symbol())
			}
			if !strings.Contains(err.Error(), c.want) || !errors.Is(err, ErrUnit) {
				t.Errorf("ParseUnit(%q)\n got %v\nwant %s", c.text, err, c.want)
			}
		})
	}
}

// TestSpellings checks the other ways to write a unit.
func TestSpellings(t *testing.T) {
	for written, want := range map[string]string{
		"l": "L", "ml": "mL", "ul": "µL", "μL": "µL", "uL": "µL", "dl": "dL",
		"larva": "larvae", "larva/egg": "larvae/egg", "people": "persons", "spat": "spat",
		"day": "d", "days": "d", "week": "wk", "years": "a", "hours": "h", "minute": "min", "seconds": "s",
		"m²": "m2", "m^2": "m2", "cm³": "cm3", "kg⋅m": "kg.m", "kg*m": "kg.m", " cells / mL ": "cells/mL",
		"ºC": "°C", "℃": "°C", "∆°C": "Δ°C", "1": "", "": "", "m¹²": "m12", "umol/m2/s": "µmol/m2/s",
		"m/s": "m/s", "min": "min", "m": "m", "passes": "passes", "division/day": "divisions/d",
	} {
		u, err := ParseUnit(written)
		if err != nil || u.Symbol() != want {
			t.Errorf("ParseUnit(%q) = %q, %v; want %q", written, u.Symbol(), err, want)
		}
	}
}

// TestEveryUnitIsReadInEachSpelling wants each unit of the table back from each of its forms:
// the same symbol and UCUM code, and as large.
func TestEveryUnitIsReadInEachSpelling(t *testing.T) {
	for _, a := range atoms[1:] {
		own := MustUnit(a.symbol)
		for _, s := range a.spellings() {
			u, err := ParseUnit(s)
			if err != nil || u.Symbol() != own.Symbol() || u.UCUM() != own.UCUM() || u.UCUM() == "" {
				t.Errorf("ParseUnit(%q) gave %q (UCUM %q), %v; want %q (UCUM %q)", s, u.Symbol(), u.UCUM(), err, own.Symbol(), own.UCUM())
				continue
			}
			two, err := New(2, u)
			if got, errIn := two.In(own); err != nil || errIn != nil || got.Value() != 2 {
				t.Errorf("2 %s are %v, %v, %v; want 2 %s", s, got, err, errIn, a.symbol)
			}
		}
	}
}

// TestUCUMPowers checks that annotations and bracketed terms, which have no powers in UCUM,
// are repeated.
func TestUCUMPowers(t *testing.T) {
	for written, want := range map[string]string{
		"cells2": "{cell}.{cell}", "m2": "m2", "1/cells2": "1/{cell}/{cell}",
		"mM": "mmol/L", "L/mM": "L/(mmol/L)", "kWh2": "(kW.h).(kW.h)", "kWh/d": "(kW.h)/d", "Δ°C/h": "K/h",
	} {
		if got := MustUnit(written).UCUM(); got != want {
			t.Errorf("UCUM of %s is %q, want %q", written, got, want)
		}
	}
}

func TestMustUnitPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("MustUnit took an unknown unit")
		}
	}()
	MustUnit("frobnicate")
}

// TestNoNoise checks that the bases keep common work exact to the last bit.
func TestNoNoise(t *testing.T) {
	for _, c := range []struct {
		value    float64
		from, to string
		want     float64
	}{
		{250, "µL", "mL", 0.25}, {1.1, "mL", "L", 0.0011}, {0.3, "L", "mL", 300}, {7, "mL", "cm3", 7},
		{3, "d", "h", 72}, {36, "h", "d", 1.5}, {90, "min", "h", 1.5}, {0.5, "L/h", "L/d", 12},
		{1.2, "mg", "g", 0.0012}, {40, "cells/mm2", "cells/cm2", 4000}, {0.35, "g/L", "mg/mL", 0.35},
		{53, "mS/cm", "S/m", 5.3}, {101.3, "kPa", "bar", 1.013}, {70, "%", "1", 0.7}, {882, "µM", "mmol/L", 0.882},
		{900, "kn", "m/s", 463}, {3, "kn", "m/s", 3 * 463.0 / 900},
	} {
		q, err := New(c.value, MustUnit(c.from))
		if err != nil {
			t.Fatal(err)
		}
		got, err := q.In(MustUnit(c.to))
		if err != nil || got.Value() != c.want {
			t.Errorf("%v = %v, %v; want exactly %v %s", q, got, err, c.want, c.to)
		}
	}
}
