// Package check understands a filled sheet: it turns raw cells into readings and tells,
// as findings, what is wrong, where, and what to do next.
//
// What may enter: a scaled sheet and what came back for it. What may not: files, forms,
// other batches; findings across batches are calc/season's.
package check

import (
	"spatsheet/calc"
	"spatsheet/protocols"
)

// Finding is one thing to look at in a filled sheet.
type Finding struct {
	Level  protocols.Level `json:"level"`
	Code   string          `json:"code"`            // stable word for machines: "text-for-number"
	Sheet  string          `json:"sheet,omitempty"` // workbook sheet
	Ref    string          `json:"cell,omitempty"`  // "B7"
	Key    calc.Key        `json:"key,omitempty"`
	Entry  string          `json:"entry,omitempty"` // the entry's printed name
	Raw    string          `json:"raw,omitempty"`   // what stands in the cell
	Says   string          `json:"says"`
	Remedy string          `json:"remedy"`
}

// Place is where the finding is, for people: "Step 3!C7".
func (f Finding) Place() string {
	if f.Ref == "" {
		return f.Sheet
	}
	return f.Sheet + "!" + f.Ref
}

// Result is a filled sheet as understood.
type Result struct {
	Readings []calc.Reading // one for each box of the sheet, in printed order
	Findings []Finding      // by place, worst first within a place
}

// Worst is the highest level found; empty when there are no findings.
func (r Result) Worst() protocols.Level {
	worst := protocols.Level("")
	rank := map[protocols.Level]int{"": 0, protocols.Note: 1, protocols.Warning: 2, protocols.Error: 3}
	for _, f := range r.Findings {
		if rank[f.Level] > rank[worst] {
			worst = f.Level
		}
	}
	return worst
}
