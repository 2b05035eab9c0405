package formula

import (
	"fmt"
	"strings"

	"spatsheet/protocols/quantity"
)

// measure is a unit in which Thing or Any may stand, to the power 1 or -1.
type measure struct {
	unit     quantity.Unit
	variable string
	power    int
}

func parseMeasure(text string) (measure, error) {
	m := measure{}
	over, under, divided := strings.Cut(text, "/")
	parts := append([]string{over}, strings.Split(under, "/")...)
	if !divided {
		parts = parts[:1]
	}
	for i, part := range parts {
		if part != Thing && part != Any {
			continue
		}
		if m.variable != "" {
			return m, fmt.Errorf("unit %q: %s may stand in it once", text, part)
		}
		m.variable, m.power = part, -1
		parts[i] = ""
		if i == 0 {
			m.power, parts[0] = 1, "1"
		}
	}
	rest := parts[0]
	for _, part := range parts[1:] {
		if part != "" {
			rest += "/" + part
		}
	}
	var err error
	m.unit, err = quantity.ParseUnit(rest)
	return m, err
}

// holds works out what Thing or Any stands for when a part of dimension d is put in; ok is
// false when that cannot be.
func (m measure) holds(d quantity.Dimension, stands *quantity.Dimension, bound *bool) bool {
	if m.variable == "" {
		return d == m.unit.Dimension()
	}
	thing, err := d.Over(m.unit.Dimension())
	if err == nil && m.power < 0 {
		thing, err = quantity.None.Over(thing)
	}
	if err != nil {
		return false
	}
	if *bound {
		return thing == *stands
	}
	if _, count := thing.CountOf(); m.variable == Thing && !count && thing != quantity.None {
		return false
	}
	*stands, *bound = thing, true
	return true
}

// dimension is that of the measure when Thing or Any stands for a dimension.
func (m measure) dimension(stands quantity.Dimension) (quantity.Dimension, error) {
	if m.variable == "" {
		return m.unit.Dimension(), nil
	}
	if m.power < 0 {
		return m.unit.Dimension().Over(stands)
	}
	return m.unit.Dimension().Times(stands)
}

// wanted says in which unit an argument is wanted.
func (m measure) wanted(stands quantity.Dimension, bound bool) string {
	if m.variable == "" {
		return fmt.Sprintf("%s (%s)", unitOrNone(m.unit), m.unit.Dimension())
	}
	if bound {
		if d, err := m.dimension(stands); err == nil {
			return strings.TrimPrefix(inUnit(d), ", ") + " (" + d.String() + ", as the arguments before it)"
		}
	}
	thing := "counted things or a pure number"
	if m.variable == Any {
		thing = "any quantity"
	}
	symbol := m.unit.Symbol()
	switch {
	case symbol == "":
		return thing
	case m.power < 0:
		return symbol + " per " + thing
	}
	return thing + " times " + symbol
}

// inUnit adds the base unit of a dimension to its name.
func inUnit(d quantity.Dimension) string {
	if u, err := quantity.BaseUnit(d); err == nil && d != quantity.None {
		return ", " + u.Symbol()
	}
	return ""
}

func unitOrNone(u quantity.Unit) string {
	if u.Symbol() == "" {
		return "no unit"
	}
	return u.Symbol()
}
