package calc

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spatsheet/calc/quantity"
	"spatsheet/protocols"
)

// Shortage says what the site lacks for a batch and the largest batch that fits.
type Shortage struct {
	Lines []ShortLine
	Fits  []Value // the settings that make up the batch's size; empty when nothing fits
}

// ShortLine is one thing that runs short.
type ShortLine struct {
	What       string
	Needs, Has quantity.Quantity
}

// Error tells each shortage, by how much, and the largest batch that fits.
func (s *Shortage) Error() string {
	var b strings.Builder
	b.WriteString("this batch does not fit the site:")
	for _, l := range s.Lines {
		missing, err := l.Needs.Minus(l.Has)
		if err != nil { // Limits are compared in one dimension when the protocol is loaded
			missing = l.Needs
		}
		fmt.Fprintf(&b, "\n  %s: needs %s, the site has %s, short of %s", l.What, l.Needs.Format(0), l.Has.Format(0), missing.Format(0))
	}
	if len(s.Fits) == 0 {
		b.WriteString("\n  no smaller batch of this shape fits; free some equipment or change the plan's proportions")
		return b.String()
	}
	b.WriteString("\n  the largest batch of this shape that fits:")
	for i, v := range s.Fits {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %s %s", v.Setting.ID, v.Quantity.Format(0))
	}
	return b.String()
}

// shortLines compares what the batch needs with what the site has.
func shortLines(p *protocols.Protocol, values []Value, amounts []Amount) []ShortLine {
	var lines []ShortLine
	for _, l := range p.Limits {
		needs, has := find(values, amounts, l.Needs), find(values, amounts, l.Has)
		if order, err := needs.Compare(has); err == nil && order > 0 {
			lines = append(lines, ShortLine{What: l.What, Needs: needs, Has: has})
		}
	}
	return lines
}

func find(values []Value, amounts []Amount, id string) quantity.Quantity {
	for _, v := range values {
		if v.Setting.ID == id {
			return v.Quantity
		}
	}
	for _, a := range amounts {
		if a.Definition.ID == id {
			return a.Rounded
		}
	}
	return quantity.Quantity{}
}

// largestFit searches the largest share of the planned size that the site can hold,
// keeping the proportions of the plan: amounts never fall when a batch grows, so halving
// the interval finds it.
func largestFit(p *protocols.Protocol, site Site, values []Value) []Value {
	low, high := 0.0, 1.0
	var best []Value
	for range 40 {
		middle := (low + high) / 2
		scaled, ok := resize(values, middle)
		if !ok { // below a setting's range: too small to be a batch
			low = middle
			continue
		}
		amounts, err := compute(p, site, scaled)
		switch {
		case err != nil: // too small for the glassware
			low = middle
		case len(shortLines(p, scaled, amounts)) > 0:
			high = middle
		default:
			low, best = middle, scaled
		}
	}
	var out []Value
	for _, v := range best {
		if v.Setting.Scales {
			out = append(out, v)
		}
	}
	return out
}

// resize multiplies every setting of the batch's size, rounding whole things down and
// others to three figures downwards; ok is false when a setting leaves its range.
func resize(values []Value, by float64) (out []Value, ok bool) {
	out = make([]Value, len(values))
	for i, v := range values {
		out[i] = v
		if !v.Setting.Scales {
			continue
		}
		x := v.Quantity.Value() * by
		if v.Setting.Whole {
			x = math.Floor(x)
		} else if x > 0 {
			unit := math.Pow(10, math.Floor(math.Log10(x))-2)
			x = math.Floor(x/unit) * unit
		}
		if x < v.Setting.Low || x > v.Setting.High {
			return nil, false
		}
		q, err := quantity.New(x, v.Quantity.Unit())
		if err != nil {
			return nil, false
		}
		out[i].Quantity = q
	}
	return out, true
}

func sortedIDs(m map[string]Written) []string {
	ids := make([]string, 0, len(m))
	for id := range m {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}
