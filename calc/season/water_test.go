package season

import "testing"

// TestSpread by hand.
func TestSpread(t *testing.T) {
	var s Spread
	for _, x := range []float64{16, 15, 20} {
		s.add(x)
	}
	if s != (Spread{Number: 3, Low: 15, Mean: 17, High: 20}) {
		t.Errorf("got %+v", s)
	}
}
