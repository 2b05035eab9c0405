package check

import (
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/quantity"
	"spatsheet/protocols"
	"spatsheet/protocols/formula"
)

// known is everything that formulas may ask for: settings, amounts and given readings.
type known struct {
	boxes    []calc.Box
	readings []calc.Reading
	index    map[calc.Key]int // into boxes and readings, which run together
	values   formula.Values
	have     map[string]bool
	empty    map[string]bool // columns without a filled row
}

var second = quantity.MustUnit("s")

func newKnown(sheet *calc.Sheet, readings []calc.Reading) *known {
	boxes := sheet.Boxes()
	k := &known{boxes: boxes, readings: readings, index: make(map[calc.Key]int, len(boxes)), values: formula.NewValues(), have: map[string]bool{}, empty: map[string]bool{}}
	for _, v := range sheet.Settings {
		k.set(v.Setting.ID, v.Quantity.Base())
	}
	for _, a := range sheet.Amounts {
		k.set(a.Definition.ID, a.Rounded.Base())
	}
	for i := 0; i < len(boxes); {
		if boxes[i].Table != nil {
			i = k.table(i)
			continue
		}
		k.index[boxes[i].Key] = i
		if base, isNumber := baseOf(boxes[i].Entry, readings[i]); isNumber {
			k.set(boxes[i].Name, base)
		} else if readings[i].State == calc.Given {
			k.values.SetText(boxes[i].Name, readings[i].Text)
			k.have[boxes[i].Name] = true
		}
		i++
	}
	return k
}

// table takes the boxes of a table, which stand together row by row from the one given,
// as columns of their filled rows; it gives the box after them. Columns without a filled
// row get their place too, for filled and tally.
func (k *known) table(first int) (next int) {
	def := k.boxes[first].Table
	width := len(def.Columns)
	for next = first; next < len(k.boxes) && k.boxes[next].Table == def; next++ {
		k.index[k.boxes[next].Key] = next
	}
	for c := range width {
		name, numbers, words := k.boxes[first+c].Name, []float64{}, []string{}
		for i := first + c; i < next; i += width {
			if base, isNumber := baseOf(k.boxes[i].Entry, k.readings[i]); isNumber {
				numbers = append(numbers, base)
			} else if k.readings[i].State == calc.Given {
				words = append(words, k.readings[i].Text)
			}
		}
		if kind := def.Columns[c].Kind; kind == protocols.KindChoice || kind == protocols.KindText {
			k.values.SetTextColumn(name, words)
		} else {
			k.values.SetColumn(name, numbers)
		}
		k.have[name] = len(numbers)+len(words) > 0
		k.empty[name] = !k.have[name]
	}
	return next
}

func (k *known) set(name string, base float64) {
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

func (k *known) reading(key calc.Key) *calc.Reading {
	if i, ok := k.index[key]; ok {
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
func (k *known) inRow(c *protocols.Check, row int, name string) string {
	if column, ok := strings.CutPrefix(name, c.Each+"."); ok {
		return string(calc.RowKey(c.Each, row, column))
	}
	return name
}

// rowValues gives the values of a rule's names, those of the table's columns from one row.
func (k *known) rowValues(c *protocols.Check, row int) (formula.Values, int) {
	values := formula.NewValues()
	state := rowReady
	for _, name := range c.Rule.Names() {
		key := k.inRow(c, row, name)
		if key == name {
			if !k.have[name] {
				state = rowLacks
			}
			values.Copy(name, k.values)
			continue
		}
		i, ok := k.index[calc.Key(key)]
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
func (k *known) ready(f *formula.Formula) bool {
	for _, name := range f.Names() {
		if !k.have[name] && (!k.empty[name] || f.NeedsRows(name)) {
			return false
		}
	}
	return true
}

// place is the reading a finding about a name is shown at: the entry itself, or the last
// filled row of a column.
func (k *known) place(name string) *calc.Reading {
	if _, ok := k.index[calc.Key(name)]; ok {
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
