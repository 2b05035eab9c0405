package style

import "testing"

func TestPowers(t *testing.T) {
	for written, want := range map[string]string{
		"4.8e9 cells": "4.8\u00a0×\u00a010⁹ cells", "1e10": "10¹⁰", "2e-5 L": "2\u00a0×\u00a010⁻⁵ L",
		"KS-26-1e9x": "KS-26-1e9x", "a3e9": "a3e9", "2211 animals": "2211 animals",
		"4.8e9 sperm": "4.8\u00a0×\u00a010⁹ sperm", "range 1e4 to 1e-11": "range 10⁴ to 10⁻¹¹",
		"digest 12e45a, carboy1e5": "digest 12e45a, carboy1e5", "v1.2e3": "v1.2e3", "the 7 seas": "the 7 seas",
	} {
		if got := Powers(written); got != want {
			t.Errorf("Powers(%q) = %q, want %q", written, got, want)
		}
	}
}
