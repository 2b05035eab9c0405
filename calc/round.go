package calc

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"spatsheet/protocols"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// coarsest is the largest share by which rounding to a graduation may change an amount;
// beyond it the glassware does not serve and the plan is refused. Common practice, no
// source: volumetric work wants 1 %, a 10 % slip on a bench dose is past any tolerance.
const coarsest = 0.1

// round applies an amount's rounding rule, dividing it over parts vessels.
func round(a *protocols.Amount, exact quantity.Quantity, parts int, measures []Measure) (Amount, error) {
	if parts < 1 {
		return Amount{}, fmt.Errorf("is split over %d vessels; there must be at least one", parts)
	}
	switch a.Round.To {
	case protocols.RoundWhole:
		return inSteps(a, exact, 1, parts, string(a.Round.Direction)+" to "+wholeOf(a.Unit))
	case protocols.RoundMeasure:
		return inMeasure(a, exact, parts, measures)
	case protocols.RoundFigures:
		x, err := strconv.ParseFloat(strconv.FormatFloat(exact.Value(), 'e', a.Round.Figures-1, 64), 64)
		if err != nil {
			return Amount{}, err
		}
		rounded, err := quantity.New(x, a.Unit)
		return Amount{Rounded: rounded, Rule: fmt.Sprintf("to %d significant figures", a.Round.Figures)}, err
	}
	return Amount{Rounded: exact, Rule: "not rounded"}, nil
}

func wholeOf(u quantity.Unit) string {
	if u.Print() == "" {
		return "a whole number"
	}
	return "whole " + u.Print()
}

// inMeasure rounds to the graduation of the smallest measure that holds one vessel's
// part; where none holds it, the largest measure is used several times over.
func inMeasure(a *protocols.Amount, exact quantity.Quantity, parts int, measures []Measure) (Amount, error) {
	part, err := quantity.New(exact.Value()/float64(parts), a.Unit)
	if err != nil {
		return Amount{}, err
	}
	m, ok := chooseMeasure(part, measures)
	if !ok {
		return Amount{}, fmt.Errorf("the site lists no measure for a %s; add one to the site file", a.Unit.Dimension())
	}
	step, err := m.Step.In(a.Unit)
	if err != nil {
		return Amount{}, err
	}
	out, err := inSteps(a, exact, step.Value(), parts, string(a.Round.Direction)+" to "+m.Step.String()+", "+m.Label)
	if err != nil || exact.Value() == 0 {
		return out, err
	}
	if change := math.Abs(out.Rounded.Value()-exact.Value()) / exact.Value(); change > coarsest {
		return Amount{}, fmt.Errorf("%s cannot be measured with the %s, graduated to %s (off by %.0f %%); make a "+
			"dilution, list a finer measure in the site file, or plan a larger batch",
			part.Format(3), m.Label, m.Step, change*100)
	}
	return out, nil
}

func chooseMeasure(part quantity.Quantity, measures []Measure) (Measure, bool) {
	var best, largest Measure
	var found, any bool
	for _, m := range measures {
		if m.Holds.Dimension() != part.Dimension() { // another kind: a balance for a volume
			continue
		}
		order, err := m.Holds.Compare(part)
		if err != nil {
			continue
		}
		if !any || m.Holds.Base() > largest.Holds.Base() {
			largest, any = m, true
		}
		if order >= 0 && (!found || m.Holds.Base() < best.Holds.Base()) {
			best, found = m, true
		}
	}
	if found {
		return best, true
	}
	return largest, any
}

// inSteps rounds to a whole number of steps and deals the steps out over the parts, the
// first ones getting one more where they do not divide; so the parts add up exactly.
func inSteps(a *protocols.Amount, exact quantity.Quantity, step float64, parts int, rule string) (Amount, error) {
	steps := inDirection(a.Round.Direction, exact.Value()/step)
	if steps > 1e15 {
		return Amount{}, fmt.Errorf("%s is too large", exact.Format(3))
	}
	rounded, err := multiple(int64(steps), step, a.Unit)
	if err != nil {
		return Amount{}, err
	}
	out := Amount{Rounded: rounded, Rule: rule}
	if a.Split == "" {
		return out, nil
	}
	each, more := int64(steps)/int64(parts), int(int64(steps)%int64(parts))
	less, err := multiple(each, step, a.Unit)
	if err != nil {
		return Amount{}, err
	}
	out.Parts = slices.Repeat([]quantity.Quantity{less}, parts)
	if more == 0 {
		return out, nil
	}
	larger, err := multiple(each+1, step, a.Unit)
	if err != nil {
		return Amount{}, err
	}
	copy(out.Parts, slices.Repeat([]quantity.Quantity{larger}, more))
	return out, nil
}

func inDirection(d protocols.Direction, x float64) float64 {
	switch d {
	case protocols.Up:
		return formula.RoundUp(x)
	case protocols.Down:
		return formula.RoundDown(x)
	}
	return math.Round(x)
}

// multiple is n steps, cleaned of binary rounding: 3 × 0.1 mL is 0.3 mL.
func multiple(n int64, step float64, unit quantity.Unit) (quantity.Quantity, error) {
	x := float64(n) * step
	if x == math.Trunc(x) && x < 1e15 { // has no more than 15 digits
		return quantity.New(x, unit)
	}
	x, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 14, 64), 64)
	if err != nil {
		return quantity.Quantity{}, err
	}
	return quantity.New(x, unit)
}
