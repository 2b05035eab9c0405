package workbook

import (
	"io"
	"testing"
)

func BenchmarkRead(b *testing.B) {
	sheet := sample(b, "spawning")
	content := filledIn(b, written(b, sheet), everyBox(sheet))
	b.ReportMetric(float64(len(sheet.Boxes())), "boxes")
	for b.Loop() {
		if _, err := Read(content); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	sheet := sample(b, "spawning")
	for b.Loop() {
		if err := Write(io.Discard, sheet); err != nil {
			b.Fatal(err)
		}
	}
}
