package calc

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Shortage says what the site lacks for a batch and the largest batch that fits.
type Shortage struct {
	Lines []ShortLine
	Fits  []Value // the settings that make up the batch's size, all made smaller alike; empty when nothing fits
	Alone []Value // those that fit when they alone are made smaller, the rest as planned
}

// ShortLine is one thing that runs short.
type ShortLine struct {
	What       string
	Needs, Has quantity.Quantity
	OfSite     bool // Has is what the site has; else what the plan says there is
}

// misfit is what every shortage says first.
const misfit = "this batch does not fit the site:"

// Error tells each shortage, by how much, and the largest batch that fits, in a line each.
func (s *Shortage) Error() string { return misfit + "\n  " + strings.Join(s.parts(), "\n  ") }

// InOneLine says what Error says, without breaks.
func (s *Shortage) InOneLine() string { return misfit + " " + strings.Join(s.parts(), "; ") }

func (s *Shortage) parts() []string {
	var parts []string
	for _, l := range s.Lines {
		missing, err := l.Needs.Minus(l.Has)
		if err != nil { // Limits are compared in one dimension when the protocol is loaded
			missing = l.Needs
		}
		who := "there are"
		if l.OfSite {
			who = "the site has"
		}
		parts = append(parts, fmt.Sprintf("%s: needs %s, %s %s, short of %s", l.What, l.Needs.Format(0), who, l.Has.Format(0), missing.Format(0)))
	}
	switch {
	case len(s.Fits) > 0:
		parts = append(parts, "the largest batch of this shape that fits: "+valuesText(s.Fits, ", "))
	case len(s.Alone) == 0:
		parts = append(parts, "no smaller batch of this shape fits; free some equipment or change the plan's proportions")
	}
	if len(s.Alone) > 0 {
		parts = append(parts, "with the rest as planned this fits: "+valuesText(s.Alone, ", or "))
	}
	return parts
}

func valuesText(values []Value, between string) string {
	var list []string
	for _, v := range values {
		list = append(list, v.Setting.ID+" "+v.Quantity.Format(0))
	}
	return strings.Join(list, between)
}

// ofSize says whether a setting makes up the batch's size.
func ofSize(s *protocols.Setting) bool { return s.Scales }

// shortage tells what is short, and what fits.
func shortage(p *protocols.Protocol, site Site, values []Value, lines []ShortLine) *Shortage {
	s := &Shortage{Lines: lines}
	for _, v := range largestFit(p, site, values, ofSize) {
		if v.Setting.Scales {
			s.Fits = append(s.Fits, v)
		}
	}
	for i, v := range values {
		if !v.Setting.Scales {
			continue
		}
		if fit := largestFit(p, site, values, func(s *protocols.Setting) bool { return s == v.Setting }); fit != nil {
			s.Alone = append(s.Alone, fit[i])
		}
	}
	if len(s.Fits) == 1 { // it is the only one of the batch's size
		s.Alone = nil
	}
	return s
}

// shortLines compares what the batch needs with what the site has.
func shortLines(p *protocols.Protocol, values []Value, amounts []Amount) []ShortLine {
	var lines []ShortLine
	for _, l := range p.Limits {
		needs, has := find(values, amounts, l.Needs), find(values, amounts, l.Has)
		if order, err := needs.Compare(has); err == nil && order > 0 {
			ofSite := slices.ContainsFunc(values, func(v Value) bool { return v.Setting.ID == l.Has && v.From == protocols.BySite })
			lines = append(lines, ShortLine{What: l.What, Needs: needs, Has: has, OfSite: ofSite})
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

// largestFit searches the largest share of some settings that the site can hold, the others
// as they are: amounts never fall when a batch grows, so halving the interval finds it. All
// values, or nil where none fits.
func largestFit(p *protocols.Protocol, site Site, values []Value, shrinks func(*protocols.Setting) bool) []Value {
	low, high := 0.0, 1.0
	var best []Value
	for range 40 {
		middle := (low + high) / 2
		scaled, ok := resize(values, middle, shrinks)
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
	return best
}

// resize multiplies some settings, rounding whole things down and others to three figures
// downwards; ok is false when a setting leaves its range.
func resize(values []Value, by float64, shrinks func(*protocols.Setting) bool) (out []Value, ok bool) {
	out = make([]Value, len(values))
	for i, v := range values {
		out[i] = v
		if !shrinks(v.Setting) {
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
