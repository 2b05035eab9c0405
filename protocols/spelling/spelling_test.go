package spelling

import "testing"

func TestNearest(t *testing.T) {
	known := []string{"formula", "label", "unit"}
	if got, ok := Nearest("fromula", known); !ok || got != "formula" {
		t.Errorf("got %q, %v", got, ok)
	}
	if got, ok := Nearest("banana", known); ok {
		t.Errorf("banana is near nothing, got %q", got)
	}
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"larva", "larva", 0}, {"", "min", 3}, {"mim", "min", 1}, {"larve", "larvae", 1},
		{"fromula", "formula", 1}, {"µL", "mL", 1}, {"kitten", "sitting", 3},
	} {
		if got := Distance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: got %d, want %d", c.a, c.b, got, c.want)
		}
		if got := Distance(c.b, c.a); got != c.want {
			t.Errorf("%q to %q: got %d, want %d", c.b, c.a, got, c.want)
		}
	}
}
