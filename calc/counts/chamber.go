package counts

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"spatsheet/calc/limits"
)

// Volumes of liquid over one square of the usual chambers.
const (
	// NeubauerLargeSquareML (mL, exact by construction, common laboratory standard): improved
	// Neubauer, one of nine large squares, 1 mm x 1 mm x 0.1 mm.
	NeubauerLargeSquareML = 1e-4
	// NeubauerGroupSquareML (mL, exact by construction, common laboratory standard): improved
	// Neubauer, one of the 25 group squares of the centre, 0.2 mm x 0.2 mm x 0.1 mm.
	NeubauerGroupSquareML = 4e-6
	// SedgewickRafterSquareML (mL, exact by construction, common laboratory standard):
	// Sedgewick-Rafter cell, 50 mm x 20 mm x 1 mm = 1 mL in 1000 squares.
	SedgewickRafterSquareML = 1e-3
)

// CellsPerML is the density of cells behind a chamber count.
//
// cells is the number counted in all squares together, squares their number, squareML the
// volume over one in mL, dilutionFactor total volume / sample volume (1 mL + 9 mL = 10, 1
// for none); the result is cells per mL of the undiluted sample.
// Range: cells 0 to 1e7, squares 1 or more, squareML above 0, dilutionFactor 1 or more;
// otherwise an error that wraps limits.ErrRange.
// Source: cells / squares / volume of a square x dilution; arithmetic. Cells on the border
// are counted on two sides only, common practice.
func CellsPerML(cells, squares int, squareML, dilutionFactor float64) (float64, error) {
	if err := cmp.Or(
		limits.Between("cells counted", float64(cells), 0, mostTotal, ""),
		limits.Between("squares", float64(squares), 1, mostTotal, ""),
	); err != nil {
		return 0, err
	}
	factor, err := perML(squareML, dilutionFactor)
	if err != nil {
		return 0, err
	}
	return limits.Result("cells per mL", float64(cells)/float64(squares)*factor)
}

// EstimatePerML is the density behind counts in equal squares or subsamples, with limits.
//
// counts are whole numbers, one a square or subsample; partML is the volume of each in mL,
// dilutionFactor as in CellsPerML, confidence such as 0.95; the result is per mL of the
// undiluted sample.
// Range: as ReplicateSpread; partML above 0, dilutionFactor 1 or more, confidence 0.5 to
// 0.9999; otherwise an error that wraps limits.ErrRange or ErrTooFew.
// Source: mean / volume x dilution; Garwood (1936) or Student (1908), whichever has the
// larger standard error. The dilution itself is taken as exact.
func EstimatePerML(counts []int, partML, dilutionFactor, confidence float64) (Estimate, error) {
	factor, err := perML(partML, dilutionFactor)
	if err != nil {
		return Estimate{}, err
	}
	return scaledEstimate(counts, factor, confidence)
}

// EstimateInVolume is the number of eggs, larvae or cells in a vessel, with limits.
//
// counts are whole numbers, one a subsample; subsampleML and vesselML in mL, dilutionFactor
// as in CellsPerML (1 when the subsample was counted as it came), confidence such as 0.95;
// the result is a number in the whole vessel.
// Range: as EstimatePerML; vesselML at least subsampleML; otherwise an error that wraps
// limits.ErrRange or ErrTooFew.
// Source: N = mean(c) x V / v; sd of the mean s/sqrt(k) or Poisson 1/sqrt(total), whichever
// is larger; arithmetic.
func EstimateInVolume(counts []int, subsampleML, dilutionFactor, vesselML, confidence float64) (Estimate, error) {
	factor, err := perML(subsampleML, dilutionFactor)
	if err != nil {
		return Estimate{}, err
	}
	if err := limits.AtLeast("vessel volume", vesselML, subsampleML, "mL"); err != nil {
		return Estimate{}, err
	}
	return scaledEstimate(counts, factor*vesselML, confidence)
}

// EstimateOnArea is the number of spat or cells on a whole area, with limits.
//
// counts are whole numbers, one a window of windowCM2 in cm2; areaCM2 is the whole area,
// both sides of a plate if both were settled; confidence such as 0.95; the result is a
// number on the whole area.
// Range: as ReplicateSpread; windowCM2 above 0, areaCM2 at least windowCM2, confidence 0.5
// to 0.9999; otherwise an error that wraps limits.ErrRange or ErrTooFew.
// Source: mean per window x area / window area; common practice. Animals that settle in
// clumps spread more than Poisson: BadlyMixed then says "clumped".
func EstimateOnArea(counts []int, windowCM2, areaCM2, confidence float64) (Estimate, error) {
	if err := cmp.Or(
		limits.Above("window area", windowCM2, 0, "cm2"),
		limits.AtLeast("whole area", areaCM2, windowCM2, "cm2"),
	); err != nil {
		return Estimate{}, err
	}
	return scaledEstimate(counts, areaCM2/windowCM2, confidence)
}

// perML is the factor from a mean count to a number per mL of undiluted sample.
func perML(partML, dilutionFactor float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("volume counted", partML, 0, "mL"),
		limits.AtLeast("dilution factor", dilutionFactor, 1, ""),
	); err != nil {
		return 0, err
	}
	return limits.Result("number per mL", dilutionFactor/partML)
}

// SubsamplesForPrecision is how many subsamples to count for a wanted precision of their
// mean.
//
// singleCVPercent is the CV of single subsamples in %, such as Spread.SingleCVPercent;
// wantedCVPercent that of the mean in %; the result is a number of subsamples.
// Range: singleCVPercent 0 to 1000 %, wantedCVPercent 0.1 to 100 %; otherwise an error that
// wraps limits.ErrRange.
// Source: sd of the mean = s/sqrt(k); arithmetic. A CV from a few subsamples is itself
// rough: count, then ask again.
func SubsamplesForPrecision(singleCVPercent, wantedCVPercent float64) (int, error) {
	if err := cmp.Or(
		limits.Between("CV of a subsample", singleCVPercent, 0, 1000, "%"),
		limits.Between("wanted CV", wantedCVPercent, 0.1, 100, "%"),
	); err != nil {
		return 0, err
	}
	ratio := singleCVPercent / wantedCVPercent
	// 1e-12 of the number is rounding of the division, not a subsample.
	return int(math.Max(1, math.Ceil(ratio*ratio*(1-1e-12)))), nil
}

// SingleCVPercent is the CV of one subsample to plan with: the larger of that seen and that
// of counting.
//
// The result is in %; known is false when nothing was counted, and it then has no value.
// Range: every Spread. Source: common practice, "use the larger".
func (s Spread) SingleCVPercent() (cvPercent float64, known bool) {
	return math.Max(s.CVPercent, s.PoissonCVPercent), s.Total > 0
}

// chiSquareTail is the chance of a chi-square at least so large.
func chiSquareTail(chiSquare, degreesOfFreedom float64) float64 {
	return distuv.ChiSquared{K: degreesOfFreedom}.Survival(chiSquare)
}
