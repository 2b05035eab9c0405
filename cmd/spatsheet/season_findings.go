package main

import (
	"fmt"

	"spatsheet/calc/season"
	"spatsheet/protocols"
)

// tellAcross prints the findings between batches; one at error level sets the exit code.
func (p *program) tellAcross(s season.Season) error {
	if len(s.Across) > 0 {
		fmt.Fprintf(p.out, "\n%s between batches\n", counted(len(s.Across), "finding", "findings"))
	}
	counts := map[protocols.Level]int{}
	for _, f := range s.Across {
		counts[f.Level]++
		fmt.Fprintf(p.out, "  %-7s %s: %s\n          %s\n", f.Level, f.Batch, f.Says, f.Remedy)
	}
	if counts[protocols.Error] > 0 {
		return errFindings
	}
	return nil
}
