// Package functions is the one list of the trade's calculations that formulas of protocols
// may call: each wraps a function of the science rooms, so that what is printed on a bench
// sheet is computed by the code that the reference tables test.
//
// What may enter: a wrapping that says units, limits, source and a line of working. What
// may not: a calculation of its own; that belongs to the science room, with its rows.
package functions

import (
	"math"
	"slices"
	"sync"

	"spatsheet/protocols/formula"
)

// All gives the list, ready to be handed to protocols.Load. It is made once.
func All() formula.Functions { return all() }

var all = sync.OnceValue(func() formula.Functions {
	list, err := formula.NewFunctions(slices.Concat(water(), algae(), counting(), animals(), shares(), toCome())...)
	if err != nil { // the list is fixed and a test makes it
		panic(err)
	}
	return list
})

// above is an argument that must be more than zero.
func above(name, unit string) formula.Argument {
	return formula.Argument{Name: name, Unit: unit, High: math.Inf(1), Open: true}
}

// atLeast is an argument that must not lie below low.
func atLeast(name, unit string, low float64) formula.Argument {
	return formula.Argument{Name: name, Unit: unit, Low: low, High: math.Inf(1)}
}

// between is an argument with two limits, both allowed.
func between(name, unit string, low, high float64) formula.Argument {
	return formula.Argument{Name: name, Unit: unit, Low: low, High: high}
}

// share is a part of a whole, more than nothing.
func share(name string) formula.Argument {
	return formula.Argument{Name: name, Unit: "1", High: 1, Open: true}
}

// whole is an argument between two limits that must be a whole number.
func whole(name, unit string, low, high float64) formula.Argument {
	return formula.Argument{Name: name, Unit: unit, Low: low, High: high, Whole: true}
}
