package season

import (
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// LarvalCurve is the larvae of one batch as counted at the changes of water.
type LarvalCurve struct {
	Batch, Species, Protocol string
	FromFertilised           bool // days count from fertilisation, else from the batch's start
	Points                   []LarvalPoint
}

// LarvalPoint is one count.
type LarvalPoint struct {
	Days  float64
	Alive float64 // larvae in all, an estimate from subsamples
	Share float64 // of the first count
}

// larvalCurves lists every series of larvae counted over time.
//
// Source: shares of the first count; arithmetic. Every count is an estimate from
// subsamples: a curve that rises by chance is drawn as it is.
func larvalCurves(all []filled) []LarvalCurve {
	var out []LarvalCurve
	for _, f := range all {
		for i := range f.tells.Larvae {
			if c := larvalCurve(f, &f.tells.Larvae[i]); len(c.Points) >= 2 && c.Points[0].Alive > 0 {
				for i := range c.Points {
					c.Points[i].Share = c.Points[i].Alive / c.Points[0].Alive
				}
				out = append(out, c)
			}
		}
	}
	return out
}

func larvalCurve(f filled, t *protocols.TellsLarvae) LarvalCurve {
	sheet := f.batch.Sheet
	c := LarvalCurve{Batch: sheet.Plan.Batch, Species: sheet.Plan.Species, Protocol: sheet.Protocol.Ref()}
	zero := sheet.Plan.Start
	if at, ok := f.at(t.Fertilised, 1); ok {
		zero, c.FromFertilised = at, true
	}
	if at, ok := f.at(t.FirstAt, 1); ok {
		if first := f.number(t.First); first.Has {
			c.Points = append(c.Points, LarvalPoint{Days: days(zero, at), Alive: first.Number})
		}
	}
	for _, count := range f.column(t.Alive) {
		if at, ok := f.at(t.At, count.row); ok {
			c.Points = append(c.Points, LarvalPoint{Days: days(zero, at), Alive: count.number})
		} else if age, ok := f.reading(t.Age, count.row); ok && c.FromFertilised {
			c.Points = append(c.Points, LarvalPoint{Days: oneDay.FromBase(t.Age.Entry.Unit.Base(age.Number)), Alive: count.number})
		}
	}
	return c
}

var oneDay = quantity.MustUnit("d")
