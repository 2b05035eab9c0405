// Package quantity holds numbers with units, and the counted things of a hatchery: eggs,
// larvae, cells, plates, beakers each have a dimension of their own, so litres are never
// added to cells and eggs never to larvae.
//
// What may enter: units, dimensions, reading and printing them, and arithmetic that needs
// no knowledge of the trade. What may not: densities, tables of seawater, glassware,
// rounding up to whole vessels, files, clocks. Of ours it imports protocols/spelling alone.
//
// The base of each kind is chosen so that common work meets no rounding noise: the litre
// (so the decimetre), the gram, the hour, the mole, the ampere, the kelvin, one of each
// counted thing. A temperature is either a point on the scale (°C, whose base value is the
// value in °C, not in K) or a difference (K, or °C inside a compound unit such as °C/h).
//
// The hour rather than the second: flows per hour and days as 24 hours stay exact, and for
// whole m, m/24*24 gives m again since 24 = 16 + 8 (Goldberg 1991, "What every computer
// scientist should know about floating-point arithmetic", theorem 7; from memory).
//
// Exchange codes follow G. Schadow and C. J. McDonald, "The Unified Code for Units of
// Measure" (UCUM); counted things, which it doesn't list, are its annotations: {larva}/mL.
package quantity
