package dose

import (
	"cmp"
	"fmt"

	"spatsheet/calc/limits"
)

// StockVolume gives the stock to make up with water to a final volume.
//
// stockStrength and wantedStrength in one unit, any (%, mol/L, mg/mL, cells/mL);
// finalVolume, stock included, in any unit; the result in the unit of finalVolume.
// Range: stockStrength and finalVolume above 0, wantedStrength at least 0 and not above
// stockStrength; otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, V1 = C2 V2 / C1.
func StockVolume(stockStrength, wantedStrength, finalVolume float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("stock strength", stockStrength, 0, ""),
		limits.AtLeast("wanted strength", wantedStrength, 0, ""),
		limits.Above("final volume", finalVolume, 0, ""),
		strongerThanStock("wanted strength", wantedStrength, stockStrength, ""),
	); err != nil {
		return 0, err
	}
	return limits.Result("stock volume", wantedStrength/stockStrength*finalVolume)
}

// StockVolumeOnTop gives the stock to add to water already there, which it makes more.
//
// Arguments as in StockVolume, with startVolume the water before; the result in its unit.
// Range: stockStrength and startVolume above 0, wantedStrength at least 0 and below
// stockStrength; otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, V1 = V C2 / (C1 - C2); the one for sperm or feed poured into a full
// vessel, where V1 = C2 V2 / C1 would fall short.
func StockVolumeOnTop(stockStrength, wantedStrength, startVolume float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("stock strength", stockStrength, 0, ""),
		limits.AtLeast("wanted strength", wantedStrength, 0, ""),
		limits.Above("volume to start from", startVolume, 0, ""),
		strongerThanStock("wanted strength", wantedStrength, stockStrength, ""),
	); err != nil {
		return 0, err
	}
	if wantedStrength == stockStrength {
		return 0, fmt.Errorf("wanted strength: %g is the stock's own, which no amount added to water reaches; take a stronger stock or want less: %w",
			wantedStrength, limits.ErrRange)
	}
	return limits.Result("stock volume", wantedStrength/(stockStrength-wantedStrength)*startVolume)
}

// DilutedStrength gives the strength a volume of stock comes to in a final volume.
//
// stockStrength in any unit, stockVolume and finalVolume (stock included) in one unit; the
// result in the unit of stockStrength.
// Range: stockStrength and stockVolume at least 0, finalVolume above 0 and not below
// stockVolume; otherwise an error wrapping limits.ErrRange, with the remedy.
// Source: arithmetic, C2 = C1 V1 / V2.
func DilutedStrength(stockStrength, stockVolume, finalVolume float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("stock strength", stockStrength, 0, ""),
		limits.AtLeast("stock volume", stockVolume, 0, ""),
		limits.Above("final volume", finalVolume, 0, ""),
		partInWhole("stock volume", stockVolume, finalVolume),
	); err != nil {
		return 0, err
	}
	return limits.Result("diluted strength", stockVolume/finalVolume*stockStrength)
}

// GramsForMolarity gives the mass of a reagent for a molarity in a volume.
//
// wantedMMolPerL in mmol/L, litres in L, formulaWeight in g/mol of what is weighed, crystal
// water and all; the result in g.
// Range: wantedMMolPerL at least 0, the others above 0; otherwise an error wrapping
// limits.ErrRange.
// Source: arithmetic, mmol/L x g/mol / 1000 x L.
func GramsForMolarity(wantedMMolPerL, litres, formulaWeight float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("wanted molarity", wantedMMolPerL, 0, "mmol/L"),
		limits.Above("volume", litres, 0, "L"),
		limits.Above("formula weight", formulaWeight, 0, "g/mol"),
	); err != nil {
		return 0, err
	}
	return limits.Result("mass", wantedMMolPerL/1000*formulaWeight*litres)
}

func partInWhole(argument string, part, whole float64) error {
	if part <= whole {
		return nil
	}
	return fmt.Errorf("%s: %g is above the %g it is part of; give the final volume with it included: %w",
		argument, part, whole, limits.ErrRange)
}
