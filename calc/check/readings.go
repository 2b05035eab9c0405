package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
	"spatsheet/protocols/spelling"
)

// notDoneWords are what people write for "not done"; the sheet asks for ND.
var notDoneWords = []string{"nd", "n.d.", "n/d", "not done"}

// reader turns cells into readings and notes what it finds.
type reader struct {
	sheet    *calc.Sheet
	filled   *calc.Filled
	findings []Finding
	spans    map[int]span // of the steps asked for, by what was written of earlier ones
}

// readings understands every box of the sheet.
func (r *reader) readings() []calc.Reading {
	boxes := r.sheet.Boxes()
	shared := r.shared(boxes)
	out := make([]calc.Reading, 0, len(boxes))
	for _, box := range boxes {
		out = append(out, r.reading(box, shared))
	}
	return out
}

// place is a cell of the workbook.
type place struct{ sheet, ref string }

// shared are cells that more than one box, or a box and a printed amount, are said to
// stand in: a name of theirs was moved or copied.
func (r *reader) shared(boxes []calc.Box) map[place]bool {
	seen := make(map[place]bool, len(boxes))
	amounts := func(cells ...calc.Cell) {
		for _, c := range cells {
			seen[place{c.Sheet, c.Ref}] = false
		}
	}
	for _, c := range r.filled.Amounts {
		amounts(c)
	}
	for _, cells := range r.filled.Repeats {
		amounts(cells...)
	}
	for _, cells := range r.filled.Parts {
		amounts(cells...)
	}
	for _, box := range boxes {
		if c, ok := r.filled.Cells[box.Key]; ok && c.Ref != "" {
			_, twice := seen[place{c.Sheet, c.Ref}]
			seen[place{c.Sheet, c.Ref}] = twice
		}
	}
	return seen
}

func (r *reader) reading(box calc.Box, shared map[place]bool) calc.Reading {
	cell := r.filled.Cells[box.Key]
	out := calc.Reading{Key: box.Key, Printed: box.Printed, Sheet: cell.Sheet, Ref: cell.Ref, Raw: cell.Text, State: calc.Given}
	if box.Entry.Kind == protocols.KindNumber || box.Entry.Kind == protocols.KindCount {
		out.Unit = box.Entry.Unit.Symbol()
	}
	switch {
	case shared[place{cell.Sheet, cell.Ref}]:
		r.unreadable(&out, "box-shared", "two boxes are said to stand in this cell: a name was moved or copied",
			"copy the readings into a freshly printed workbook of the same plan")
		return out
	case cell.Formula != "":
		out.Raw = "=" + cell.Formula
		r.unreadable(&out, "formula-in-entry", "a formula stands where a reading is wanted", "type the value that was read")
		return out
	case cell.Merged:
		r.unreadable(&out, "merged-cell", "this cell has been merged with others", "unmerge the cells and type each reading into its own")
		return out
	case cell.Kind == calc.CellBlank, cell.Kind == calc.CellText && strings.TrimSpace(cell.Text) == "":
		out.State = calc.Blank
		return out
	case cell.Kind == calc.CellText && slices.Contains(notDoneWords, strings.ToLower(strings.TrimSpace(cell.Text))):
		out.State = calc.NotDone
		return out
	case cell.Kind == calc.CellError, cell.Kind == calc.CellTruth:
		r.unreadable(&out, "not-a-reading", fmt.Sprintf("%q is not a reading", cell.Text), "type the value that was read, or ND if it was not done")
		return out
	}
	r.value(box, cell, &out)
	return out
}

// value understands a cell with something in it, by the kind of its entry.
func (r *reader) value(box calc.Box, cell calc.Cell, out *calc.Reading) {
	switch box.Entry.Kind {
	case protocols.KindNumber, protocols.KindCount:
		r.number(box, cell, out)
	case protocols.KindChoice:
		r.choice(box.Entry, cell, out)
	case protocols.KindDate:
		t, err := readDate(cell, r.filled.Date1904)
		r.clock(box, out, t, err, "2006-01-02", "write year-month-day, such as 2026-02-14")
	case protocols.KindTime:
		t, err := readTime(cell, r.filled.Date1904, r.sheet.Steps[box.Step].Time)
		r.clock(box, out, t, err, "2006-01-02T15:04:05", "write date and time, such as 2026-02-14 22:30")
	default:
		if cell.Kind == calc.CellNumber && (cell.DateLike || cell.Percent) {
			r.unreadable(out, "date-for-text", "the program has made a date or a percentage of this"+r.dateIn(cell), "set the cell's format to Text and type it again")
			return
		}
		out.Text = strings.TrimSpace(cell.Text)
	}
}

func (r *reader) number(box calc.Box, cell calc.Cell, out *calc.Reading) {
	unit := box.Entry.Unit
	if cell.Kind == calc.CellNumber {
		switch {
		case cell.DateLike:
			r.unreadable(out, "date-for-number", "the program has made a date of this"+r.dateIn(cell), "set the cell's format to General and type the number again")
			return
		case cell.Percent && unit.Symbol() == "%":
			out.Number = cell.Number * 100
			r.find(out, protocols.Note, "percent-format", fmt.Sprintf("read as %s %%", quantity.FormatNumber(out.Number, 0)), "nothing to do if that is what was meant")
		case cell.Percent:
			r.unreadable(out, "percent-for-number", "the program has made a percentage of this", "set the cell's format to General and type the number again")
			return
		default:
			out.Number = cell.Number
		}
	} else {
		typed, err := readNumber(cell.Text)
		if err == nil {
			out.Number, err = typed.inUnit(unit)
		}
		if err != nil {
			r.unreadable(out, "text-for-number", fmt.Sprintf("%q: %s", cell.Text, err), typed.remedy(unit))
			return
		}
		if len(typed.notes) > 0 {
			r.find(out, protocols.Note, "number-as-text", strings.Join(typed.notes, "; "), "nothing to do if that is what was meant")
		}
	}
	if math.IsNaN(out.Number) || math.IsInf(out.Number, 0) {
		out.Number = 0
		r.unreadable(out, "not-a-reading", "this is not a finite number", "type the value that was read")
		return
	}
	r.plausible(box.Entry, out)
}

// plausible holds a number against what can be counted and the entry's range.
func (r *reader) plausible(e *protocols.Entry, out *calc.Reading) {
	if e.Kind == protocols.KindCount && out.Number < 0 {
		r.find(out, protocols.Error, "below-zero",
			quantity.FormatNumber(out.Number, 0)+" stands here; a count cannot be below zero",
			"type what was counted, 0 where there was none, or ND if it was not done")
		return
	}
	if e.Kind == protocols.KindCount && out.Number != math.Round(out.Number) {
		r.find(out, protocols.Error, "not-whole", quantity.FormatNumber(out.Number, 0)+" is not a whole number", "count whole things; check the decimal point")
		return
	}
	if e.HasRange && (out.Number < e.Low || out.Number > e.High) {
		r.find(out, protocols.Warning, "out-of-range",
			fmt.Sprintf("%s is outside the plausible %s %s", quantity.FormatNumber(out.Number, 0),
				quantity.FormatRange(e.Low, e.High), e.Unit.Print()),
			"check the unit and the decimal point; leave it if it is true")
	}
}

// dateIn tells the date that a program has made, since what is stored is a day number.
func (r *reader) dateIn(cell calc.Cell) string {
	t, err := fromSerial(cell.Number, r.filled.Date1904)
	if !cell.DateLike || err != nil {
		return ""
	}
	return ", " + strings.TrimSuffix(t.Format("2006-01-02 15:04"), " 00:00")
}

func (r *reader) choice(e *protocols.Entry, cell calc.Cell, out *calc.Reading) {
	typed := strings.TrimSpace(cell.Text)
	for _, c := range e.Choices {
		if strings.EqualFold(c, typed) {
			out.Text = c
			if slices.Contains(e.Alarming, c) {
				r.find(out, protocols.Warning, "alarming-choice", fmt.Sprintf("%s: %s", e.Label, c),
					"decide what this means for the batch before going on, and write it down")
			}
			return
		}
	}
	remedy := "choose one of: " + strings.Join(e.Choices, ", ")
	if near, ok := spelling.Nearest(typed, e.Choices); ok {
		remedy = fmt.Sprintf("did you mean %q? %s", near, remedy)
	}
	r.unreadable(out, "not-a-choice", fmt.Sprintf("%q is not one of the choices", typed), remedy)
}

func (r *reader) clock(box calc.Box, out *calc.Reading, t time.Time, err error, form, remedy string) {
	if err != nil {
		r.unreadable(out, "not-a-date", fmt.Sprintf("%q: %s", out.Raw, err), remedy)
		return
	}
	out.Number, out.Text = float64(t.Unix()), t.Format(form)
	if r.filled.Date1904 && box.Entry.AnyTime && r.filled.Cells[out.Key].Kind == calc.CellNumber {
		r.find(out, protocols.Warning, "date-system",
			calc.Spoken(out.Text)+" by the workbook's setting that days count from 1904; it was printed to count from "+
				"1900", "see whether the date that the workbook shows is right; if all dates are four years off, switch the setting back")
	}
}

func (r *reader) unreadable(out *calc.Reading, code, says, remedy string) {
	out.State = calc.Unreadable
	r.find(out, protocols.Error, code, says, remedy)
}

func (r *reader) find(out *calc.Reading, level protocols.Level, code, says, remedy string) {
	r.findings = append(r.findings, Finding{
		Level: level, Code: code, Sheet: out.Sheet, Ref: out.Ref, Key: out.Key, Entry: out.Printed, Raw: out.Raw, Says: says, Remedy: remedy,
	})
}
