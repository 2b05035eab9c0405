package season

import (
	"strings"
	"time"

	"spatsheet/calc"
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

// larvalCurves lists every table that counts larvae over time.
//
// Readings it goes by: a column alive in larvae, with a column age or at in the same
// table or, row by row, in another table of the same step; before it the first of
// larvae_hatched and larvae_stocked as the first count, at hatched_at or stocked_at;
// fertilised_at or sperm_added_at as the start of the age.
// Source: shares of the first count; arithmetic. Every count is an estimate from
// subsamples: a curve that rises by chance is drawn as it is.
func larvalCurves(all []filled) []LarvalCurve {
	var out []LarvalCurve
	for _, f := range all {
		for _, t := range f.tables {
			e, ok := t.has("alive")
			if !ok || e.Unit.Symbol() != "larvae" {
				continue
			}
			if c := larvalCurve(f, t); len(c.Points) >= 2 && c.Points[0].Alive > 0 {
				for i := range c.Points {
					c.Points[i].Share = c.Points[i].Alive / c.Points[0].Alive
				}
				out = append(out, c)
			}
		}
	}
	return out
}

func larvalCurve(f filled, t filledTable) LarvalCurve {
	sheet := f.batch.Sheet
	c := LarvalCurve{Batch: sheet.Plan.Batch, Species: sheet.Plan.Species, Protocol: sheet.Protocol.Ref()}
	zero := sheet.Plan.Start
	for _, key := range []string{"fertilised_at", "sperm_added_at"} {
		if at, ok := f.at(key); ok {
			zero, c.FromFertilised = at, true
			break
		}
	}
	for _, first := range [][2]string{{"larvae_hatched", "hatched_at"}, {"larvae_stocked", "stocked_at"}} {
		alive, ok := f.number(first[0])
		at, timed := f.at(first[1])
		if ok && timed && f.before(first[0], t) {
			c.Points = append(c.Points, LarvalPoint{Days: days(zero, at), Alive: alive})
			break
		}
	}
	for _, count := range f.column(t, "alive") {
		if day, ok := f.rowDays(t, count.row, zero, c.FromFertilised); ok {
			c.Points = append(c.Points, LarvalPoint{Days: day, Alive: count.number})
		}
	}
	return c
}

func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

// before tells whether a single entry is printed before a table.
func (f filled) before(key string, t filledTable) bool {
	return f.numbers.Before(calc.Key(key), calc.RowKey(t.definition.ID, 1, t.definition.Columns[0].ID))
}

// rowDays finds when a row was read, in days: by its time, or by its age in hours.
func (f filled) rowDays(t filledTable, row int, zero time.Time, aged bool) (float64, bool) {
	for _, other := range append([]filledTable{t}, f.tables...) {
		if other.step != t.step || len(other.labels) != len(t.labels) {
			continue
		}
		name := other.definition.ID
		if at, ok := f.at(string(calc.RowKey(name, row, "at"))); ok {
			return days(zero, at), true
		}
		if e, ok := other.has("age"); ok && aged && strings.HasPrefix(e.Unit.Symbol(), "h") {
			if hours, ok := f.number(string(calc.RowKey(name, row, "age"))); ok {
				return hours / 24, true
			}
		}
	}
	return 0, false
}
