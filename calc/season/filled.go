package season

import (
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// filled gives the readings of one batch by their names.
type filled struct {
	batch   Batch
	numbers check.Numbers
	tables  []filledTable
}

// filledTable is an entry table of a batch, in printed order.
type filledTable struct {
	definition *protocols.Table
	step       int
	labels     []string // of the rows
}

// cell is a given number of a column.
type cell struct {
	row    int // from 1
	number float64
}

func newFilled(b Batch, numbers check.Numbers) filled {
	f := filled{batch: b, numbers: numbers}
	for i := range b.Sheet.Steps {
		for _, t := range b.Sheet.Steps[i].Tables {
			table := filledTable{definition: t.Definition, step: i}
			for _, row := range t.Rows {
				table.labels = append(table.labels, row.Label)
			}
			f.tables = append(f.tables, table)
		}
	}
	return f
}

func (f filled) given(key calc.Key) (calc.Reading, bool) {
	r, ok := f.numbers.Reading(key)
	if !ok || r.State != calc.Given {
		return calc.Reading{}, false
	}
	return r, true
}

// number is a single entry's number, in its own unit.
func (f filled) number(key string) (float64, bool) {
	r, ok := f.given(calc.Key(key))
	return r.Number, ok
}

// text is what an entry says, as written down.
func (f filled) text(key string) string {
	r, _ := f.given(calc.Key(key))
	if r.Text != "" {
		return r.Text
	}
	return strings.TrimSpace(r.Raw)
}

// at is a date or time; the site's clock, given as UTC.
func (f filled) at(key string) (time.Time, bool) {
	r, ok := f.given(calc.Key(key))
	return time.Unix(int64(r.Number), 0).UTC(), ok
}

func (f filled) table(id string) (filledTable, bool) {
	for _, t := range f.tables {
		if t.definition.ID == id {
			return t, true
		}
	}
	return filledTable{}, false
}

// column lists the given numbers of a column, by row.
func (f filled) column(t filledTable, id string) []cell {
	var out []cell
	for row := range t.labels {
		if r, ok := f.given(calc.RowKey(t.definition.ID, row+1, id)); ok {
			out = append(out, cell{row + 1, r.Number})
		}
	}
	return out
}

// sum adds up the given numbers of a column; ok is false when there is none.
func (f filled) sum(table, column string) (sum float64, ok bool) {
	t, found := f.table(table)
	if !found {
		return 0, false
	}
	for _, c := range f.column(t, column) {
		sum, ok = sum+c.number, true
	}
	return sum, ok
}

// has finds a column of a table by name.
func (t filledTable) has(id string) (*protocols.Entry, bool) {
	for i := range t.definition.Columns {
		if t.definition.Columns[i].ID == id {
			return &t.definition.Columns[i], true
		}
	}
	return nil, false
}

func (t filledTable) hasAll(ids ...string) bool {
	for _, id := range ids {
		if _, ok := t.has(id); !ok {
			return false
		}
	}
	return true
}

func numbersOf(cells []cell) []float64 {
	out := make([]float64, len(cells))
	for i, c := range cells {
		out[i] = c.number
	}
	return out
}
