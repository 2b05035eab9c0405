package dose

import (
	"cmp"

	"spatsheet/calc/limits"
)

// Bounds of a peroxide solution's density in g/mL, water to pure peroxide near 20 °C.
// From memory (0.998 and 1.45), rounded outward; measured.
const (
	lightestPeroxide  = 0.99
	heaviestPeroxide  = 1.46
	strongestPeroxide = 145 // % w/v, of pure peroxide at 1.45 g/mL, from memory
)

// Most magnesium chloride hexahydrate that water near 20 °C still dissolves: about 1000 g
// in a litre of solution. From memory, measured; a trap for typing errors.
const (
	strongestMagnesiumMolPerL = 5
	strongestMagnesiumPercent = 100 // % w/v
)

// PeroxideByWeight gives the molarity of a hydrogen peroxide stock labelled by weight.
//
// percentByWeight in % w/w, densityGPerML of that solution in g/mL (from its data sheet);
// the result in mol/L.
// Range: percentByWeight above 0 and at most 100, densityGPerML from 0.99 to 1.46;
// otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, % x 10 x density / g/mol, IUPAC abridged weights. 30 % w/w at
// 1.112 g/mL is 9.81 mol/L, 30 % w/v is 8.82: the sheet must say which is on the label.
func PeroxideByWeight(percentByWeight, densityGPerML float64) (float64, error) {
	if err := cmp.Or(
		aboveUpTo("peroxide", percentByWeight, 100, "% w/w"),
		limits.Between("peroxide density", densityGPerML, lightestPeroxide, heaviestPeroxide, "g/mL"),
	); err != nil {
		return 0, err
	}
	return percentByWeight * 10 * densityGPerML / WeightHydrogenPeroxide, nil
}

// PeroxideByVolume gives the molarity of a hydrogen peroxide stock labelled weight by volume.
//
// percentByVolume in % w/v, g in 100 mL; the result in mol/L.
// Range: above 0 and at most 145, pure peroxide; otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, % x 10 / g/mol, IUPAC abridged weights.
func PeroxideByVolume(percentByVolume float64) (float64, error) {
	if err := aboveUpTo("peroxide", percentByVolume, strongestPeroxide, "% w/v"); err != nil {
		return 0, err
	}
	return percentByVolume * 10 / WeightHydrogenPeroxide, nil
}

// PeroxideStock gives the peroxide stock for a molarity in a volume of water.
//
// wantedMMolPerL in mmol/L, litres the finished bath in L, stockMolPerL from
// PeroxideByWeight or PeroxideByVolume in mol/L; the result in mL.
// Range: wantedMMolPerL at least 0 and not above the stock, litres and stockMolPerL above 0;
// otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, V1 = C2 V2 / C1. The strength on the bottle falls with age: a stock of
// the same day is common practice.
func PeroxideStock(wantedMMolPerL, litres, stockMolPerL float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("wanted peroxide", wantedMMolPerL, 0, "mmol/L"),
		limits.Above("bath", litres, 0, "L"),
		limits.Above("peroxide stock", stockMolPerL, 0, "mol/L"),
		strongerThanStock("wanted peroxide", wantedMMolPerL/1000, stockMolPerL, " mol/L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("peroxide stock", wantedMMolPerL/stockMolPerL*litres)
}

// MagnesiumChlorideForMolarity gives the mass of MgCl2.6H2O for a relaxing bath by molarity.
//
// wantedMolPerL in mol/L, litres the finished bath in L; the result in g of the hexahydrate.
// Range: wantedMolPerL from 0 to 5, about what dissolves, litres above 0; otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, IUPAC abridged weights. Whether and how strong: local rule, protocol.
func MagnesiumChlorideForMolarity(wantedMolPerL, litres float64) (float64, error) {
	if err := limits.Between("magnesium chloride", wantedMolPerL, 0, strongestMagnesiumMolPerL, "mol/L"); err != nil {
		return 0, err
	}
	return GramsForMolarity(wantedMolPerL*1000, litres, WeightMagnesiumChlorideHexahydrate)
}

// MagnesiumChlorideForPercent gives the mass of MgCl2.6H2O for a relaxing bath by percent.
//
// percentByVolume in % w/v of the hexahydrate as weighed (g in 100 mL of finished bath),
// litres the finished bath in L; the result in g of the hexahydrate.
// Range: percentByVolume from 0 to 100, about what dissolves, litres above 0; otherwise an
// error wrapping limits.ErrRange.
// Source: arithmetic, % x 10 x L. Recipes that mean the salt without its water need 2.14
// times as much; the percent as weighed is the default because that is what a balance shows.
func MagnesiumChlorideForPercent(percentByVolume, litres float64) (float64, error) {
	if err := cmp.Or(
		limits.Between("magnesium chloride", percentByVolume, 0, strongestMagnesiumPercent, "% w/v"),
		limits.Above("bath", litres, 0, "L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("magnesium chloride", percentByVolume*10*litres)
}

// Antibiotic gives the mass of an antibiotic product for a dose in a volume of water.
//
// CAUTION: off by default. Antibiotics only on licensed (veterinary) advice and under local
// rules on use, resistance and discharge; hygiene comes first. No dose is suggested here.
//
// doseMGPerL of the active substance in mg/L, litres in L, activeShare of the product as
// weighed (1 when the dose is stated for the product, 0.9 for 900 µg/mg on the label); the
// result in mg.
// Range: doseMGPerL at least 0, litres above 0, activeShare above 0 and at most 1; otherwise
// an error wrapping limits.ErrRange.
// Source: arithmetic, mg/L x L / share.
func Antibiotic(doseMGPerL, litres, activeShare float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("antibiotic dose", doseMGPerL, 0, "mg/L"),
		limits.Above("volume", litres, 0, "L"),
		partOfOne("active share", activeShare),
	); err != nil {
		return 0, err
	}
	return limits.Result("antibiotic", doseMGPerL*litres/activeShare)
}
