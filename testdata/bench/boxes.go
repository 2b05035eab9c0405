package main

import (
	"encoding/json"
	"fmt"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// What check_openpyxl.py is told, so that it need not understand protocols: every box of
// each kind of batch, the printed amounts, the rules, and which batch is of which kind.
type (
	described struct {
		Units   map[string]unitScale `json:"units"`
		Second  float64              `json:"second"` // a second in base units
		Sheets  map[string]sheetJSON `json:"sheets"`
		Batches map[string]batchJSON `json:"batches"`
	}
	unitScale struct {
		Dimension string  `json:"dimension"`
		Scale     float64 `json:"scale"` // base = scale × value + offset
		Offset    float64 `json:"offset"`
	}
	batchJSON struct {
		Sheet  string `json:"sheet"`
		Start  string `json:"start"`
		Digest string `json:"digest"`
	}
	sheetJSON struct {
		Values  map[string]float64   `json:"values"`  // settings and amounts, in base units
		Printed map[string]float64   `json:"printed"` // the same as printed
		Parts   map[string][]float64 `json:"parts"`
		Steps   []stepJSON           `json:"steps"`
		Boxes   []boxJSON            `json:"boxes"`
		Checks  []checkJSON          `json:"checks"`
	}
	stepJSON struct {
		ID     string  `json:"id"`
		Signed int     `json:"signed"`
		Hours  float64 `json:"hours"` // after the batch's start
	}
	boxJSON struct {
		Key        string       `json:"key"`
		Step       int          `json:"step"`
		Kind       string       `json:"kind"`
		Unit       string       `json:"unit"`
		Range      []float64    `json:"range,omitempty"`
		Required   bool         `json:"required,omitempty"`
		Choices    []string     `json:"choices,omitempty"`
		Alarming   []string     `json:"alarming,omitempty"`
		Planned    *float64     `json:"planned,omitempty"`
		Tolerance  float64      `json:"tolerance,omitempty"`
		WorksOut   *formulaJSON `json:"works_out,omitempty"`
		Table      string       `json:"table,omitempty"`
		Row        int          `json:"row,omitempty"`
		Column     string       `json:"column,omitempty"`
		Partial    bool         `json:"partial,omitempty"`
		Trend      string       `json:"trend,omitempty"`
		Replicates bool         `json:"replicates,omitempty"`
		AnyTime    bool         `json:"any_time,omitempty"`
		NotBefore  *float64     `json:"not_before,omitempty"` // hours after the batch's start, of a date near its step
		NotAfter   *float64     `json:"not_after,omitempty"`
	}
	formulaJSON struct {
		Text  string   `json:"text"`
		Names []string `json:"names"`
		Rows  []string `json:"rows"` // columns that must have a filled row
	}
	checkJSON struct {
		ID    string      `json:"id"`
		Rule  formulaJSON `json:"rule"`
		Level string      `json:"level"`
		Each  string      `json:"each,omitempty"`
	}
)

func (m *maker) writeBoxes() error {
	d := described{Units: map[string]unitScale{}, Second: quantity.MustUnit("s").Base(1), Sheets: map[string]sheetJSON{}, Batches: map[string]batchJSON{}}
	for kind := range m.sheets {
		if sheet := m.sheets[kind].Load(); sheet != nil {
			d.Sheets[fmt.Sprint(kind)] = describe(sheet, d.Units)
		}
	}
	for _, symbol := range []string{"mL", "L", "µL", "g", "mg", "kg", "h", "min", "d", "cm", "mm"} {
		addUnit(d.Units, quantity.MustUnit(symbol))
	}
	for i, start := range m.starts {
		d.Batches[fmt.Sprintf("KS-26-%05d", i+1)] = batchJSON{fmt.Sprint(m.which[i]), start, m.digests[i]}
	}
	text, err := json.MarshalIndent(d, "", " ")
	if err != nil {
		return err
	}
	return m.write("boxes.json", text)
}

func addUnit(units map[string]unitScale, u quantity.Unit) {
	zero := u.Base(0)
	units[u.Symbol()] = unitScale{fmt.Sprint(u.Dimension()), u.Base(1) - zero, zero}
}

func describe(sheet *calc.Sheet, units map[string]unitScale) sheetJSON {
	s := sheetJSON{Values: map[string]float64{}, Printed: map[string]float64{}, Parts: map[string][]float64{}}
	for _, v := range sheet.Settings {
		s.Values[v.Setting.ID], s.Printed[v.Setting.ID] = v.Quantity.Base(), v.Quantity.Value()
	}
	for _, a := range sheet.Amounts {
		id := a.Definition.ID
		s.Values[id], s.Printed[id] = a.Rounded.Base(), a.Rounded.Value()
		for _, part := range a.Parts {
			s.Parts[id] = append(s.Parts[id], part.Value())
		}
	}
	for _, step := range sheet.Steps {
		s.Steps = append(s.Steps, stepJSON{step.Definition.ID, step.Definition.Signed, step.Hours})
	}
	for _, b := range sheet.Boxes() {
		if b.Entry.Kind == protocols.KindNumber || b.Entry.Kind == protocols.KindCount {
			addUnit(units, b.Entry.Unit)
		}
		box := describeBox(b)
		earliest, latest := check.TimeLimits(sheet, b)
		box.NotBefore, box.NotAfter = hoursAfter(sheet, earliest), hoursAfter(sheet, latest)
		s.Boxes = append(s.Boxes, box)
	}
	for i := range sheet.Protocol.Checks {
		c := &sheet.Protocol.Checks[i]
		s.Checks = append(s.Checks, checkJSON{c.ID, *describeFormula(c.Rule), string(c.Level), c.Each})
	}
	return s
}

// hoursAfter is a time in hours after the batch's start; nil for none.
func hoursAfter(sheet *calc.Sheet, t time.Time) *float64 {
	if t.IsZero() {
		return nil
	}
	hours := t.Sub(sheet.Plan.Start).Hours()
	return &hours
}

func describeBox(b calc.Box) boxJSON {
	e := b.Entry
	out := boxJSON{
		Key: string(b.Key), Step: b.Step, Kind: string(e.Kind), Required: e.Required, Choices: e.Choices, Alarming: e.Alarming,
		Tolerance: e.Tolerance, WorksOut: describeFormula(e.WorksOut), Trend: string(e.Trend), Replicates: e.Replicates, AnyTime: e.AnyTime,
	}
	if e.Kind == protocols.KindNumber || e.Kind == protocols.KindCount {
		out.Unit = e.Unit.Symbol()
	}
	if e.HasRange {
		out.Range = []float64{e.Low, e.High}
	}
	if b.Planned != nil {
		if want, err := b.Wanted().In(e.Unit); err == nil {
			x := want.Value()
			out.Planned = &x
		}
	}
	if b.Table != nil {
		out.Table, out.Row, out.Column, out.Partial = b.Table.ID, b.Row, b.Table.ID+"."+e.ID, b.Table.Partial
	}
	return out
}

func describeFormula(f *formula.Formula) *formulaJSON {
	if f == nil {
		return nil
	}
	out := &formulaJSON{Text: f.String(), Names: f.Names()}
	for _, name := range f.Names() {
		if f.NeedsRows(name) {
			out.Rows = append(out.Rows, name)
		}
	}
	return out
}
