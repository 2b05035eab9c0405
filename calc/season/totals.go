package season

import (
	"slices"
	"time"

	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Total is what the batches of one species by one protocol handed over of one kind.
type Total struct {
	Species, Protocol, ID, Label, Unit string // Protocol without version
	Batches                            int
	Number                             float64 // summed, of what can be summed; else the mean
	Mean                               bool    // a share or a density: Number is the mean of the batches
}

// HandedOver is what one batch leaves for the next one, such as competent larvae.
type HandedOver struct {
	ID, Label, Unit, From string // From: the formula, over readings, amounts and settings
	Number                float64
	Has                   bool
	Err                   error // why it has no finite number, where its readings are there
}

// HandsOver works out everything a batch hands over, in the protocol's order.
//
// b as collected; numbers in Unit. Has is false where a reading is missing.
// Range: every batch.
// Source: the protocol's own formulas (see protocols.HandOver).
func HandsOver(b Batch) []HandedOver {
	var out []HandedOver
	for _, h := range b.Told().Handed {
		out = append(out, h.HandedOver)
	}
	return out
}

func handedBy(b Batch, numbers check.Numbers, written []time.Time) []handed {
	var out []handed
	for _, h := range b.Sheet.Protocol.HandsOver {
		x := handed{HandedOver: HandedOver{ID: h.ID, Label: h.Label, Unit: h.Unit.Symbol(), From: h.Formula.String()}}
		base, ok, err := numbers.Number(h.Formula)
		if x.Err = err; ok {
			x.Base, x.Number, x.Has = base, h.Unit.FromBase(base), true
		}
		for _, name := range h.Formula.Names() {
			if i, ok := b.Sheet.BoxNamed(name); ok {
				if at := WhenOf(b.Sheet, written, b.Sheet.Boxes()[i].Step); at.After(x.Ready) {
					x.Ready = at
				}
			}
		}
		out = append(out, x)
	}
	return out
}

// totals adds up what batches hand over, by species and protocol. Shares and densities
// are not added up: their mean is given.
func totals(s Season) []Total {
	var out []Total
	index := map[[3]string]int{}
	for _, b := range s.Batches {
		for _, h := range b.Told().Handed {
			if !h.Has {
				continue
			}
			key := [3]string{b.Sheet.Plan.Species, b.Sheet.Protocol.ID, h.ID}
			i, there := index[key]
			if !there {
				i = len(out)
				index[key] = i
				out = append(out, Total{Species: key[0], Protocol: key[1], ID: h.ID, Label: h.Label, Unit: h.Unit, Mean: !summable(h.Unit)})
			}
			t := &out[i]
			t.Batches++
			if t.Mean {
				t.Number += (h.Number - t.Number) / float64(t.Batches)
			} else {
				t.Number += h.Number
			}
		}
	}
	return out
}

// Apart is what is handed over of a stage's count out, but is another number: the protocol
// works it out from more readings, such as the share of larvae that creep.
type Apart struct {
	Protocol, Label, From string // Protocol without version; From: the formula
	Stage, OutFrom        string // the stage's label, and the formula of its count out
}

// handedApart lists those among what the batches handed over, each once.
func handedApart(s Season) []Apart {
	var out []Apart
	seen := map[[2]string]bool{}
	for _, b := range s.Batches {
		p := b.Sheet.Protocol
		for i, h := range b.Told().Handed {
			if key := [2]string{p.Ref(), h.ID}; h.Has && !seen[key] {
				seen[key] = true
				out = apartFrom(out, p, &p.HandsOver[i])
			}
		}
	}
	return out
}

// apartFrom adds the stages whose count out is in what is handed over, but is not all.
func apartFrom(list []Apart, p *protocols.Protocol, h *protocols.HandOver) []Apart {
	names := h.Formula.Names()
	for i := range p.Stages {
		st := &p.Stages[i]
		own := st.Out.Names()
		if st.OutUnit.Symbol() != h.Unit.Symbol() || len(own) == 0 || len(own) >= len(names) {
			continue
		}
		if !slices.ContainsFunc(own, func(name string) bool { return !slices.Contains(names, name) }) {
			list = AppendNew(list, Apart{p.ID, h.Label, h.Formula.String(), st.Label, st.Out.String()})
		}
	}
	return list
}

// summable are the things counted.
func summable(unit string) bool {
	switch unit {
	case "animals", "eggs", "larvae", "spat", "cells", "plates":
		return true
	}
	return false
}

// Collection is one day on the shore, as a permit office asks for it.
type Collection struct {
	Batch, Species, Shore, Permit                string
	Start                                        time.Time
	Taken, Returned, Kept, Injured, Dead, Landed Figure
}

// collections lists the shore collections whose animals taken are told.
func collections(all []filled) []Collection {
	var out []Collection
	for _, f := range all {
		c := f.tells.Collection
		if c == nil || !f.number(c.Taken).Has {
			continue
		}
		p := f.batch.Sheet.Plan
		out = append(out, Collection{
			Batch: p.Batch, Species: p.Species, Shore: f.words(c.Shore), Permit: f.words(c.Permit), Start: p.Start,
			Taken: f.number(c.Taken), Returned: f.number(c.Returned), Kept: f.number(c.Kept),
			Injured: f.number(c.Injured), Dead: f.number(c.Dead), Landed: f.number(c.Landed),
		})
	}
	return out
}

// Outplanting is one out-planting, as a permit office asks for it.
type Outplanting struct {
	Batch, Species, Shore, Permit, Parents, Mark string
	Start                                        time.Time
	Released, Lost, Seen, Shells                 Figure
	LastVisit                                    time.Time
	HasVisit                                     bool
}

// outplantings lists the out-plantings whose animals released are told.
func outplantings(all []filled) []Outplanting {
	var out []Outplanting
	for _, f := range all {
		t := f.tells.Release
		if t == nil || !f.number(t.Released).Has {
			continue
		}
		p := f.batch.Sheet.Plan
		r := Outplanting{
			Batch: p.Batch, Species: p.Species, Shore: f.words(t.Shore), Permit: f.words(t.Permit), Parents: f.words(t.Parents), Mark: f.words(t.Mark), Start: p.Start,
			Released: f.number(t.Released), Lost: f.number(t.Lost), Shells: f.number(t.Shells),
		}
		if live := f.column(t.VisitLive); len(live) > 0 {
			last := live[len(live)-1]
			r.Seen = Figure{last.number, true}
			r.LastVisit, r.HasVisit = f.at(t.VisitDate, last.row)
		}
		out = append(out, r)
	}
	return out
}
