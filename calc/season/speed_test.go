package season_test

import (
	"fmt"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
	"spatsheet/protocols/library"
	"spatsheet/templates"
)

const spawningPlan = `batch: KS-26-00001
protocol: limpet-spawning@2.0.0
species: Patella vulgata
date: 2026-02-14
start: "18:00"
settings: {females: 9, males: 6, eggs_expected: 1.2e6, spat_wanted: 20000}
`

// BenchmarkCompile compiles seasons of spawnings; what it takes for a reading must not
// grow with the season.
func BenchmarkCompile(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		b.Run(fmt.Sprintf("batches=%d", n), func(b *testing.B) {
			batches, readings := manyBatches(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if s := season.Compile(batches, pedigree.Across); len(s.Batches) != n {
					b.Fatalf("got %d batches, want %d", len(s.Batches), n)
				}
			}
			b.ReportMetric(float64(readings)*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
		})
	}
}

// manyBatches are n batches that differ in code and start, filled in from the protocol's
// examples; readings counts their boxes.
func manyBatches(b *testing.B, n int) (batches []season.Batch, readings int) {
	b.Helper()
	sheet := exampleSheet(b)
	values, err := example.Fill(sheet, nil)
	if err != nil {
		b.Fatal(err)
	}
	result := check.Sheet(sheet, &calc.Filled{Cells: cellsOf(values)})
	for i := range n {
		other := *sheet
		other.Plan.Batch = fmt.Sprintf("KS-26-%05d", i+1)
		other.Plan.Start = sheet.Plan.Start.AddDate(0, 0, i%300)
		batches = append(batches, season.Batch{Sheet: &other, Readings: result.Readings, Findings: result.Findings, Revision: 1})
	}
	return batches, n * len(result.Readings)
}

func exampleSheet(b *testing.B) *calc.Sheet {
	b.Helper()
	p, err := library.Load("limpet-spawning@2.0.0", functions.All())
	if err != nil {
		b.Fatal(err)
	}
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		b.Fatal(err)
	}
	plan, err := calc.ReadPlan("plan.yaml", []byte(spawningPlan))
	if err != nil {
		b.Fatal(err)
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		b.Fatal(err)
	}
	return sheet
}

// cellsOf writes values as somebody types them into a workbook.
func cellsOf(values example.Values) map[calc.Key]calc.Cell {
	cells := map[calc.Key]calc.Cell{}
	for key, value := range values {
		switch v := value.(type) {
		case float64:
			cells[key] = calc.Cell{Kind: calc.CellNumber, Number: v, Text: fmt.Sprint(v)}
		case string:
			cells[key] = calc.Cell{Kind: calc.CellText, Text: v}
		case time.Time:
			cells[key] = calc.Cell{Kind: calc.CellText, Text: v.Format("2006-01-02 15:04")}
		}
	}
	return cells
}
