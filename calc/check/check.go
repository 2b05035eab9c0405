package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Sheet understands a filled sheet: readings of every box, and findings.
//
// sheet is the protocol scaled again from the plan that came with the workbook; filled
// is what the workbook holds. Nothing of filled is changed. There is no error: whatever
// cannot be understood is kept verbatim and becomes a finding.
func Sheet(sheet *calc.Sheet, filled *calc.Filled) Result {
	r := &reader{sheet: sheet, filled: filled}
	readings := r.readings()
	k := newFacts(sheet, readings)
	r.times(k)
	r.lost()
	r.locked()
	r.outside()
	r.moved(readings)
	r.required(k)
	r.signatures(k)
	r.trends(k)
	r.replicates(k)
	r.planned(k)
	r.workedOut(k)
	r.rules(k)
	order(r.findings, sheet, k)
	return Result{Readings: readings, Findings: r.findings}
}

// order sorts findings by their place on the sheet, locked cells first, worst first
// within a place.
func order(findings []Finding, sheet *calc.Sheet, k *facts) {
	position := func(f Finding) int {
		if i, ok := k.sheet.BoxAt(f.Key); ok {
			return i
		}
		return -1
	}
	slices.SortStableFunc(findings, func(a, b Finding) int {
		if d := position(a) - position(b); d != 0 {
			return d
		}
		return a.Level.Rank() - b.Level.Rank()
	})
}

// lost tells boxes whose names no longer point at a cell.
func (r *reader) lost() {
	for _, name := range r.filled.Lost {
		r.findings = append(r.findings, Finding{
			Level: protocols.Error, Code: "box-lost", Key: calc.Key(name), Entry: name,
			Says:   "the box is gone: its row, column or sheet was deleted",
			Remedy: "bring it back with undo, or copy the readings into a freshly printed workbook of the same plan",
		})
	}
}

// locked holds the amounts printed in the workbook against those computed again.
func (r *reader) locked() {
	for i := range r.sheet.Amounts {
		a := &r.sheet.Amounts[i]
		id := a.Definition.ID
		if cell, ok := r.filled.Amounts[id]; ok {
			r.compareLocked(cell, a.Definition.Label, a.Rounded)
		}
		for _, cell := range r.filled.Repeats[id] {
			r.compareLocked(cell, a.Definition.Label, a.Rounded)
		}
		for p, cell := range r.filled.Parts[id] {
			if p < len(a.Parts) && cell.Ref != "" { // a lost one is told by lost
				r.compareLocked(cell, fmt.Sprintf("%s, part %d", a.Definition.Label, p+1), a.Parts[p])
			}
		}
	}
	for _, v := range r.sheet.Settings { // a setting may be printed large on a step too
		for _, cell := range r.filled.Repeats[v.Setting.ID] {
			r.compareLocked(cell, v.Setting.Label, v.Quantity)
		}
	}
}

func (r *reader) compareLocked(cell calc.Cell, label string, want quantity.Quantity) {
	if cell.Kind == calc.CellNumber && cell.Formula == "" && alike(cell.Number, want.Value(), 1e-9) {
		return
	}
	raw := cell.Text
	if cell.Formula != "" {
		raw = "=" + cell.Formula
	}
	r.findings = append(r.findings, Finding{
		Level: protocols.Error, Code: "amount-changed", Sheet: cell.Sheet, Ref: cell.Ref, Entry: label, Raw: raw,
		Says:   fmt.Sprintf("the printed amount was changed: it was %s, now %q stands there", want.Format(0), raw),
		Remedy: "put the printed amount back and write what was really used into its entry; to change the amount, change the plan and print again",
	})
}

func alike(a, b, share float64) bool {
	return math.Abs(a-b) <= share*math.Max(math.Abs(a), math.Abs(b))
}

// signatures wants two different people where a second one checks.
func (r *reader) signatures(k *facts) {
	for i := range r.sheet.Steps {
		step := r.sheet.Steps[i].Definition
		if step.Signed < 2 {
			continue
		}
		by, checked := k.reading(calc.Key("sign."+step.ID+".by")), k.reading(calc.Key("sign."+step.ID+".checked"))
		if by.State == calc.Given && checked.State == calc.Given && strings.EqualFold(by.Text, checked.Text) {
			r.find(checked, protocols.Error, "checked-by-self", fmt.Sprintf("%q did this step and checked it", checked.Text), "have a second person check it and sign")
		}
	}
}
