package check

import (
	"fmt"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// required tells what was left blank, once for a whole step or table where all of it is.
func (r *reader) required(k *known) {
	for i := range r.sheet.Steps {
		var boxes []calc.Box
		for _, b := range k.boxes {
			if b.Step == i {
				boxes = append(boxes, b)
			}
		}
		if len(boxes) > 0 && k.allBlank(boxes) {
			first := k.reading(boxes[0].Key)
			r.find(first, protocols.Error, "step-blank", fmt.Sprintf("nothing of step %d, %s, is filled in", r.sheet.Steps[i].Number, r.sheet.Steps[i].Definition.Title),
				"fill it in when it has been done; write ND where something was not done")
			continue
		}
		r.requiredInStep(k, boxes)
	}
}

func (r *reader) requiredInStep(k *known, boxes []calc.Box) {
	tables := map[*protocols.Table][]calc.Box{}
	var order []*protocols.Table
	for _, b := range boxes {
		if b.Table == nil {
			r.requiredBox(k, b)
			continue
		}
		if _, seen := tables[b.Table]; !seen {
			order = append(order, b.Table)
		}
		tables[b.Table] = append(tables[b.Table], b)
	}
	for _, t := range order {
		r.requiredTable(k, t, tables[t])
	}
}

func (r *reader) requiredBox(k *known, b calc.Box) {
	reading := k.reading(b.Key)
	if !b.Entry.Required {
		return
	}
	switch reading.State {
	case calc.Blank:
		r.find(reading, protocols.Error, "missing", "this must be filled in", "fill it in, or write ND if it was not done")
	case calc.NotDone:
		r.find(reading, protocols.Warning, "required-not-done", "this was not done, though the protocol asks for it", "write down why, and what it means for the batch")
	}
}

func (r *reader) requiredTable(k *known, t *protocols.Table, boxes []calc.Box) {
	if k.allBlank(boxes) {
		for _, b := range boxes {
			if b.Entry.Required {
				r.find(k.reading(b.Key), protocols.Error, "table-blank", fmt.Sprintf("nothing of the table %q is filled in", t.Title), "fill it in, or write ND in its first row")
				return
			}
		}
		return
	}
	rows := map[int][]calc.Box{}
	last := 0
	for _, b := range boxes {
		rows[b.Row] = append(rows[b.Row], b)
		if k.reading(b.Key).State != calc.Blank {
			last = b.Row
		}
	}
	for row := 1; row <= len(rows); row++ {
		if t.Partial && row > last {
			break // the work ended before this row
		}
		for _, b := range rows[row] {
			r.requiredBox(k, b)
		}
	}
}

func (k *known) allBlank(boxes []calc.Box) bool {
	for _, b := range boxes {
		if k.reading(b.Key).State != calc.Blank {
			return false
		}
	}
	return true
}
