package quantity

import "testing"

// TestPrinting checks reading a quantity and the four ways to print it.
func TestPrinting(t *testing.T) {
	cases := []struct{ text, exact, format, print, ucum, dimension string }{
		{"1.5 L", "1.5 L", "1.5 L", "L", "L", "volume"},
		{"250 uL", "250 µL", "250 µL", "µL", "uL", "volume"},
		{"250μl", "250 µL", "250 µL", "µL", "uL", "volume"},
		{"3 larva/ml", "3 larvae/mL", "3 larvae/mL", "larvae/mL", "{larva}/mL", "larva count per volume"},
		{"40 cells/mm²", "40 cells/mm2", "40 cells/mm²", "cells/mm²", "{cell}/mm2", "cell count per area"},
		{"33 PSU", "33 PSU", "33 PSU", "PSU", "{PSU}", "salinity"},
		{"18°C", "18 °C", "18 °C", "°C", "Cel", "temperature"},
		{"1 °C/h", "1 °C/h", "1 °C/h", "°C/h", "K/h", "temperature difference per time"},
		{"2 Δ°C", "2 Δ°C", "2 Δ°C", "Δ°C", "K", "temperature difference"},
		{"1e5 cells/mL", "100000 cells/mL", "100\u202f000 cells/mL", "cells/mL", "{cell}/mL", "cell count per volume"},
		{"12", "12", "12", "", "1", "pure number"},
		{"70 %", "70 %", "70 %", "%", "%", "pure number"},
		{"1 eggs", "1 egg", "1 egg", "eggs", "{egg}", "egg count"},
		{"1200000 egg", "1200000 eggs", "1\u202f200\u202f000 eggs", "eggs", "{egg}", "egg count"},
		{"0.8 L/beaker", "0.8 L/beaker", "0.8 L/beaker", "L/beaker", "L/{beaker}", "volume per beaker count"},
		{"5 1/plate", "5 1/plate", "5 per plate", "per plate", "1/{plate}", "number per plate count"},
		{"2 division/day", "2 divisions/d", "2 divisions/d", "divisions/d", "{division}/d", "division count per time"},
		{"80 µmol/m^2/s", "80 µmol/m2/s", "80 µmol/m²/s", "µmol/m²/s", "umol/m2/s", "amount of substance per area and time"},
		{"882 µM", "882 µM", "882 µM", "µM", "umol/L", "concentration"},
		{"3 kWh", "3 kWh", "3 kWh", "kWh", "kW.h", "energy"},
		{"3 1/kWh", "3 1/kWh", "3 per kWh", "per kWh", "1/(kW.h)", "time squared per area and mass"},
		{"4 kg·m", "4 kg.m", "4 kg·m", "kg·m", "kg.m", "length times mass"},
		{"8.1 pH", "8.1 pH", "8.1 pH", "pH", "[pH]", "pH"},
		{"−3 K", "-3 K", "-3 K", "K", "K", "temperature difference"},
		{"50 mS/cm", "50 mS/cm", "50 mS/cm", "mS/cm", "mS/cm", "electric conductivity"},
	}
	for _, c := range cases {
		q, err := Parse(c.text)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.text, err)
			continue
		}
		got := [5]string{q.String(), q.Format(3), q.Unit().Print(), q.Unit().UCUM(), q.Dimension().String()}
		if want := [5]string{c.exact, c.format, c.print, c.ucum, c.dimension}; got != want {
			t.Errorf("%q\n got %q\nwant %q", c.text, got, want)
		}
	}
}
