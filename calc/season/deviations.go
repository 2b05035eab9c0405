package season

import (
	"math"
	"strconv"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Deviation is what still stands in one batch: a finding, told of one box or of several,
// or boxes marked as not done.
type Deviation struct {
	Batch, Level, Says string
	Entries            []string // as printed
	Written            string   // what is written there, a date or time as it was read, where it is the same in all
}

// Correction is a revision after the first: who collected it again said why.
type Correction struct {
	Batch   string
	Number  int // revision
	At      time.Time
	Reason  string
	Changes []Change
}

// Change is one box that a correction changed.
type Change struct{ Entry, Was, Now string }

// Deviations are the departures from protocols in a season, and what was corrected.
type Deviations struct {
	Standing         []Deviation // between batches first, then errors, then warnings, then not done; by batch within
	Errors, Warnings int         // findings
	NotDone          int         // boxes, whether or not the protocol asks for them
	Between          int         // findings between batches, errors and warnings
	WithoutAny       int         // batches with none of their own
	Corrections      []Correction
}

// ownDeviations are those of one batch.
type ownDeviations struct {
	byLevel                   [3][]Deviation // errors, warnings, not done
	errors, warnings, notDone int            // findings, and boxes
}

// deviationsOf lists a batch's findings, and boxes marked not done that no finding tells
// of; notes are left out.
func deviationsOf(b Batch) ownDeviations {
	var out ownDeviations
	batch, told := b.Sheet.Plan.Batch, map[calc.Key]bool{}
	for _, f := range b.Findings {
		d := Deviation{Batch: batch, Level: string(f.Level), Says: f.Says, Entries: []string{f.Entry}, Written: writtenAt(b, f)}
		switch f.Level {
		case protocols.Error:
			out.byLevel[0] = join(out.byLevel[0], d)
			out.errors++
		case protocols.Warning:
			out.byLevel[1] = join(out.byLevel[1], d)
			out.warnings++
		}
		told[f.Key] = true
	}
	for _, r := range b.Readings {
		if r.State != calc.NotDone {
			continue
		}
		out.notDone++
		if !told[r.Key] {
			out.byLevel[2] = join(out.byLevel[2], Deviation{Batch: batch, Level: "not done", Says: "marked as not done", Entries: []string{r.Printed}, Written: r.Raw})
		}
	}
	return out
}

// writtenAt is what stands in a finding's box for people: a date or time that was
// understood as it was read, 2027-02-20 07:05, where a workbook may store 46438.295...
func writtenAt(b Batch, f check.Finding) string {
	i, ok := b.Sheet.BoxAt(f.Key)
	if !ok || i >= len(b.Readings) {
		return f.Raw
	}
	r, kind := b.Readings[i], b.Sheet.Boxes()[i].Entry.Kind
	if kind != protocols.KindDate && kind != protocols.KindTime || r.State != calc.Given || r.Text == "" {
		return f.Raw
	}
	return calc.Spoken(r.Text)
}

// deviations lists those of the latest revisions, and what is wrong between batches.
func deviations(s Season, corrections []Correction) Deviations {
	out := Deviations{Corrections: corrections}
	var byLevel [3][]Deviation
	for _, b := range s.Batches {
		own := b.Told().deviations
		for i := range byLevel {
			for _, d := range own.byLevel[i] {
				byLevel[i] = join(byLevel[i], d)
			}
		}
		out.Errors, out.Warnings, out.NotDone = out.Errors+own.errors, out.Warnings+own.warnings, out.NotDone+own.notDone
		if own.errors+own.warnings+own.notDone == 0 {
			out.WithoutAny++
		}
	}
	for _, f := range s.Across {
		if f.Level == protocols.Note {
			continue
		}
		out.Between++
		out.Standing = join(out.Standing, Deviation{Batch: f.Batch, Level: "between batches, " + string(f.Level),
			Says: f.Says, Entries: []string{f.Entry}, Written: f.Raw})
	}
	for _, list := range byLevel {
		out.Standing = append(out.Standing, list...)
	}
	return out
}

// join adds a deviation, to one of the same batch that says the same if there is one; a
// batch's deviations stand together.
func join(list []Deviation, d Deviation) []Deviation {
	for i := len(list) - 1; i >= 0 && list[i].Batch == d.Batch; i-- {
		if l := &list[i]; l.Says == d.Says {
			l.Entries = append(l.Entries, d.Entries...)
			if l.Written != d.Written {
				l.Written = ""
			}
			return list
		}
	}
	return append(list, d)
}

// Changes lists the boxes whose readings differ between two revisions of one sheet.
//
// was and now in printed order of their sheets; boxes are matched by key, so that a sheet
// printed anew is compared where it is the same. Stored numbers, days and times are
// compared as read: an office program that saves a workbook anew writes their digits
// otherwise. The result is in the order of now.
func Changes(was, now []calc.Reading) []Change {
	before := map[calc.Key]calc.Reading{}
	for _, r := range was {
		before[r.Key] = r
	}
	var out []Change
	for _, r := range now {
		old, ok := before[r.Key]
		if !ok || same(old, r) {
			continue
		}
		out = append(out, Change{Entry: r.Printed, Was: written(old), Now: written(r)})
	}
	return out
}

// sameDigits is how far apart two numbers may be that are one number written twice, as a
// share of the larger. Our choice: 12 significant digits; office programs keep 15.
const sameDigits = 1e-12

// same says whether two readings of a box are one.
func same(a, b calc.Reading) bool {
	if a.State != b.State || a.Raw == b.Raw {
		return a.State == b.State
	}
	if !isStoredNumber(a) || !isStoredNumber(b) || a.Unit != b.Unit || a.Text != b.Text {
		return false
	}
	return math.Abs(a.Number-b.Number) <= sameDigits*max(math.Abs(a.Number), math.Abs(b.Number))
}

// isStoredNumber says whether a reading is a number, a day or a time whose digits a program
// stored. A text or choice has its text alone; 13,4 was typed, and who makes 13.4 of it has
// corrected it.
func isStoredNumber(r calc.Reading) bool {
	_, err := strconv.ParseFloat(r.Raw, 64)
	return err == nil && r.State == calc.Given && (r.Text == "" || r.Number != 0)
}
