package check

import (
	"spatsheet/calc"
	"spatsheet/protocols/formula"
)

// Numbers evaluates a protocol's formulas over the settings, amounts and given readings
// of one filled sheet. Goroutines must not share it.
type Numbers struct{ k *facts }

// NewNumbers takes a sheet and its readings, one for each box in the sheet's order.
func NewNumbers(sheet *calc.Sheet, readings []calc.Reading) Numbers {
	return Numbers{newFacts(sheet, readings)}
}

// Number evaluates a formula, in base units (quantity.Unit.Base).
//
// ok is false when a reading it needs is not there. Error: no finite result.
func (n Numbers) Number(f *formula.Formula) (base float64, ok bool, err error) {
	if !n.k.ready(f) {
		return 0, false, nil
	}
	base, err = f.Number(n.k.values)
	return base, err == nil, err
}

// Set gives a further name a number, in base units.
func (n Numbers) Set(name string, base float64) { n.k.set(name, base) }

// Reading is the reading of a box; ok is false when the sheet has no such box.
func (n Numbers) Reading(key calc.Key) (reading calc.Reading, ok bool) {
	i, ok := n.k.sheet.BoxAt(key)
	if !ok {
		return calc.Reading{}, false
	}
	return n.k.readings[i], true
}

// Before says whether one box is printed before another; false when one is not there.
func (n Numbers) Before(key, other calc.Key) bool {
	i, ok := n.k.sheet.BoxAt(key)
	j, found := n.k.sheet.BoxAt(other)
	return ok && found && i < j
}
