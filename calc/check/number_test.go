package check

import (
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/protocols/quantity"
)

func TestReadsNumbersAsSheetsPrintThem(t *testing.T) {
	cases := []struct {
		text string
		want float64
		unit string
		note int
	}{
		{"4.8 × 10⁷", 4.8e7, "", 0}, {"4.8\u00a0×\u00a010⁷", 4.8e7, "", 0}, {"4.8x10^7", 4.8e7, "", 0}, {"4.8 X 10^7", 4.8e7, "", 0},
		{"4.8*10^7", 4.8e7, "", 0}, {"1.2\u202f×\u202f10⁹", 1.2e9, "", 0}, {"48 × 10⁶ sperm/mL", 48e6, "sperm/mL", 0},
		{"4,8 × 10⁷", 4.8e7, "", 1}, {"12\u202f345 × 10³", 12345e3, "", 1}, {"10¹⁰", 1e10, "", 0}, {"10^6 eggs", 1e6, "eggs", 0},
		{"2 × 10⁻³ mL", 2e-3, "mL", 0}, {"−4.8 × 10^−1", -0.48, "", 0}, {"12\u202f345", 12345, "", 1},
	}
	for _, c := range cases {
		got, err := readNumber(c.text)
		if err != nil || !alike(got.value, c.want, 1e-15) || got.unit != c.unit || len(got.notes) != c.note {
			t.Errorf("%q: got %v %q %q, %v; want %v %q and %d notes", c.text, got.value, got.unit, got.notes, err, c.want, c.unit, c.note)
		}
	}
	refused := []string{
		"4.8 × 107", "4.8 × 10", "4.8 10⁷", "4.8 × 10^7.5", "4.8 × 10⁷ 000", "1,234 × 10⁶", "1.234 × 10⁶", "4.8e7 × 10²",
		"4.8 × 10² × 10³", "2 10 × 10⁷", "4.8 × 10^⁷", "48 × 12", "4.8 × 10⁹⁹⁹", "× 10⁷", "4.8 ^ 7",
	}
	for _, text := range refused {
		got, err := readNumber(text)
		if err == nil {
			_, err = got.inUnit(quantity.Unit{})
		}
		if err == nil {
			t.Errorf("%q was read as %v", text, got.value)
		}
	}
}

func TestAPowerThatCannotBeReadIsToldAsOne(t *testing.T) {
	for typed, want := range map[string]string{
		"4.8 × 107": "write 4.8e7 for 4.8 × 10⁷", "4.8x10": "not a power of ten", "4.8 ^7": "not a power of ten", "4.8 xyz": "not a unit known here",
	} {
		number, err := readNumber(typed)
		if err == nil {
			_, err = number.inUnit(quantity.Unit{})
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want %q", typed, err, want)
		}
	}
}

func TestPowersOfTenInABox(t *testing.T) {
	s := sheet(t)
	for _, typed := range []string{"4 × 10⁷", "4x10^7 sperm/mL", "0.4 × 10⁸ sperm/mL"} {
		f := filled(t, s, map[string]calc.Cell{"sperm_density": text(typed)})
		r := Sheet(s, f)
		i, _ := s.BoxAt("sperm_density")
		if got := r.Readings[i]; got.State != calc.Given || got.Number != 4e7 || len(r.Findings) != 0 {
			t.Errorf("%q: got %+v and %v, want 4e7 without a finding", typed, got, codes(r.Findings))
		}
	}
}

// TestHalfTheLastDigit: a power of ten says nothing of the decimals that were rounded off.
func TestHalfTheLastDigit(t *testing.T) {
	for raw, want := range map[string]float64{"79": 0.5, "79.2": 0.05, "4,83": 0.005, "4.8e7": 0, "4.8 × 10⁷": 0, "4.8x10^-3": 0, "80 eggs": 0.5} {
		if got := halfLastDigit(raw); !alike(got, want, 1e-12) {
			t.Errorf("%q: got %v, want %v", raw, got, want)
		}
	}
}

func TestRemedyNamesTheUnitOfTheBox(t *testing.T) {
	cases := []struct{ typed, unit, want string }{
		{"13.4 C", "°C", "write 13.4 °C, or the number alone"},
		{"34.6 ppt", "PSU", "write 34.6 PSU, or the number alone"},
		{"8.05 ph", "pH", "write 8.05 pH, or the number alone"},
		{"36 litres", "L", "write 36 L, or the number alone"},
		{"1.2 × 10⁹ litres", "L", "write 1.2 × 10⁹ L, or the number alone"},
		{"56 F", "°C", "type a number in °C, or ND if it was not done"},
		{"500 cc", "L", "type a number in L, or ND if it was not done"},
		{"8 gallons", "L", "type a number in L, or ND if it was not done"},
		{"5 sheep", "", "type a number in plain digits, or ND if it was not done"},
	}
	for _, c := range cases {
		typed, err := readNumber(c.typed)
		if err == nil {
			_, err = typed.inUnit(quantity.MustUnit(c.unit))
		}
		if err == nil {
			t.Errorf("%q was read in %s", c.typed, c.unit)
		}
		if got := typed.remedy(quantity.MustUnit(c.unit)); got != c.want {
			t.Errorf("%q: got %q, want %q", c.typed, got, c.want)
		}
	}
	s := sheet(t)
	found := Sheet(s, filled(t, s, map[string]calc.Cell{"water_temperature": text("13.4 C")})).Findings
	if i := slices.IndexFunc(found, func(f Finding) bool { return f.Code == "text-for-number" }); i < 0 || found[i].Remedy != cases[0].want {
		t.Errorf("got %+v, want the remedy %q", found, cases[0].want)
	}
}
