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

// Levels counts findings by level.
func Levels(findings []Finding) map[protocols.Level]int {
	counts := map[protocols.Level]int{}
	for _, f := range findings {
		counts[f.Level]++
	}
	return counts
}

// Worst is the highest level found; empty when there are no findings.
func (r Result) Worst() protocols.Level {
	counts := Levels(r.Findings)
	for _, level := range []protocols.Level{protocols.Error, protocols.Warning, protocols.Note} {
		if counts[level] > 0 {
			return level
		}
	}
	return ""
}

// OtherText warns of a sheet made by another text of its protocol than the one that ships
// under the same name and version.
func OtherText(sheet *calc.Sheet, shipped *protocols.Protocol) []Finding {
	ref := sheet.Protocol.Ref()
	if shipped.Digest == sheet.Protocol.Digest {
		return nil
	}
	return []Finding{{
		Level: protocols.Warning, Code: "other-protocol-text", Entry: ref,
		Says:   "this workbook was printed from another text of " + ref + " than the one that ships with spatsheet",
		Remedy: "give a changed protocol a version of its own; compare the two before comparing batches",
	}}
}
