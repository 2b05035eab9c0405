package season

import (
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// Deviation is a finding that still stands, or a box marked as not done.
type Deviation struct {
	Batch, Level, Entry, Raw, Says string
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
	Standing         []Deviation // errors first, then warnings, then not done; by batch within
	Errors, Warnings int
	NotDone          int
	WithoutAny       int // batches with none of the three
	Corrections      []Correction
}

// deviations lists the findings of the latest revisions and the boxes marked not done;
// notes are left out.
func deviations(s Season, corrections []Correction) Deviations {
	out := Deviations{Corrections: corrections}
	var warnings, notDone []Deviation
	for _, b := range s.Batches {
		batch, clean := b.Sheet.Plan.Batch, true
		for _, f := range b.Findings {
			d := Deviation{Batch: batch, Level: string(f.Level), Entry: f.Entry, Raw: f.Raw, Says: f.Says}
			switch f.Level {
			case protocols.Error:
				out.Standing = append(out.Standing, d)
				out.Errors++
				clean = false
			case protocols.Warning:
				warnings = append(warnings, d)
				clean = false
			}
		}
		for _, r := range b.Readings {
			if r.State == calc.NotDone {
				notDone = append(notDone, Deviation{Batch: batch, Level: "not done", Entry: r.Printed, Raw: r.Raw, Says: "marked as not done"})
				clean = false
			}
		}
		if clean {
			out.WithoutAny++
		}
	}
	out.Warnings, out.NotDone = len(warnings), len(notDone)
	out.Standing = append(append(out.Standing, warnings...), notDone...)
	return out
}

// Changes lists the boxes whose readings differ between two revisions of one sheet.
//
// was and now in printed order of their sheets; boxes are matched by key, so that a sheet
// printed anew is compared where it is the same. The result is in the order of now.
func Changes(was, now []calc.Reading) []Change {
	before := map[calc.Key]calc.Reading{}
	for _, r := range was {
		before[r.Key] = r
	}
	var out []Change
	for _, r := range now {
		old, ok := before[r.Key]
		if !ok || old.State == r.State && old.Raw == r.Raw {
			continue
		}
		out = append(out, Change{Entry: r.Printed, Was: written(old), Now: written(r)})
	}
	return out
}

func written(r calc.Reading) string {
	if r.State == calc.Blank || r.Raw == "" {
		return string(calc.Blank)
	}
	return r.Raw
}
