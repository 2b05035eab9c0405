package quantity

import (
	"testing"
)

// TestPowersOfTen reads numbers as sheets print them, and refuses those with two readings.
func TestPowersOfTen(t *testing.T) {
	for written, want := range map[string]string{
		"4.8 × 10⁷": "48000000", "4.8\u00a0×\u00a010⁷": "48000000", "4.8\u202f×\u202f10⁷ cells/mL": "48000000 cells/mL",
		"4.8x10^7": "48000000", "4.8X10^7": "48000000", "4.8*10^7": "48000000", "4.8 · 10⁷": "48000000",
		"1.2 × 10⁹ eggs": "1200000000 eggs", "10⁹ eggs": "1000000000 eggs", "10^3": "1000", "-10²": "-100",
		"2 × 10⁻³ L": "0.002 L", "2 x 10^-3 L": "0.002 L", "2 × 10^+3 L": "2000 L", "5 × 10² 1/plate": "500 1/plate",
	} {
		q, err := Parse(written)
		if err != nil || q.String() != want {
			t.Errorf("Parse(%q) = %v, %v; want %s", written, q, err, want)
		}
	}
	for _, doubtful := range []string{
		"4.8 × 107", "4.8 × 10", "4.8 10⁷", "4.8 × 10^7.5", "4.8 × 10⁷ 000", "4.8 × 10⁷,5", "4.8e7 × 10^2", "4.8 × 10^2 × 10^3",
		"4.8 × 10⁷⁷⁷⁷", "4.8 × 10^1234", "4.8 × 10^⁷", "4.8 × 2⁷", "4.8 × 10^7^2", "10 ^7 ^2", "100⁷", "4,8 × 10⁷", "4.8 × 10^999",
	} {
		if q, err := Parse(doubtful); err == nil {
			t.Errorf("Parse(%q) gave %v, want an error", doubtful, q)
		}
	}
}

// TestPowerOfTenTakesTheTextApart checks what is left of a text whose number has blanks.
func TestPowerOfTenTakesTheTextApart(t *testing.T) {
	number, exponent, rest, ok := PowerOfTen("12\u202f345 × 10⁻³ mL", len("12\u202f345"))
	if number != "12\u202f345" || exponent != "e-3" || rest != " mL" || !ok {
		t.Errorf("got %q %q %q %v", number, exponent, rest, ok)
	}
	if number, exponent, rest, ok = PowerOfTen("12 L", 2); ok {
		t.Errorf("a number without a power gave %q %q %q", number, exponent, rest)
	}
}

// TestMeant checks what refused spellings stand for, and that they are refused.
func TestMeant(t *testing.T) {
	for name, symbol := range meant {
		if _, err := ParseUnit(name); err == nil {
			t.Errorf("%q is read as a unit: it needs no remedy", name)
		}
		if u, ok := Meant(name); !ok || u.Symbol() != symbol {
			t.Errorf("Meant(%q) = %v, %v; want %s", name, u, ok, symbol)
		}
	}
	for name, want := range map[string]string{"C": "°C", " Litres ": "L", "º": "°C", "PPT": "PSU"} {
		if u, ok := Meant(name); !ok || u.Symbol() != want {
			t.Errorf("Meant(%q) = %v, %v; want %s", name, u, ok, want)
		}
	}
	for _, other := range []string{"", "F", "°F", "mL", "gallons", "knots", "month"} {
		if u, ok := Meant(other); ok {
			t.Errorf("Meant(%q) = %v, want none", other, u)
		}
	}
}
