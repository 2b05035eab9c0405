package main

import (
	"fmt"
	"io"

	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// tellAcross prints the findings between batches; one at error level sets the exit code.
func tellAcross(w io.Writer, s season.Season) error {
	if len(s.Across) > 0 {
		fmt.Fprintf(w, "\n%s between batches\n", quantity.Counted(len(s.Across), "finding", "findings"))
	}
	counts := map[protocols.Level]int{}
	for _, f := range s.Across {
		counts[f.Level]++
		fmt.Fprintf(w, "  %-7s %s: %s\n          %s\n", f.Level, f.Batch, f.Says, f.Remedy)
	}
	if counts[protocols.Error] > 0 {
		return errFindings
	}
	return nil
}
