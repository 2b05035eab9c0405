// Package season compiles many filled batches into one season: survival by stage for
// each batch, and pooled over the season.
//
// What may enter: scaled sheets, readings, findings. What may not: files, the season log,
// printed forms.
package season

import (
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Batch is one collected batch, as its latest revision stands.
type Batch struct {
	Sheet    *calc.Sheet
	Readings []calc.Reading
	Findings []check.Finding
	Revision int
	told     *Told
}

// Ready works out what a season asks of the batch, once for everything that asks; Compile
// does it for those that are not. Goroutines may ready several batches at once.
func (b Batch) Ready() Batch {
	if b.told == nil {
		b.told = newTold(b)
	}
	return b
}

// Brief is Ready without the readings and findings themselves and without the boxes they
// stood in, which a Season's report and what is wrong between its batches do not ask for
// again; tables of readings do.
func (b Batch) Brief() Batch {
	b = b.Ready()
	b.Sheet, b.Readings, b.Findings = b.Sheet.Brief(), nil, nil
	return b
}

func (b Batch) Told() *Told { return b.Ready().told }

// Planned is a batch of which nothing is written down yet.
func Planned(sheet *calc.Sheet) Batch {
	b := Batch{Sheet: sheet}
	for _, box := range sheet.Boxes() {
		b.Readings = append(b.Readings, calc.Reading{Key: box.Key, Printed: box.Printed, State: calc.Blank})
	}
	return b
}

// Stage is how one batch fared in one stage of life.
type Stage struct {
	Batch, Protocol, Species string
	Start                    time.Time
	ID, Label                string
	In, Out                  float64
	InUnit, OutUnit          string
	InFrom, OutFrom          string // the formulas, over readings, amounts and settings
	HasIn, HasOut            bool
	Survival                 float64 // Out / In, where HasSurvival
	HasSurvival              bool
	Note                     string // why a number is missing, or looks wrong
}

// Pooled is one stage over all batches of one species by one protocol version:
// everything out over everything in. Stages with a note (a missing count, more out than
// in) are left out.
type Pooled struct {
	Protocol, Species, ID, Label string
	Batches                      int
	In, Out                      float64
	InUnit, OutUnit              string
	Survival                     float64
}

// Finding is a finding across batches, and the batch it is shown at.
type Finding struct {
	Batch string `json:"batch"`
	check.Finding
}

// Season is everything compiled.
type Season struct {
	Batches []Batch
	Stages  []Stage
	Pooled  []Pooled
	Across  []Finding // what is wrong between batches
}

// Stages works out every stage of a batch, in the protocol's order.
//
// A stage whose counts are not all there has no survival, and says so in Note; more out
// than in is kept as it is and noted.
// Source: S = out / in; arithmetic.
func Stages(b Batch) []Stage { return b.Told().stages }

func stagesOf(b Batch, numbers check.Numbers) []Stage {
	var out []Stage
	for i := range b.Sheet.Protocol.Stages {
		def := &b.Sheet.Protocol.Stages[i]
		st := Stage{
			Batch: b.Sheet.Plan.Batch, Protocol: b.Sheet.Protocol.Ref(), Species: b.Sheet.Plan.Species, Start: b.Sheet.Plan.Start,
			ID: def.ID, Label: def.Label, InUnit: def.InUnit.Symbol(), OutUnit: def.OutUnit.Symbol(),
			InFrom: def.In.String(), OutFrom: def.Out.String(),
		}
		st.fill(numbers, def)
		out = append(out, st)
	}
	return out
}

func (st *Stage) fill(numbers check.Numbers, def *protocols.StageCount) {
	in, hasIn, errIn := numbers.Number(def.In)
	out, hasOut, errOut := numbers.Number(def.Out)
	if hasIn {
		st.In, st.HasIn = def.InUnit.FromBase(in), true
	}
	if hasOut {
		st.Out, st.HasOut = def.OutUnit.FromBase(out), true
	}
	switch {
	case errIn != nil:
		st.Note = errIn.Error()
	case errOut != nil:
		st.Note = errOut.Error()
	case !hasIn || !hasOut:
		st.Note = "a count is missing"
	case st.In <= 0:
		st.Note = "nothing went in"
	default:
		st.Survival, st.HasSurvival = st.Out/st.In, true
		if st.Out > st.In*(1+1e-9) {
			st.Note = "more came out than went in: see the findings"
		}
	}
}

// Confidence is that of every interval in the season report; site choice.
const Confidence = 0.95
