package quantity

import (
	"fmt"
	"strings"
)

// namedDimensions gives the usual word for a dimension, by the unit it is measured in.
var namedDimensions = func() map[Dimension]string {
	words := map[Dimension]string{None: "pure number", temperaturePoint: "temperature"}
	for unit, word := range map[string]string{
		"m2": "area", "L": "volume", "m/s": "speed", "L/h": "flow", "1/h": "rate per time",
		"W": "power", "J": "energy", "Pa": "pressure", "V": "voltage",
		"S": "electric conductance", "S/m": "electric conductivity",
		"mol/L": "concentration", "g/L": "mass per volume", "W/m2": "irradiance",
	} {
		words[MustUnit(unit).Dimension()] = word
	}
	return words
}()

// String names the dimension in words: "volume", "cell count per volume", "pure number".
//
// Range: any dimension. A combination without a usual word is composed of its kinds.
// Source: common practice, no source.
func (d Dimension) String() string {
	if word, ok := namedDimensions[d]; ok {
		return word
	}
	over, under := d.composed()
	text := strings.Join(over, " times ")
	switch {
	case len(under) == 0:
		return text
	case len(over) == 0:
		text = "number"
	}
	return text + " per " + strings.Join(under, " and ")
}

// composed lists the words above and below the line; counted things stand first.
func (d Dimension) composed() (over, under []string) {
	for i := range d.powers {
		k := (i + firstCounted) % kindCount
		switch p := int(d.powers[k]); {
		case p > 0:
			over = append(over, kindPower(k, p))
		case p < 0:
			under = append(under, kindPower(k, -p))
		}
	}
	return over, under
}

func kindPower(k kind, power int) string {
	switch {
	case k == length && power == 2:
		return "area"
	case k == length && power == 3:
		return "volume"
	case power == 2:
		return kindWord(k) + " squared"
	case power > 2:
		return fmt.Sprintf("%s to the power %d", kindWord(k), power)
	}
	return kindWord(k)
}

func kindWord(k kind) string {
	if k >= firstCounted {
		return countedThings[k-firstCounted].one + " count"
	}
	return kindWords[k]
}

// Counted prints a count with its word: "1 plate", "2 plates", "0 boxes not done".
//
// Range: any count; only 1 takes the word for one. Source: none needed.
func Counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
