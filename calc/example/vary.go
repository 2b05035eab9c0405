package example

import (
	"math"
	"strconv"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Vary gives another value for a box in place of the protocol's example, in the entry's
// unit. It must be pure: the same box and value always give the same answer, so chance is
// the caller's, seeded there.
type Vary func(box calc.Box, plain float64) float64

// shares are how much of a variation is tried, largest first, before it is given up.
var shares = []float64{1, 0.4}

// FillVaried is Fill with the examples varied, as batches differ from one another.
//
// vary is asked for every number and count that comes from an example; what is planned,
// worked out or given stays. A variation that would bring a finding that the plain sheet
// does not have is tried smaller, entry by entry, and then left out: a plausible sheet
// stays free of findings, and given mistakes stay the only ones.
// Range: as Fill. Source: common practice, no source.
func FillVaried(sheet *calc.Sheet, given Values, vary Vary) (Values, error) {
	best, err := Fill(sheet, given)
	if err != nil {
		return nil, err
	}
	v := &varier{sheet: sheet, given: given, vary: vary, share: map[*protocols.Entry]float64{}, best: best, plain: findings(sheet, best)}
	for _, share := range shares {
		v.try(v.entries(), share)
	}
	return v.best, nil
}

type varier struct {
	sheet *calc.Sheet
	given Values
	vary  Vary
	share map[*protocols.Entry]float64 // of the variation, by entry; what is kept so far
	best  Values
	plain map[string]bool // findings that the plain sheet has
}

// entries lists what is not varied yet, has an example and would differ, in the order of
// the sheet.
func (v *varier) entries() []*protocols.Entry {
	var list []*protocols.Entry
	seen := map[*protocols.Entry]bool{}
	for _, b := range v.sheet.Boxes() {
		e := b.Entry
		if _, done := v.share[e]; done || seen[e] || e.Example.Formula == nil || e.WorksOut != nil {
			continue
		}
		if x, isNumber := v.best[b.Key].(float64); isNumber && v.vary(b, x) != x {
			seen[e] = true
			list = append(list, e)
		}
	}
	return list
}

// try varies a list of entries together; where that brings findings, each half by itself.
func (v *varier) try(list []*protocols.Entry, share float64) {
	if len(list) == 0 {
		return
	}
	for _, e := range list {
		v.share[e] = share
	}
	values, err := v.fill()
	if err == nil && v.brings(values) == 0 {
		v.best = values
		return
	}
	for _, e := range list {
		delete(v.share, e)
	}
	if half := len(list) / 2; half > 0 {
		v.try(list[:half], share)
		v.try(list[half:], share)
	}
}

func (v *varier) fill() (Values, error) {
	return fill(v.sheet, v.given, func(b calc.Box, plain float64) float64 {
		share, ok := v.share[b.Entry]
		if !ok {
			return plain
		}
		x := plain + share*(v.vary(b, plain)-plain)
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return plain
		}
		return x
	})
}

// brings counts the findings that the plain sheet does not have.
func (v *varier) brings(values Values) int {
	n := 0
	for f := range findings(v.sheet, values) {
		if !v.plain[f] {
			n++
		}
	}
	return n
}

// findings are what the checks would say of a sheet filled in so: each what, and where.
func findings(sheet *calc.Sheet, values Values) map[string]bool {
	filled := &calc.Filled{Cells: map[calc.Key]calc.Cell{}}
	for key, value := range values {
		filled.Cells[key] = cellOf(value)
	}
	out := map[string]bool{}
	for _, f := range check.Sheet(sheet, filled).Findings {
		out[f.Code+" at "+string(f.Key)] = true
	}
	return out
}

func cellOf(value any) calc.Cell {
	switch x := value.(type) {
	case float64:
		return calc.Cell{Kind: calc.CellNumber, Number: x, Text: strconv.FormatFloat(x, 'g', -1, 64)}
	case int:
		return cellOf(float64(x))
	case string:
		return calc.Cell{Kind: calc.CellText, Text: x}
	}
	if t, ok := value.(time.Time); ok {
		serial := t.Sub(daysFrom).Hours() / 24
		return calc.Cell{Kind: calc.CellNumber, Number: serial, Text: strconv.FormatFloat(serial, 'g', -1, 64), DateLike: true}
	}
	return calc.Cell{}
}

// daysFrom is the day from which workbooks count days.
// Exact. Source: ECMA-376 part 1, 18.17.4 (date systems), from memory.
var daysFrom = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
