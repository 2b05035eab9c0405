package limits

import (
	"errors"
	"math"
	"testing"
)

func TestChecks(t *testing.T) {
	inf := math.Inf(1)
	cases := []struct {
		name string
		got  error
		want string
	}{
		{"inside", Between("temperature", 12, -2, 40, "°C"), ""},
		{"at the limit", Between("temperature", 40, -2, 40, "°C"), ""},
		{"beyond", Between("temperature", 60, -2, 40, "°C"), "temperature: 60 °C is out of range; it must lie from -2 to 40 °C"},
		{"not a number", Between("salinity", math.NaN(), 2, 42, ""), "salinity: NaN is out of range; it must lie from 2 to 42"},
		{"above", Above("volume", 0, 0, "L"), "volume: 0 L is out of range; it must be above 0 L"},
		{"at least", AtLeast("count", -1, 0, ""), "count: -1 is out of range; it must be at least 0"},
		{"finite", Finite("mass", inf, "g"), "mass: +Inf g is out of range; it must be a finite number"},
		{"strictly inside", Inside("share", 1, 0, 1, ""), "share: 1 is out of range; it must be above 0 and below 1"},
		{"strictly inside holds", Inside("share", 0.5, 0, 1, ""), ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if c.want == "" {
				if c.got != nil {
					t.Fatalf("got %v, want no error", c.got)
				}
				return
			}
			if c.got == nil || c.got.Error() != c.want {
				t.Fatalf("got %v, want %q", c.got, c.want)
			}
			if !errors.Is(c.got, ErrRange) {
				t.Fatal("the error does not wrap ErrRange")
			}
		})
	}
}

func TestResultNeverPassesANonNumber(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := Result("rate", x); err == nil || got != 0 || !errors.Is(err, ErrRange) {
			t.Errorf("Result(%v) = %v, %v; want 0 and ErrRange", x, got, err)
		}
	}
	if got, err := Result("rate", 1.5); got != 1.5 || err != nil {
		t.Errorf("Result(1.5) = %v, %v", got, err)
	}
}
