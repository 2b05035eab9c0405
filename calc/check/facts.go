package check

import (
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// facts are everything that formulas may ask for: settings, amounts and given readings. What
// a name stands for is looked up when a formula first asks for it, and kept.
type facts struct {
	sheet    *calc.Sheet
	boxes    []calc.Box
	readings []calc.Reading // run together with boxes
	values   formula.Values
	have     map[string]bool // of the names asked for: there is a value
	empty    map[string]bool // columns without a filled row
}

var second = quantity.MustUnit("s")

func newFacts(sheet *calc.Sheet, readings []calc.Reading) *facts {
	return &facts{sheet: sheet, boxes: sheet.Boxes(), readings: readings, values: formula.NewValues(), have: map[string]bool{}, empty: map[string]bool{}}
}

// has says whether a name has a value: a given reading, or else an amount, or a setting.
func (k *facts) has(name string) bool {
	if have, asked := k.have[name]; asked {
		return have
	}
	k.have[name] = false
	if v, ok := k.sheet.Value(name); ok {
		k.set(name, v.Quantity.Base())
	}
	if a, ok := k.sheet.Amount(name); ok {
		k.set(name, a.Rounded.Base())
	}
	i, ok := k.sheet.BoxNamed(name)
	switch {
	case !ok:
	case k.boxes[i].Table != nil:
		k.column(name, i)
	default:
		if base, isNumber := baseOf(k.boxes[i].Entry, k.readings[i]); isNumber {
			k.set(name, base)
		} else if k.readings[i].State == calc.Given {
			k.values.SetText(name, k.readings[i].Text)
			k.have[name] = true
		}
	}
	return k.have[name]
}

// given is the reading of an entry that has one.
func (k *facts) given(name string) (*calc.Reading, bool) {
	i, ok := k.sheet.BoxNamed(name)
	if !ok || k.readings[i].State != calc.Given {
		return nil, false
	}
	return &k.readings[i], true
}

// column takes the boxes of a column, whose first is given, as its filled rows: the boxes
// of a table stand together row by row. A column without a filled row is set too,
// for filled and tally.
func (k *facts) column(name string, first int) {
	def := k.boxes[first].Table
	numbers, words := []float64{}, []string{}
	for i := first; i < len(k.boxes) && k.boxes[i].Table == def; i += len(def.Columns) {
		if base, isNumber := baseOf(k.boxes[i].Entry, k.readings[i]); isNumber {
			numbers = append(numbers, base)
		} else if k.readings[i].State == calc.Given {
			words = append(words, k.readings[i].Text)
		}
	}
	if kind := k.boxes[first].Entry.Kind; kind == protocols.KindChoice || kind == protocols.KindText {
		k.values.SetTextColumn(name, words)
	} else {
		k.values.SetColumn(name, numbers)
	}
	k.have[name] = len(numbers)+len(words) > 0
	k.empty[name] = !k.have[name]
}

func (k *facts) set(name string, base float64) {
	k.values.Set(name, base)
	k.have[name] = true
}

// baseOf is a given reading's number in base units.
func baseOf(e *protocols.Entry, r calc.Reading) (float64, bool) {
	if r.State != calc.Given {
		return 0, false
	}
	switch e.Kind {
	case protocols.KindNumber, protocols.KindCount:
		return e.Unit.Base(r.Number), true
	case protocols.KindDate, protocols.KindTime:
		return second.Base(r.Number), true
	}
	return 0, false
}

func (k *facts) reading(key calc.Key) *calc.Reading {
	if i, ok := k.sheet.BoxAt(key); ok {
		return &k.readings[i]
	}
	return &calc.Reading{Key: key, State: calc.Blank}
}

// What a row has for a rule.
const (
	rowReady = iota
	rowLacks // a reading is not there
	rowEnds  // the table has no such row
)

// inRow is the key of a name in one row of a check's table, or the name itself.
func (k *facts) inRow(c *protocols.Check, row int, name string) string {
	if column, ok := strings.CutPrefix(name, c.Each+"."); ok {
		return string(calc.RowKey(c.Each, row, column))
	}
	return name
}

// rowValues gives the values of a rule's names, those of the table's columns from one row.
func (k *facts) rowValues(c *protocols.Check, row int) (formula.Values, int) {
	values := formula.NewValues()
	state := rowReady
	for _, name := range c.Rule.Names() {
		key := k.inRow(c, row, name)
		if key == name {
			if !k.has(name) {
				state = rowLacks
			}
			values.Copy(name, k.values)
			continue
		}
		i, ok := k.sheet.BoxAt(calc.Key(key))
		if !ok {
			return values, rowEnds
		}
		base, isNumber := baseOf(k.boxes[i].Entry, k.readings[i])
		switch {
		case k.readings[i].State != calc.Given:
			state = rowLacks
		case isNumber:
			values.Set(name, base)
		default:
			values.SetText(name, k.readings[i].Text)
		}
	}
	return values, state
}

// ready says whether every name of a formula has a value.
func (k *facts) ready(f *formula.Formula) bool {
	for _, name := range f.Names() {
		if !k.has(name) && (!k.empty[name] || f.NeedsRows(name)) {
			return false
		}
	}
	return true
}

// shownAt is the reading a finding about a name is shown at: the entry itself, or the last
// filled row of a column.
func (k *facts) shownAt(name string) *calc.Reading {
	if _, ok := k.sheet.BoxAt(calc.Key(name)); ok {
		return k.reading(calc.Key(name))
	}
	table, column, _ := strings.Cut(name, ".")
	found := &calc.Reading{Key: calc.Key(name)}
	for i, b := range k.boxes {
		if b.Table != nil && b.Table.ID == table && (column == "" || b.Entry.ID == column) && (found.Ref == "" || k.readings[i].State == calc.Given) {
			found = &k.readings[i]
		}
	}
	return found
}
