package dose

import (
	"cmp"

	"spatsheet/calc/limits"
)

// strongestHypochlorite is the strongest liquid hypochlorite taken, % available chlorine
// w/v: above trade strength (about 19), so a trap for typing errors. From memory.
const strongestHypochlorite = 25

// HypochloriteVolume gives the liquid hypochlorite for a dose of available chlorine.
//
// doseMGPerL in mg/L as Cl2, litres the water, bleach included, in L, availablePercent of
// the bleach in % available chlorine w/v; the result in mL.
// Range: doseMGPerL at least 0 and not above the bleach, litres above 0, availablePercent
// above 0 and at most 25; otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, mg/L x L / (10 x %), 1 % w/v being 10 g/L as Cl2. Bleach loses
// strength on the shelf: the label is an upper limit.
func HypochloriteVolume(doseMGPerL, litres, availablePercent float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("chlorine dose", doseMGPerL, 0, "mg/L"),
		limits.Above("volume", litres, 0, "L"),
		aboveUpTo("available chlorine", availablePercent, strongestHypochlorite, "% w/v"),
		strongerThanStock("chlorine dose", doseMGPerL, availablePercent*10000, " mg/L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("hypochlorite", doseMGPerL/(10*availablePercent)*litres)
}

// ThiosulphateProduct is what thiosulphate is taken to turn into when it meets chlorine; it
// decides how much is needed.
type ThiosulphateProduct int

// The three reactions. The plan counts on the first, the most thiosulphate: too little
// leaves chlorine that kills larvae. How far each runs depends on pH and excess.
const (
	ToTetrathionate      ThiosulphateProduct = iota // 2 S2O3 2- + Cl2 -> S4O6 2- + 2 Cl-; the plan's, 7.00 mg/mg
	ToSulphateAndSulphur                            // S2O3 2- + Cl2 + H2O -> SO4 2- + S + 2 Cl- + 2 H+; 3.50 mg/mg
	ToSulphate                                      // S2O3 2- + 4 Cl2 + 5 H2O -> 2 SO4 2- + 8 Cl- + 10 H+; 0.875 mg/mg
	endOfThiosulphateProducts
)

// molPerMolChlorine holds mol thiosulphate per mol Cl2, from the reactions; exact.
var molPerMolChlorine = [endOfThiosulphateProducts]float64{2, 1, 0.25}

// ThiosulphatePerChlorine gives the mass of sodium thiosulphate pentahydrate for a mass of
// chlorine.
//
// product says which reaction; the result in mg pentahydrate per mg Cl2: 7.00, 3.50, 0.875.
// Range: one of the three products, otherwise an error wrapping limits.ErrRange.
// Source: arithmetic from the three reactions and the IUPAC abridged weights.
func ThiosulphatePerChlorine(product ThiosulphateProduct) (float64, error) {
	if err := limits.Between("thiosulphate product", float64(product), 0, float64(endOfThiosulphateProducts-1), ""); err != nil {
		return 0, err
	}
	return molPerMolChlorine[product] * WeightThiosulphatePentahydrate / WeightChlorine, nil
}

// Thiosulphate gives the sodium thiosulphate pentahydrate that takes chlorine out of water.
//
// residualMGPerL of chlorine still there (measured; the dose if it was not) in mg/L as Cl2,
// litres in L, product as in ThiosulphatePerChlorine; the result in g of the pentahydrate.
// Range: residualMGPerL at least 0, litres above 0, one of the three products; otherwise an
// error wrapping limits.ErrRange.
// Source: arithmetic, mg/L x L x ratio / 1000. Sources differ from 0.9 to 7 by the product
// they assume; the plan takes ToTetrathionate, and a test strip decides before use.
func Thiosulphate(residualMGPerL, litres float64, product ThiosulphateProduct) (float64, error) {
	ratio, err := ThiosulphatePerChlorine(product)
	if err := cmp.Or(
		err,
		limits.AtLeast("residual chlorine", residualMGPerL, 0, "mg/L"),
		limits.Above("volume", litres, 0, "L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("thiosulphate", residualMGPerL*litres*ratio/1000)
}
