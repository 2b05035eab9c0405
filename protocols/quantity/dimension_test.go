package quantity

import (
	"errors"
	"testing"
)

func dimension(unit string) Dimension { return MustUnit(unit).Dimension() }

// TestSumsOfDimensions checks sums, differences and comparisons, temperatures above all.
func TestSumsOfDimensions(t *testing.T) {
	type operation func(Dimension, Dimension) (Dimension, error)
	plus, minus := operation(Dimension.Plus), operation(Dimension.Minus)
	compare := func(d, e Dimension) (Dimension, error) { return d, d.Comparable(e) }
	cases := []struct {
		name    string
		do      operation
		d, e    string
		want    string // the dimension in words, or the error
		refused bool
	}{
		{"volumes", plus, "L", "cm3", "volume", false},
		{"unlike", plus, "L", "cell", "cannot add volume and cell count", true},
		{"eggs and larvae", plus, "egg", "larva", "cannot add egg count and larva count", true},
		{"point and difference", plus, "°C", "K", "temperature", false},
		{"difference and point", plus, "K", "°C", "temperature", false},
		{"two points", plus, "°C", "°C", "cannot add two temperatures; add a temperature difference in K instead", true},
		{"point and volume", plus, "°C", "L", "cannot add temperature and volume", true},
		{"points", minus, "°C", "°C", "temperature difference", false},
		{"point less difference", minus, "°C", "K", "temperature", false},
		{"difference less point", minus, "K", "°C", "cannot subtract temperature from temperature difference", true},
		{"salinities", minus, "PSU", "PSU", "salinity", false},
		{"unlike difference", minus, "L", "h", "cannot subtract time from volume", true},
		{"compare unlike", compare, "L", "cell", "cannot compare volume and cell count", true},
		{"compare point and difference", compare, "°C", "K", "cannot compare temperature and temperature difference", true},
		{"compare like", compare, "mL", "L", "volume", false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.do(dimension(c.d), dimension(c.e))
			words := got.String()
			if err != nil {
				words = err.Error()
			}
			if words != c.want || errors.Is(err, ErrDimension) != c.refused {
				t.Errorf("got %q, want %q", words, c.want)
			}
		})
	}
}

// TestProductsOfDimensions checks products, quotients and powers.
func TestProductsOfDimensions(t *testing.T) {
	point, volume := dimension("°C"), dimension("L")
	if d, err := volume.Times(dimension("cells/mL")); err != nil || d != dimension("cell") {
		t.Errorf("volume times cells per volume is %v, %v", d, err)
	}
	if d, err := dimension("cell").Over(volume); err != nil || d != dimension("cells/mL") {
		t.Errorf("cells over volume is %v, %v", d, err)
	}
	if d, err := dimension("m").Power(3); err != nil || d != volume {
		t.Errorf("length to the third is %v, %v", d, err)
	}
	if d, err := volume.Power(0); err != nil || d != None {
		t.Errorf("volume to the power 0 is %v, %v", d, err)
	}
	if d, err := None.Power(1 << 40); err != nil || d != None {
		t.Errorf("a pure number to a large power is %v, %v", d, err)
	}
	for name, do := range map[string]func() (Dimension, error){
		"times point": func() (Dimension, error) { return volume.Times(point) },
		"point times": func() (Dimension, error) { return point.Times(None) },
		"point over":  func() (Dimension, error) { return point.Over(volume) },
		"over point":  func() (Dimension, error) { return volume.Over(point) },
		"point power": func() (Dimension, error) { return point.Power(2) },
		"power 34":    func() (Dimension, error) { return volume.Power(34) }, // 3*34 = 102 > 99
		"power -34":   func() (Dimension, error) { return volume.Power(-34) },
		"huge power":  func() (Dimension, error) { return volume.Power(1 << 62) },
		"least power": func() (Dimension, error) { return volume.Power(-1 << 63) },
	} {
		if d, err := do(); !errors.Is(err, ErrDimension) || d != None {
			t.Errorf("%s: got %v, %v; want it refused", name, d, err)
		}
	}
}

// TestCounts checks the way from a counted thing to its dimension and back.
func TestCounts(t *testing.T) {
	for _, c := range countedThings {
		for _, written := range []string{c.one, c.many} {
			d, ok := CountDimension(written)
			thing, exactly := d.CountOf()
			if !ok || !exactly || thing != c.one || d.String() != c.one+" count" {
				t.Errorf("%s: dimension %v (%v), thing %q (%v)", written, d, ok, thing, exactly)
			}
		}
	}
	if d, ok := CountDimension("litre"); ok || d != None {
		t.Errorf("litre is counted as %v", d)
	}
	for _, unit := range []string{"cells/mL", "cells2", "1/cell", "L", "1"} {
		if thing, ok := dimension(unit).CountOf(); ok {
			t.Errorf("%s counts %q", unit, thing)
		}
	}
}

// TestDimensionWords checks words beyond those of TestPrinting.
func TestDimensionWords(t *testing.T) {
	for unit, want := range map[string]string{
		"L/h": "flow", "larvae/egg": "larva count per egg count", "1/h": "rate per time", "kn": "speed",
		"g/L": "mass per volume", "bar": "pressure", "V": "voltage", "cells/larva/d": "cell count per larva count and time",
		"m4": "length to the power 4", "µmol/kg": "amount of substance per mass", "W/m2": "irradiance",
	} {
		if got := dimension(unit).String(); got != want {
			t.Errorf("%s measures %q, want %q", unit, got, want)
		}
	}
}
