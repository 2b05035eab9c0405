package season

import (
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// filled gives the readings of one batch by what its protocol tells of them.
type filled struct {
	batch   Batch
	tells   *protocols.Tells
	numbers check.Numbers
	boxes   []calc.Box
}

// cell is a given number of a column.
type cell struct {
	row    int // from 1
	number float64
}

func newFilled(b Batch, numbers check.Numbers) filled {
	return filled{b, &b.Sheet.Protocol.Tells, numbers, b.Sheet.Boxes()}
}

// number is a declared number in its own unit; not known where it is not declared, a
// reading is missing, or the formula has no finite result.
func (f filled) number(n *protocols.TellsNumber) Figure {
	if n == nil {
		return Figure{}
	}
	base, ok, err := f.numbers.Number(n.Formula)
	if !ok || err != nil {
		return Figure{}
	}
	return Figure{n.Unit.FromBase(base), true}
}

// words are what entries say, as written down, joined by commas.
func (f filled) words(fields []protocols.Field) string {
	var all []string
	for i := range fields {
		if r, ok := f.reading(&fields[i], 1); ok {
			if words := wordsOf(r); words != "" {
				all = append(all, words)
			}
		}
	}
	return strings.Join(all, ", ")
}

func wordsOf(r calc.Reading) string {
	if r.Text != "" {
		return r.Text
	}
	return strings.TrimSpace(r.Raw)
}

// at is a date or time in a row, or of a single entry; the site's clock, given as UTC.
func (f filled) at(field *protocols.Field, row int) (time.Time, bool) {
	r, ok := f.reading(field, row)
	return time.Unix(int64(r.Number), 0).UTC(), ok
}

// reading is what is given in a row of a column, from 1, or in a single entry.
func (f filled) reading(field *protocols.Field, row int) (calc.Reading, bool) {
	i, ok := f.box(field, row)
	if !ok || i >= len(f.batch.Readings) || f.batch.Readings[i].State != calc.Given {
		return calc.Reading{}, false
	}
	return f.batch.Readings[i], true
}

// box is the index of a box: those of a table stand together row by row. ok is false where
// the field is not declared, and beyond the last row.
func (f filled) box(field *protocols.Field, row int) (i int, ok bool) {
	if field == nil {
		return 0, false
	}
	i, ok = f.batch.Sheet.BoxNamed(field.Name)
	if !ok || field.Table == nil {
		return i, ok && row == 1
	}
	first := i
	i += (row - 1) * len(f.boxes[first].Table.Columns)
	return i, i < len(f.boxes) && f.boxes[i].Table == f.boxes[first].Table
}

// column lists the given numbers of a column, by row; of a single entry its own.
func (f filled) column(field *protocols.Field) []cell {
	var out []cell
	i, ok := f.box(field, 1)
	if !ok {
		return nil
	}
	table, apart := f.boxes[i].Table, len(f.boxes)
	if table != nil {
		apart = len(table.Columns)
	}
	for row := 1; i < len(f.batch.Readings) && f.boxes[i].Table == table; row, i = row+1, i+apart {
		if f.batch.Readings[i].State == calc.Given {
			out = append(out, cell{row, f.batch.Readings[i].Number})
		}
	}
	return out
}

// label is the printed name of a row.
func (f filled) label(field *protocols.Field, row int) string {
	if i, ok := f.box(field, row); ok {
		for _, t := range f.batch.Sheet.Steps[f.boxes[i].Step].Tables {
			if t.Definition == f.boxes[i].Table {
				return t.Rows[row-1].Label
			}
		}
	}
	return ""
}

func numbersOf(cells []cell) []float64 {
	out := make([]float64, len(cells))
	for i, c := range cells {
		out[i] = c.number
	}
	return out
}

// Figure is a number that may be missing.
type Figure struct {
	Number float64
	Has    bool
}

func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// written is what stands in a box; a date for a day number.
func written(r calc.Reading) string {
	switch {
	case r.State == calc.Blank || r.Raw == "":
		return string(calc.Blank)
	case isStoredNumber(r) && r.Text != "":
		return r.Text
	}
	return r.Raw
}

// whenOf is the latest date or time written in a step, or else the step's own time.
func WhenOf(sheet *calc.Sheet, written []time.Time, step int) time.Time {
	if at := written[step]; !at.IsZero() {
		return at
	}
	return sheet.Steps[step].Time
}

// appendNew appends what is not in the list.
func AppendNew[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}
