package report

import "testing"

// TestPointsOnOneSpotAreDrawnOnce: the last of them, with a bar of its own where that is another.
func TestPointsOnOneSpotAreDrawnOnce(t *testing.T) {
	f := &figure{x: axis{low: 0, high: 100}, y: axis{low: 0, high: 100}, height: 40}
	p := &plot{figure: f, left: 0, top: 0, right: 100, bottom: 100} // a mm a unit
	s := &series{marker: true, points: []point{
		{x: 10, y: 10, yLow: 5, yTop: 15, hasY: true},
		{x: 10.04, y: 10.04, yLow: 5.04, yTop: 15.04, hasY: true}, // on the same spot
		{x: 10, y: 10, yLow: 5, yTop: 20, hasY: true},             // with a longer bar
		{x: 10.2, y: 10},           // beside it
		{x: 10, y: 10, tall: true}, // an upright stroke, no marker
	}}
	want := []parts{0, barY, barY | sign, sign, sign}
	for i, got := range p.seen(s) {
		if got != want[i] {
			t.Errorf("point %d: %b is drawn, want %b", i, got, want[i])
		}
	}
	s.marker = false
	for i, got := range p.seen(s)[:4] {
		if got&sign != 0 {
			t.Errorf("point %d has a marker, in a series without", i)
		}
	}
}
