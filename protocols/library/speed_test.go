package library

import (
	"testing"

	"spatsheet/calc/functions"
)

// BenchmarkLoadProtocol reads the longest shipped protocol and compiles its formulas.
func BenchmarkLoadProtocol(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load("limpet-spawning@2.0.0", functions.All()); err != nil {
			b.Fatal(err)
		}
	}
}
