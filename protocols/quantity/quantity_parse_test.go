package quantity

import (
	"errors"
	"strings"
	"testing"
)

// TestRefusedQuantities checks numbers that can be read in two ways, or not at all.
func TestRefusedQuantities(t *testing.T) {
	cases := []struct {
		name, text, want string
		kind             error
	}{
		{"empty", "", "no quantity given", ErrNumber},
		{"blanks", " \u00a0", "no quantity given", ErrNumber},
		{"decimal comma", "1,5 L", "a comma in a number can be read in two ways", ErrNumber},
		{"thousands comma", "1,200 eggs", "write 1.5 for one and a half, 1500 for fifteen hundred", ErrNumber},
		{"inner blank", "1 200 000 eggs", "there is a blank inside the number; write the digits together", ErrNumber},
		{"inner narrow blank", "1\u202f200 eggs", "there is a blank inside the number", ErrNumber},
		{"two points", "1.2.3 L", "at most one decimal point", ErrNumber},
		{"apostrophe", "1'200 L", "the number cannot be read", ErrNumber},
		{"no number", "L", "does not start with a number", ErrNumber},
		{"word", "NaN", "does not start with a number", ErrNumber},
		{"infinity", "Inf L", "does not start with a number", ErrNumber},
		{"too large", "1e999 L", "too large", ErrNumber},
		{"too small", "1e-999 L", "too small", ErrNumber},
		{"too small in base units", "5e-324 µL", "too large or too small", ErrNumber},
		{"unknown unit", "5 larve", "did you mean larva?", ErrUnit},
		{"hexadecimal", "0x10 L", "unknown unit", ErrUnit},
		{"only an exponent sign", "5e L", "unknown unit", ErrUnit},
		{"fraction", "5 1/2", "unit", ErrUnit},
		{"Fahrenheit", "64 °F", "use °C", ErrUnit},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			q, err := Parse(c.text)
			if err == nil {
				t.Fatalf("Parse(%q) gave %v, want an error", c.text, q)
			}
			if !strings.Contains(err.Error(), c.want) || !errors.Is(err, c.kind) {
				t.Errorf("Parse(%q)\n got %v\nwant %s", c.text, err, c.want)
			}
		})
	}
}

// FuzzParse checks that whatever is read prints to the same quantity again, and that
// nothing panics.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"1.5 L", "250 µL", "3 larvae/mL", "40 cells/mm2", "33 PSU", "18 °C", "1e5 cells/mL",
		"12", "70 %", "5 1/plate", "1,5 L", "1 200 eggs", "-0", "°F", "1 µmol/m2/s", "4.8 × 10⁷ L", "10^-3", "\xff", "1 m99/nm99", "2 °C/h", "1e-7 Δ°C"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Parse(s)
		if err != nil {
			return
		}
		again, err := Parse(q.String())
		if err != nil || again != q {
			t.Errorf("Parse(%q) = %v; read again: %v, %v", s, q, again, err)
		}
	})
}
