package main

import (
	"fmt"
	"strconv"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// invented is what the demo's people wrote down where the sheet alone does not say it, by
// entry ("females_spawned") or column ("egg_counts.counted"): a value, or a list of values
// by row, the last one standing for the rows that follow.
type invented map[string]any

// fillIn invents a filled sheet: planned amounts where they were planned, times as
// planned, worked-out entries worked out, and the rest from what is given.
func fillIn(sheet *calc.Sheet, given invented) (map[calc.Key]any, error) {
	boxes := sheet.Boxes()
	readings := make([]calc.Reading, len(boxes))
	values := map[calc.Key]any{}
	for i, b := range boxes {
		v, ok := given.value(b)
		if !ok {
			v = plausible(sheet, b)
		}
		readings[i] = calc.Reading{Key: b.Key, State: calc.Blank}
		if v != nil {
			values[b.Key] = v
			readings[i] = asReading(b, v)
		}
	}
	for i, b := range boxes {
		if b.Entry.WorksOut == nil || values[b.Key] != nil {
			continue
		}
		base, ok, err := check.NewNumbers(sheet, readings).Number(b.Entry.WorksOut)
		if err != nil || !ok {
			return nil, fmt.Errorf("entry %s cannot be worked out: %v", b.Key, err)
		}
		// A person with a pocket calculator writes four figures.
		x, err := strconv.ParseFloat(strconv.FormatFloat(b.Entry.Unit.FromBase(base), 'g', 4, 64), 64)
		if err != nil {
			return nil, err
		}
		values[b.Key], readings[i] = x, asReading(b, x)
	}
	return values, nil
}

func (g invented) value(b calc.Box) (any, bool) {
	name := string(b.Key)
	if b.Table != nil {
		name = b.Table.ID + "." + b.Entry.ID
	}
	v, ok := g[name]
	list, isList := v.([]any)
	if !ok || !isList {
		return v, ok
	}
	return list[min(max(b.Row, 1), len(list))-1], true
}

// plausible is a value for a box that nobody invented one for; nil leaves it blank.
func plausible(sheet *calc.Sheet, b calc.Box) any {
	switch b.Entry.Kind {
	case protocols.KindText:
		if b.Entry.ID == "checked" {
			return "MO"
		}
		return "TK"
	case protocols.KindChoice:
		return b.Entry.Choices[0]
	case protocols.KindDate:
		return stepTime(sheet, b).AddDate(0, 0, max(b.Row, 1)-1).Truncate(24 * time.Hour)
	case protocols.KindTime:
		return stepTime(sheet, b).Add(time.Duration(max(b.Row, 1)-1) * time.Hour)
	}
	if b.Planned != nil {
		if q, err := b.Wanted().In(b.Entry.Unit); err == nil {
			return q.Value()
		}
	}
	return nil
}

// stepTime is a step's planned time, or for a step without one that of the last before.
func stepTime(sheet *calc.Sheet, b calc.Box) time.Time {
	for i := b.Step; i >= 0; i-- {
		if t := sheet.Steps[i].Time; !t.IsZero() {
			return t
		}
	}
	return sheet.Plan.Start
}

func asReading(b calc.Box, v any) calc.Reading {
	r := calc.Reading{Key: b.Key, State: calc.Given}
	switch x := v.(type) {
	case float64:
		r.Number = x
	case int:
		r.Number = float64(x)
	case time.Time:
		r.Number = float64(x.Unix())
	default:
		r.State = calc.Unreadable
	}
	return r
}
