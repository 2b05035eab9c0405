package report

import (
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
