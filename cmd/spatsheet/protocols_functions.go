package main

import (
	"fmt"
	"text/tabwriter"

	"spatsheet/protocols/formula"
)

// showFunctions tells every function of the trade that formulas may call: its arguments with
// units and limits, its result, where it is from.
func (p *program) showFunctions(all formula.Functions) {
	fmt.Fprintf(p.out, `Functions of the trade for formulas. Units and limits are checked: where the formula is
written, and again with the numbers of each batch. %s stands for a counted thing or a
number, %s for any quantity but a reading in °C; each is the same throughout one call.
`, formula.Thing, formula.Any)
	for _, f := range all.List() {
		fmt.Fprintf(p.out, "\n%s gives %s\n  %s\n", f.Signature(), unitOf(f.Result), f.Says)
		w := tabwriter.NewWriter(p.out, 0, 0, 2, ' ', 0)
		for i := range f.Arguments {
			a := &f.Arguments[i]
			fmt.Fprintf(w, "    %s\t%s\t%s\n", a.Name, unitOf(a.Unit), argumentLimits(a))
		}
		w.Flush() // out is not a file that fails
		if f.Rest {
			fmt.Fprintf(p.out, "    %s may be given more than once\n", f.Arguments[len(f.Arguments)-1].Name)
		}
		if f.Working != "" {
			fmt.Fprintf(p.out, "  = %s\n", f.Working)
		}
		fmt.Fprintf(p.out, "  source: %s\n", f.Source)
	}
}

// unitOf is a unit as it is written, and a word where there is none.
func unitOf(u string) string {
	if u == "1" {
		return "number"
	}
	return u
}

// argumentLimits says where an argument may lie.
func argumentLimits(a *formula.Argument) string {
	if a.Whole {
		return "a whole number, " + a.Limits()
	}
	return a.Limits()
}
