package demo

import (
	"maps"

	"spatsheet/calc"
	"spatsheet/calc/example"
)

// invented is what the demo's people wrote down, by entry ("females_spawned") or column
// ("egg_counts.counted"): a value, or a list of values by row, the last one standing for
// the rows that follow. The rest is filled in from the protocol's examples.
type Invented map[string]any

// onto gives the values of a sheet's boxes.
func (g Invented) Onto(sheet *calc.Sheet) example.Values {
	values := example.Values{}
	for _, b := range sheet.Boxes() {
		name := string(b.Key)
		if b.Table != nil {
			name = b.Table.ID + "." + b.Entry.ID
		}
		v, ok := g[name]
		if !ok {
			continue
		}
		if list, isList := v.([]any); isList {
			v = list[min(max(b.Row, 1), len(list))-1]
		}
		values[b.Key] = v
	}
	return values
}

// and gives both, other going before g; neither is changed.
func (g Invented) and(other Invented) Invented {
	out := Invented{}
	maps.Copy(out, g)
	maps.Copy(out, other)
	return out
}
