package tables

import (
	"fmt"
	"io"
	"testing"
	"time"
)

// readingsOf is a readings table of n batches of 150 boxes, as wide as the true one.
func readingsOf(n int) Table {
	t := Table{Name: "readings", Title: "One row for each box",
		Columns: []string{"batch", "revision", "key", "entry", "state", "number", "text", "unit", "typed", "sheet", "cell"}}
	numbers := make([]int, n)
	for i := range numbers {
		numbers[i] = i
	}
	t.Rows = each(numbers, func(batch int) (rows [][]any) {
		for box := range 150 {
			rows = append(rows, []any{fmt.Sprintf("KS-26-%05d", batch), 1, fmt.Sprintf("egg_counts.%d.counted", box), "Egg counts: eggs counted", "given",
				float64(batch+box) / 3, nil, "eggs", "41", "3 Pool and count the eggs", fmt.Sprintf("C%d", box)})
		}
		return rows
	})
	return t
}

// BenchmarkSeasonWorkbook writes the largest sheet of season.xlsx; what a row takes must
// not grow with the season.
func BenchmarkSeasonWorkbook(b *testing.B) {
	benchmarkRows(b, func(w io.Writer, t Table) error { return WriteWorkbook(w, []Table{t}, time.Time{}) })
}

func BenchmarkSeasonCSV(b *testing.B) {
	benchmarkRows(b, func(w io.Writer, t Table) error {
		_, err := WriteCSV(w, t)
		return err
	})
}

func benchmarkRows(b *testing.B, write func(io.Writer, Table) error) {
	for _, n := range []int{10, 100} {
		t := readingsOf(n)
		b.Run(fmt.Sprintf("batches=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := write(io.Discard, t); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(t.count())*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}
