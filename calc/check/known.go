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
	k := &known{boxes: sheet.Boxes(), readings: readings, index: map[calc.Key]int{}, values: formula.NewValues(), have: map[string]bool{}, empty: map[string]bool{}}
	for _, v := range sheet.Settings {
		k.set(v.Setting.ID, v.Quantity.Base())
	}
	for _, a := range sheet.Amounts {
		k.set(a.Definition.ID, a.Rounded.Base())
	}
	columns, words := map[string][]float64{}, map[string][]string{}
	for i, b := range k.boxes {
		k.index[b.Key] = i
		name := string(b.Key)
		if b.Table != nil {
			name = b.Table.ID + "." + b.Entry.ID
		}
		base, isNumber := baseOf(b.Entry, readings[i])
		switch {
		case readings[i].State != calc.Given:
		case isNumber && b.Table != nil:
			columns[name] = append(columns[name], base)
		case isNumber:
			k.set(name, base)
		case b.Table != nil:
			words[name] = append(words[name], readings[i].Text)
		default:
			k.values.SetText(name, readings[i].Text)
			k.have[name] = true
		}
	}
	for name, column := range words {
		k.values.SetTextColumn(name, column)
		k.have[name] = true
	}
	k.emptyColumns()
	for name, column := range columns {
		k.values.SetColumn(name, column)
		k.have[name] = true
	}
	return k
}

// emptyColumns gives columns without a filled row their place, for filled and tally.
func (k *known) emptyColumns() {
	for _, b := range k.boxes {
		if b.Table == nil {
			continue
		}
		name := b.Table.ID + "." + b.Entry.ID
		switch {
		case k.have[name] || k.empty[name]:
		case b.Entry.Kind == protocols.KindChoice || b.Entry.Kind == protocols.KindText:
			k.values.SetTextColumn(name, []string{})
			k.empty[name] = true
		default:
			k.values.SetColumn(name, []float64{})
			k.empty[name] = true
		}
	}
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
