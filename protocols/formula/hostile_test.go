package formula

import (
	"runtime"
	"strings"
	"testing"
	"time"
)

// TestNoFormulaRunsLong compiles and evaluates the worst that fits into MaxLength: each is
// answered within seconds and 50 MB, which is far above what they take (milliseconds, 5 MB),
// and far below what a loop or a list that grows would.
func TestNoFormulaRunsLong(t *testing.T) {
	long := func(n int, head, middle, tail string) string {
		return strings.Repeat(head, n) + middle + strings.Repeat(tail, n)
	}
	column := make([]float64, 100_000) // far more rows than a table has
	for i := range column {
		column[i] = float64(i)
	}
	v := values(t)
	v.SetColumn("counts.eggs", column)
	for name, text := range map[string]string{
		"brackets":             long(499, "(", "1", ")"),
		"signs":                strings.Repeat("-", 999) + "1",
		"not":                  strings.Repeat("not ", 240) + "(eggs > 0)",
		"powers":               "9" + strings.Repeat("^9", 490),
		"a tower of powers":    long(240, "(9^", "9", ")"),
		"a long sum":           "1" + strings.Repeat("+1", 490),
		"a long product":       "2" + strings.Repeat("*9", 490),
		"huge numbers":         strings.Repeat("9", 900),
		"a number with zeros":  "1e" + strings.Repeat("9", 900),
		"functions":            long(240, "up(", "1.5", ")"),
		"sums of a column":     "sum(counts.eggs)" + strings.Repeat("+sum(counts.eggs)", 50),
		"means of a column":    "mean(counts.eggs)" + strings.Repeat("+mean(counts.eggs)", 50),
		"choices":              strings.Repeat("eggs>1?1:", 100) + "2",
		"choices within":       long(90, "(eggs>1?", "1", ":2)"),
		"or":                   "eggs>1" + strings.Repeat(" or eggs>1", 95),
		"a range":              "sum(1..1000000000)",
		"a list":               "[" + strings.Repeat("1,", 490) + "1]",
		"a loop in a loop":     long(40, "map(1..99999, ", "#", ")"),
		"repeat":               `repeat("x", 1000000000)`,
		"least of many":        long(140, "least(", "1", ",2)"),
		"text that is no name": `is(decision, "` + strings.Repeat("x", 900) + `")`,
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			f, err := Compile(text, scope(), Functions{})
			if err == nil && !f.IsTruth() {
				_, _ = f.Number(v) // the error is an answer too
			} else if err == nil {
				_, _ = f.Truth(v)
			}
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			if took > 5*time.Second || after.TotalAlloc-before.TotalAlloc > 50<<20 {
				t.Errorf("took %v and %d kB", took, (after.TotalAlloc-before.TotalAlloc)>>10)
			}
		})
	}
}
