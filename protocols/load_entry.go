package protocols

import (
	"slices"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

func (l *loader) entry(n document.Node, prefix string, kept func() *Entry) Entry {
	f := n.Fields(keysOf["entry"]...)
	e := Entry{
		ID:    l.matching(f.Need("id"), entryPattern, "small letters, digits and _"),
		Label: f.Need("label").Text(), Required: l.truth(f, "required"),
		Kind: EntryKind(f.OneOf("kind", string(KindNumber), string(KindCount), string(KindText), string(KindChoice), string(KindDate), string(KindTime))),
		How:  f.Get("how").Text(), Note: f.Get("note").Text(), Planned: f.Get("planned").Text(),
		Trend: Trend(f.OneOf("trend", string(AnyTrend), string(NeverUp), string(NeverDown))),
	}
	l.entryUnit(f, &e, prefix)
	if f.Has("choices") {
		e.Choices = f.Get("choices").Texts()
	}
	if f.Has("alarming") {
		e.Alarming = f.Get("alarming").Texts()
		for _, word := range e.Alarming {
			if !slices.Contains(e.Choices, word) {
				f.Get("alarming").Fault("%q is not one of the choices", word)
			}
		}
	}
	if (e.Kind == KindChoice) != (len(e.Choices) > 0) {
		f.At().Fault("choices: [a, b] belong to kind: choice, and only there")
	}
	if f.Has("planned") != f.Has("tolerance") {
		f.At().Fault("planned: and tolerance: go together: the amount this repeats, and the share it may differ, such as 10 %%")
	}
	if f.Has("tolerance") {
		e.Tolerance = l.share(f.Get("tolerance"))
	}
	if e.Trend != AnyTrend && prefix == "" {
		f.Get("trend").Fault("trend belongs to a column of a table")
	}
	if e.Replicates = l.truth(f, "replicates"); e.Replicates && (prefix == "" || e.Kind != KindCount) {
		f.Get("replicates").Fault("replicates belongs to a column of counts in a table of subsamples")
	}
	if e.AnyTime = l.truth(f, "any_time"); e.AnyTime && e.Kind != KindDate && e.Kind != KindTime {
		f.Get("any_time").Fault("any_time belongs to kind: date or time")
	}
	l.declareEntry(f, e, prefix)
	if f.Has("works_out") && e.measured() {
		l.formulas = append(l.formulas, pendingFormula{at: f.Get("works_out"), name: prefix + e.ID, unit: e.Unit, over: &l.readings,
			put: func(x *formula.Formula) { kept().WorksOut = x }})
		f.Need("how")
	}
	if f.Has("example") {
		l.example(f.Get("example"), &e, func(x *formula.Formula) { kept().Example.Formula = x })
	}
	return e
}

// example reads a plausible value: a word, or a formula that also knows the row and
// units of time.
func (l *loader) example(n document.Node, e *Entry, put func(*formula.Formula)) {
	if e.Kind == KindChoice || e.Kind == KindText {
		e.Example.Texts = []string{""}
		if n.IsList() {
			e.Example.Texts = n.Texts()
		} else {
			e.Example.Texts[0] = n.Text()
		}
		for _, word := range e.Example.Texts {
			if e.Kind == KindChoice && !slices.Contains(e.Choices, word) {
				n.Fault("%q is not one of the choices", word)
			}
		}
		return
	}
	unit := e.Unit
	if !e.measured() {
		unit = quantity.MustUnit("h")
	}
	l.formulas = append(l.formulas, pendingFormula{at: n, unit: unit, over: &l.examples, put: put, loose: true})
}

func (l *loader) handOver(n document.Node, index int) HandOver {
	f := n.Fields(keysOf["hands_over"]...)
	h := HandOver{
		ID:    l.matching(f.Need("id"), entryPattern, "small letters, digits and _"),
		Label: f.Need("label").Text(), Unit: l.unit(f.Need("unit"), "hand-over "+f.Get("id").Text()),
	}
	l.declare(f.Get("id"), "hand-over "+h.ID)
	l.formulas = append(l.formulas, pendingFormula{at: f.Need("formula"), name: "hand-over " + h.ID, unit: h.Unit, over: &l.readings,
		put: func(x *formula.Formula) { l.p.HandsOver[index].Formula = x }})
	return h
}

func (l *loader) declareEntry(f document.Fields, e Entry, prefix string) {
	if !l.declare(f.Get("id"), prefix+e.ID) {
		return
	}
	switch e.Kind {
	case KindNumber, KindCount:
		l.readings[prefix+e.ID] = formula.Name{Dimension: e.Unit.Dimension(), Column: prefix != ""}
	case KindChoice, KindText:
		l.readings[prefix+e.ID] = formula.Name{Text: true, Column: prefix != ""}
	case KindDate, KindTime:
		l.readings[prefix+e.ID] = formula.Name{Dimension: quantity.MustUnit("s").Dimension(), Column: prefix != ""}
	}
}

// entryUnit reads unit and range, which numbers and counts must have.
func (l *loader) entryUnit(f document.Fields, e *Entry, prefix string) {
	if !e.measured() {
		for _, key := range []string{"unit", "range", "works_out", "planned"} {
			if f.Has(key) {
				f.Get(key).Fault("%s belongs to kind: number or count, not to %s", key, e.Kind)
			}
		}
		return
	}
	e.Unit = l.unit(f.Need("unit"), prefix+e.ID)
	e.Low, e.High, e.HasRange = l.span(f.Need("range"))
}

func (l *loader) share(n document.Node) float64 {
	q, err := quantity.Parse(n.Text())
	if err != nil || q.Dimension() != quantity.None || q.Base() < 0 || q.Base() > 1 {
		n.Fault("%q is not a share; write a percentage such as 10 %%", n.Text())
		return 0
	}
	return q.Base()
}
