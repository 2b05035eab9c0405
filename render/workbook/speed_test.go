package workbook

import (
	"io"
	"testing"
)

func BenchmarkReadWorkbook(b *testing.B) {
	sheet := sample(b, "spawning")
	content := filledIn(b, written(b, sheet), everyBox(sheet))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(content); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(sheet.Boxes()))*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
}

func BenchmarkWriteWorkbook(b *testing.B) {
	sheet := sample(b, "spawning")
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(io.Discard, sheet); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(sheet.Boxes())), "boxes")
}
