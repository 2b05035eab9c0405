package style

import "testing"

func TestPowers(t *testing.T) {
	for written, want := range map[string]string{
		"4.8e9 cells": "4.8\u00a0×\u00a010⁹ cells", "1e10": "10¹⁰", "2e-5 L": "2\u00a0×\u00a010⁻⁵ L",
		"KS-26-1e9x": "KS-26-1e9x", "a3e9": "a3e9", "2211 animals": "2211 animals",
	} {
		if got := Powers(written); got != want {
			t.Errorf("Powers(%q) = %q, want %q", written, got, want)
		}
	}
}
