package check

import "testing"

func BenchmarkCheck(b *testing.B) {
	s := sheet(b)
	f := filled(b, s, nil)
	b.ReportAllocs()
	readings := 0
	for b.Loop() {
		readings = len(Sheet(s, f).Readings)
	}
	b.ReportMetric(float64(readings)*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
}
