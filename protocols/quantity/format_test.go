package quantity

import (
	"math"
	"testing"
)

// TestFormatNumber checks figures, grouping and the limits of plain notation. A bar stands
// for the narrow blank.
func TestFormatNumber(t *testing.T) {
	tenth := 0.1 // a variable, so that the sum below is a float64 one
	cases := []struct {
		x       float64
		figures int
		want    string
	}{
		{0, 3, "0"}, {0.25, 3, "0.25"}, {1, 3, "1"}, {-1.5, 0, "-1.5"},
		{1200000, 3, "1|200|000"}, {1200000, 0, "1|200|000"}, {9999, 0, "9999"}, {10000, 0, "10|000"},
		{9999.6, 4, "10|000"}, {123456, 2, "120|000"}, {-123456.789, 0, "-123|456.789"},
		{1e9, 3, "1|000|000|000"}, {1.5e10, 3, "1.5e10"}, {1e-4, 2, "0.0001"}, {9.9e-5, 2, "9.9e-5"},
		{tenth + 0.2, 15, "0.3"}, {tenth + 0.2, 0, "0.30000000000000004"}, {2.0 / 3, 3, "0.667"},
		{0.00012345, 2, "0.00012"}, {math.NaN(), 3, "not a number"}, {math.Inf(-1), 3, "infinite"}, {5, -2, "5"},
		{math.MaxFloat64, 2, "1.7976931348623157e308"}, // rounding up would leave float64
	}
	for _, c := range cases {
		want := ""
		for _, r := range c.want {
			if r == '|' {
				want += narrowBlank
			} else {
				want += string(r)
			}
		}
		if got := FormatNumber(c.x, c.figures); got != want {
			t.Errorf("FormatNumber(%v, %d) = %q, want %q", c.x, c.figures, got, want)
		}
	}
}

// TestFormat checks that the unit follows the number as printed.
func TestFormat(t *testing.T) {
	for _, c := range []struct {
		text    string
		figures int
		want    string
	}{
		{"1 beaker", 3, "1 beaker"}, {"2 beakers", 3, "2 beakers"}, {"0.5 beakers", 3, "0.5 beakers"},
		{"1.0001 beakers", 3, "1 beaker"}, {"0 eggs", 3, "0 eggs"}, {"0.25 mL", 3, "0.25 mL"},
		{"1 egg/cm2", 0, "1 eggs/cm²"}, {"12", 1, "10"},
	} {
		if got := must(t, c.text).Format(c.figures); got != c.want {
			t.Errorf("%s to %d figures: got %q, want %q", c.text, c.figures, got, c.want)
		}
	}
}

func TestFormatRange(t *testing.T) {
	for want, limits := range map[string][2]float64{"0 to 1\u202f000\u202f000": {0, 1e6}, "-1.5 to 0.25": {-1.5, 0.25}} {
		if got := FormatRange(limits[0], limits[1]); got != want {
			t.Errorf("FormatRange%v = %q, want %q", limits, got, want)
		}
	}
}
