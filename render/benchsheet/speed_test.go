package benchsheet

import "testing"

func BenchmarkPrintPDF(b *testing.B) {
	for _, name := range samples {
		b.Run(name, func(b *testing.B) {
			sheet := scaled(b, name, "A4", nil)
			b.ReportAllocs()
			for b.Loop() {
				printPDF(b, sheet)
			}
			b.ReportMetric(float64(len(printPDF(b, sheet))), "bytes/sheet")
		})
	}
}
