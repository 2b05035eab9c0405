package check

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// required tells what was left blank, once for a whole step or table where all of it is.
func (r *reader) required(k *facts) {
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
		if first, ok := k.notDone(boxes); ok {
			r.find(first, protocols.Warning, "step-not-done",
				fmt.Sprintf("step %d, %s, was not done, though the protocol asks for it", r.sheet.Steps[i].Number,
					r.sheet.Steps[i].Definition.Title), whyNotDone)
			r.unsigned(k, boxes)
			continue
		}
		r.requiredInStep(k, boxes)
	}
}

const whyNotDone = "write down why, and what it means for the batch"

// notDone says whether ND stands in every box of a step or table that must be filled in,
// and nothing but ND in the others; first is a box with ND. Initials may stand there, and
// of a table that runs as far as the work goes the rows below the last ND may be blank. One
// box alone is told as itself.
func (k *facts) notDone(boxes []calc.Box) (first *calc.Reading, ok bool) {
	last := map[*protocols.Table]int{}
	for _, b := range boxes {
		if b.Table != nil && k.reading(b.Key).State == calc.NotDone {
			last[b.Table] = b.Row
		}
	}
	wanted := 0
	for _, b := range boxes {
		reading := k.reading(b.Key)
		ended := b.Table != nil && b.Table.Partial && b.Row > last[b.Table] && last[b.Table] > 0
		switch {
		case isSignature(b):
		case reading.State == calc.NotDone:
			if b.Entry.Required {
				wanted++
			}
			if first == nil {
				first = reading
			}
		case reading.State != calc.Blank, b.Entry.Required && !ended:
			return nil, false
		}
	}
	return first, wanted > 1
}

// unsigned tells the initials that are missing under a step that was not done.
func (r *reader) unsigned(k *facts, boxes []calc.Box) {
	for _, b := range boxes {
		if isSignature(b) && k.reading(b.Key).State == calc.Blank {
			r.requiredBox(k, b)
		}
	}
}

func isSignature(b calc.Box) bool { return strings.HasPrefix(string(b.Key), "sign.") }

func (r *reader) requiredInStep(k *facts, boxes []calc.Box) {
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

func (r *reader) requiredBox(k *facts, b calc.Box) {
	reading := k.reading(b.Key)
	if !b.Entry.Required {
		return
	}
	switch reading.State {
	case calc.Blank:
		r.find(reading, protocols.Error, "missing", "this must be filled in", "fill it in, or write ND if it was not done")
	case calc.NotDone:
		r.find(reading, protocols.Warning, "required-not-done", "this was not done, though the protocol asks for it", whyNotDone)
	}
}

func (r *reader) requiredTable(k *facts, t *protocols.Table, boxes []calc.Box) {
	if k.allBlank(boxes) {
		for _, b := range boxes {
			if b.Entry.Required {
				r.find(k.reading(b.Key), protocols.Error, "table-blank", fmt.Sprintf("nothing of the table %q is filled in", t.Title), remedyBlank(t))
				return
			}
		}
		return
	}
	if first, ok := k.notDone(boxes); ok {
		r.find(first, protocols.Warning, "table-not-done", fmt.Sprintf("the table %q was not done, though the protocol asks for it", t.Title), whyNotDone)
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

func remedyBlank(t *protocols.Table) string {
	if t.Partial {
		return "fill it in as far as the work went, or write ND into each box with * of its first row"
	}
	return "fill it in, or write ND into each of its boxes with *"
}

func (k *facts) allBlank(boxes []calc.Box) bool {
	for _, b := range boxes {
		if k.reading(b.Key).State != calc.Blank {
			return false
		}
	}
	return true
}
