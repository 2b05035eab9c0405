package quantity

import (
	"slices"
	"strings"
)

// atom is one unit without powers or division, prefix included: mL is an atom.
type atom struct {
	symbol string    // as printed; the singular for a counted thing
	many   string    // the plural of a counted thing, else empty
	ucum   string    // the UCUM code
	scale  ratio     // base units in one of it
	dim    Dimension // what it measures
	also   []string  // other spellings read
}

// The scales of the named units in base units (dm, g, h, mol, A), all exact by definition.
// Source: SI Brochure, 9th edition (2019), and NIST Special Publication 811 (2008), from memory.
const (
	secondsPerHour = 3600.0                                       // s/h, exact
	jouleScale     = 1000 * 100 * secondsPerHour * secondsPerHour // kg m2/s2 in g dm2/h2
	wattScale      = jouleScale * secondsPerHour                  // J/s in g dm2/h3
	pascalScale    = 1000 / 10 * secondsPerHour * secondsPerHour  // kg/(m s2) in g/(dm h2)
	knotMetres     = 1852.0                                       // m/h, exact: nautical mile per hour
	yearHours      = 8766.0                                       // h, exact: the Julian year of 365.25 d, as UCUM's "a"; SP 811 also lists 365 d
)

// Positions in atoms of the two meanings of °C, set when the table is built.
const (
	celsiusPoint      = 1
	celsiusDifference = 2
)

// atoms is the table of units; position 0 stands for "no factor".
var atoms = buildAtoms()

// spellings finds the position in atoms of every way to write an atom.
var spellings = func() map[string]uint8 {
	found := map[string]uint8{}
	for i, a := range atoms[1:] {
		for _, s := range a.spellings() {
			if _, twice := found[s]; twice {
				panic("quantity: two units are written " + s)
			}
			found[s] = uint8(i + 1)
		}
	}
	return found
}()

func (a atom) spellings() []string {
	list := append([]string{a.symbol}, a.also...)
	if a.many != "" && a.many != a.symbol {
		list = append(list, a.many)
	}
	for _, s := range slices.Clone(list) {
		if rest, micro := strings.CutPrefix(s, "µ"); micro {
			list = append(list, "u"+rest)
		}
	}
	return list
}

func buildAtoms() []atom {
	table := []atom{{},
		{symbol: "°C", ucum: "Cel", scale: one, dim: temperaturePoint},
		{symbol: "Δ°C", ucum: "K", scale: one, dim: of(temperature, 1), also: []string{"∆°C"}},
		{symbol: "K", ucum: "K", scale: one, dim: of(temperature, 1)},
		{symbol: "%", ucum: "%", scale: ratio{1, 100}},
		{symbol: "PSU", ucum: "{PSU}", scale: one, dim: of(salinity, 1)},
		{symbol: "pH", ucum: "[pH]", scale: one, dim: of(acidity, 1)},
	}
	table = append(table, timeAtoms()...)
	table = append(table, measuredAtoms()...)
	table = append(table, namedAtoms()...)
	for i, c := range countedThings {
		table = append(table, atom{symbol: c.one, many: c.many, ucum: "{" + c.one + "}",
			scale: one, dim: of(firstCounted+i, 1), also: c.also})
	}
	return table
}

func timeAtoms() []atom {
	t := of(duration, 1)
	return []atom{
		{symbol: "s", ucum: "s", scale: ratio{1, secondsPerHour}, dim: t, also: []string{"second", "seconds"}},
		{symbol: "min", ucum: "min", scale: ratio{1, 60}, dim: t, also: []string{"minute", "minutes"}},
		{symbol: "h", ucum: "h", scale: one, dim: t, also: []string{"hour", "hours"}},
		{symbol: "d", ucum: "d", scale: ratio{24, 1}, dim: t, also: []string{"day", "days"}},
		{symbol: "wk", ucum: "wk", scale: ratio{7 * 24, 1}, dim: t, also: []string{"week", "weeks"}},
		{symbol: "a", ucum: "a", scale: ratio{yearHours, 1}, dim: t, also: []string{"year", "years"}},
	}
}

// measuredAtoms lists the prefixed forms of metre, litre, gram, mole and mol/L.
func measuredAtoms() []atom {
	volume := of(length, 3)
	molar := dimensionOf(amount, 1, length, -3)
	var table []atom
	table = append(table, prefixed("m", "m", ratio{10, 1}, of(length, 1), "", "d", "c", "m", "µ", "n")...)
	litres := prefixed("L", "L", one, volume, "", "d", "m", "µ")
	for i, l := range litres {
		litres[i].also = []string{strings.Replace(l.symbol, "L", "l", 1)}
	}
	table = append(table, litres...)
	table = append(table, prefixed("g", "g", one, of(mass, 1), "", "k", "m", "µ", "n")...)
	table = append(table, prefixed("mol", "mol", one, of(amount, 1), "", "m", "µ", "n")...)
	return append(table, prefixed("M", "mol/L", one, molar, "", "m", "µ", "n")...)
}

// namedAtoms lists units of power, energy, pressure, electricity and speed.
func namedAtoms() []atom {
	energy := dimensionOf(mass, 1, length, 2, duration, -2)
	power := dimensionOf(mass, 1, length, 2, duration, -3)
	pressure := dimensionOf(mass, 1, length, -1, duration, -2)
	voltage := dimensionOf(mass, 1, length, 2, duration, -3, current, -1)
	conductance := dimensionOf(mass, -1, length, -2, duration, 3, current, 2)
	var table []atom
	table = append(table, prefixed("W", "W", ratio{wattScale, 1}, power, "", "m", "k")...)
	table = append(table, prefixed("J", "J", ratio{jouleScale, 1}, energy, "", "m", "k")...)
	table = append(table, prefixed("Wh", "W.h", ratio{wattScale, 1}, energy, "", "m", "k")...)
	table = append(table, prefixed("Pa", "Pa", ratio{pascalScale, 1}, pressure, "", "h", "k")...)
	table = append(table, prefixed("V", "V", ratio{wattScale, 1}, voltage, "", "m")...)
	table = append(table, prefixed("A", "A", one, of(current, 1), "", "m")...)
	table = append(table, prefixed("S", "S", ratio{1, wattScale}, conductance, "", "m", "µ")...)
	return append(table,
		atom{symbol: "bar", ucum: "bar", scale: ratio{100_000 * pascalScale, 1}, dim: pressure},
		atom{symbol: "kn", ucum: "[kn_i]", scale: ratio{knotMetres * 10, 1}, dim: dimensionOf(length, 1, duration, -1)})
}

// prefixScales are the SI prefixes in use here, exact. Source: SI Brochure, from memory.
var prefixScales = map[string]ratio{
	"": one, "k": {1000, 1}, "h": {100, 1}, "d": {1, 10}, "c": {1, 100},
	"m": {1, 1000}, "µ": {1, 1e6}, "n": {1, 1e9},
}

func prefixed(symbol, ucum string, scale ratio, dim Dimension, prefixes ...string) []atom {
	var table []atom
	for _, p := range prefixes {
		table = append(table, atom{symbol: p + symbol, ucum: strings.Replace(p, "µ", "u", 1) + ucum,
			scale: scale.times(prefixScales[p]), dim: dim})
	}
	return table
}

// dimensionOf takes pairs of kind and power.
func dimensionOf(pairs ...int) Dimension {
	var d Dimension
	for i := 0; i < len(pairs); i += 2 {
		d.powers[pairs[i]] = int8(pairs[i+1])
	}
	return d
}
