// Package example fills a sheet in with plausible values, for demonstrations and tests:
// planned amounts where they were planned, times as planned, worked-out entries worked
// out, and the rest from the examples that the protocol gives, varied if the caller asks.
//
// What may enter: a scaled sheet. What may not: files, forms, chance.
package example

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Values are filled-in boxes by key: float64, string or time.Time (clock time, no zone).
type Values map[calc.Key]any

// Fill fills in every box that it can; given overrules what it would write, and a nil in
// given leaves a box blank.
//
// The protocol's examples are formulas; a box that must be filled in and has none, nor a
// planned amount, nor a working, is an error that names it.
func Fill(sheet *calc.Sheet, given Values) (Values, error) {
	return fill(sheet, given, func(_ calc.Box, plain float64) float64 { return plain })
}

func fill(sheet *calc.Sheet, given Values, vary Vary) (Values, error) {
	f := filler{sheet: sheet, boxes: sheet.Boxes(), out: Values{}, vary: vary}
	f.readings = make([]calc.Reading, len(f.boxes))
	for i, b := range f.boxes {
		f.readings[i] = calc.Reading{Key: b.Key, State: calc.Blank}
	}
	for i, b := range f.boxes {
		v, ok := given[b.Key]
		if !ok {
			var err error
			if v, err = f.value(b); err != nil {
				return nil, fmt.Errorf("%s (%s): %w", b.Key, b.Printed, err)
			}
		}
		f.put(i, v)
	}
	return f.out, nil
}

type filler struct {
	sheet    *calc.Sheet
	boxes    []calc.Box
	readings []calc.Reading
	out      Values
	vary     Vary
	known    check.Numbers
	stale    map[string]bool // names that known does not have as they are now; nil at first: all
}

// put writes a value down, so that what follows can be worked out from it.
func (f *filler) put(i int, v any) {
	if v == nil {
		return
	}
	f.out[f.boxes[i].Key] = v
	r := &f.readings[i]
	r.State = calc.Given
	switch x := v.(type) {
	case float64:
		r.Number = x
	case int:
		r.Number = float64(x)
	case time.Time:
		r.Number, r.Text = float64(x.Unix()), x.Format("2006-01-02T15:04:05")
	case string:
		r.Text = x
		if f.boxes[i].Entry.Kind == protocols.KindNumber || f.boxes[i].Entry.Kind == protocols.KindCount {
			r.State = calc.Unreadable // somebody's words where a number belongs
		}
	}
	f.tell(f.boxes[i], r)
}

// tell lets known have a reading, or marks its name stale.
func (f *filler) tell(b calc.Box, r *calc.Reading) {
	switch {
	case f.stale == nil:
	case b.Table != nil:
		f.stale[b.Table.ID+"."+b.Entry.ID] = true
	case r.State == calc.Given && (b.Entry.Kind == protocols.KindNumber || b.Entry.Kind == protocols.KindCount):
		f.known.Set(string(b.Key), b.Entry.Unit.Base(r.Number))
	default:
		f.stale[string(b.Key)] = true
	}
}

func (f *filler) value(b calc.Box) (any, error) {
	e := b.Entry
	switch e.Kind {
	case protocols.KindText:
		return word(b), nil
	case protocols.KindChoice:
		if text := exampleText(b); text != "" {
			return text, nil
		}
		return e.Choices[0], nil
	case protocols.KindDate, protocols.KindTime:
		return f.time(b)
	}
	switch {
	case e.WorksOut != nil:
		return f.workedOut(b)
	case e.Example.Formula != nil:
		return f.fromExample(b)
	case b.Planned != nil:
		q, err := b.Wanted().In(e.Unit)
		return q.Value(), err
	case e.Required:
		return nil, fmt.Errorf("the protocol gives no example, planned amount or working for it")
	}
	return nil, nil
}

// exampleText is the example's word for this row; empty when there is none.
func exampleText(b calc.Box) string {
	texts := b.Entry.Example.Texts
	if len(texts) == 0 {
		return ""
	}
	return texts[(max(b.Row, 1)-1)%len(texts)]
}

func word(b calc.Box) string {
	switch text := exampleText(b); {
	case text != "":
		return text
	case b.Entry.ID == "checked":
		return "AB"
	}
	return "TK"
}

// workedOut works an entry out as a person with a pocket calculator would, to four
// figures; nothing where a reading is not there.
func (f *filler) workedOut(b calc.Box) (any, error) {
	base, ok, err := f.numbers(b, b.Entry.WorksOut.Names()).Number(b.Entry.WorksOut)
	if err != nil || !ok {
		return nil, err
	}
	return strconv.ParseFloat(strconv.FormatFloat(b.Entry.Unit.FromBase(base), 'g', 4, 64), 64)
}

func (f *filler) fromExample(b calc.Box) (any, error) {
	formula := b.Entry.Example.Formula
	base, ok, err := f.numbers(b, formula.Names()).Number(formula)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, fmt.Errorf("the example %q needs a reading that comes later", formula)
	}
	x := base
	if formula.Dimension() != quantity.None || b.Entry.Unit.Dimension() == quantity.None {
		x = b.Entry.Unit.FromBase(base)
		if formula.Dimension() == quantity.None && b.Entry.Unit.Symbol() == "%" && !usesQuantities(b) {
			x = base // a bare number stands for so many per cent
		}
	}
	x = f.vary(b, x)
	if b.Entry.Kind == protocols.KindCount {
		return math.Round(x), nil
	}
	return strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
}

// usesQuantities says whether an example is computed from anything but row and numbers.
func usesQuantities(b calc.Box) bool {
	for _, name := range b.Entry.Example.Formula.Names() {
		if name != "row" {
			return true
		}
	}
	return false
}

// time is the example's hours after the start, or else the step's planned time, one hour
// for each row.
func (f *filler) time(b calc.Box) (any, error) {
	at := f.planned(b).Add(time.Duration(max(b.Row, 1)-1) * time.Hour)
	if formula := b.Entry.Example.Formula; formula != nil {
		hours, ok, err := f.numbers(b, formula.Names()).Number(formula)
		if err != nil || !ok {
			return nil, fmt.Errorf("the example %q cannot be worked out: %v", formula, err)
		}
		at = f.sheet.Plan.Start.Add(time.Duration(math.Round(hours*60)) * time.Minute)
	}
	if b.Entry.Kind == protocols.KindDate {
		at = at.Truncate(24 * time.Hour)
	}
	return at, nil
}

// planned is a step's planned time, or that of the last step before that has one.
func (f *filler) planned(b calc.Box) time.Time {
	for i := b.Step; i >= 0; i-- {
		if t := f.sheet.Steps[i].Time; !t.IsZero() {
			return t
		}
	}
	return f.sheet.Plan.Start
}

// numbers are what a box's formula may ask for. They are made anew only when it asks for
// a name that has changed: a sheet has hundreds of boxes.
func (f *filler) numbers(b calc.Box, asked []string) check.Numbers {
	fresh := f.stale != nil
	for _, name := range asked {
		fresh = fresh && !f.stale[name]
	}
	if !fresh {
		f.known, f.stale = check.NewNumbers(f.sheet, f.readings), map[string]bool{}
		for name, unit := range protocols.ExampleUnits {
			f.known.Set(name, unit.Base(1))
		}
	}
	f.known.Set("row", float64(b.Row))
	return f.known
}
