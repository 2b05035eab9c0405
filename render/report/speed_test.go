package report

import (
	"bytes"
	"io"
	"testing"
)

// BenchmarkReport draws an invented report with every part in it, as both of its forms.
func BenchmarkReport(b *testing.B) {
	r := sample(b, "Patella vulgata")
	b.Run("pdf", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := WritePDF(io.Discard, r, stamp); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("html", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := WriteHTML(io.Discard, r, stamp); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkFigure draws a figure of very many points, most of which lie under others.
func BenchmarkFigure(b *testing.B) {
	f := &figure{x: shareAxis("survival, %"), y: shareAxis("share, %"), height: 62}
	s := series{look: 1, marker: true}
	const points = 10_000
	for i := range points {
		s.points = append(s.points, point{x: 40 + float64(i*7919%points)/500, y: 100 * float64(i) / points})
	}
	f.series = []series{s}
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		var out bytes.Buffer
		f.svg(&out, screenWidth)
		size = out.Len()
	}
	b.ReportMetric(float64(size)/points, "bytes/point")
}
