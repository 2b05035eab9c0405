package seawater

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// PHScale says on which scale a pH was measured; without it the share of ammonia is a guess:
// pH 8 at S 35 and 25 °C means 5.56 % on the total scale and 4.40 % on the free scale.
type PHScale int

// The scales. The zero value is none of them, so a scale left out is an error.
const (
	TotalScale PHScale = iota + 1 // meter set with seawater (Tris) buffers; what oceanographers report
	FreeScale                     // hydrogen ions alone, without those bound to sulphate
	NBSScale                      // meter set with the usual bottled buffers 4, 7 and 10; fresh water only
)

// String names the scale in words.
func (s PHScale) String() string {
	switch s {
	case TotalScale:
		return "total scale"
	case FreeScale:
		return "free scale"
	case NBSScale:
		return "NBS scale"
	}
	return fmt.Sprintf("unknown pH scale %d", int(s))
}

// ErrPHScale is wrapped by the errors about a pH scale that is missing or does not suit the water.
var ErrPHScale = errors.New("pH scale does not suit")

const (
	// maxAmmoniaSalinity is where Clegg and Whitfield (1995) ends, no unit, exact by convention.
	maxAmmoniaSalinity = 40.0
	// maxFreshSalinity is where fresh water ends, no unit, exact by convention.
	// Source: the Venice system (1958), from memory.
	maxFreshSalinity = 0.5
	// maxTotalAmmoniaMGPerL catches a slip of unit, mg N/L: no tank with live animals shows more.
	// From memory, no source.
	maxTotalAmmoniaMGPerL = 1000.0
	// maxNBSOffset is the greatest difference between NBS and total scale taken for real, no
	// unit; 0.1 to 0.15 is usual (from memory).
	maxNBSOffset = 0.3
)

// AmmoniumPKTotalClegg1995 gives the pKa of ammonium in seawater for pH on the total scale.
//
// practicalSalinity has no unit, tempC in °C on ITS-90; the result has no unit (mol per kg of water).
// Range: practical salinity 0 to 40, temperature -2 to 40 °C; otherwise ErrRange.
// Source: Clegg and Whitfield (1995), Geochimica et Cosmochimica Acta 59:2403, eq. 18; digits
// read in the public source of the R package wq. Carbonate-system programs have the same but
// for 0.0090226468 in place of 0.009022648, 0.000004 in pKa; every other number of the equation
// has seven digits, so theirs is taken for a misprint. The paper was not read.
// The default for seawater. pH buffers for seawater are per kg of seawater; programs of the
// carbonate system therefore add -log10(1 - 0.001005 S), 0.0155 at S 35, which lowers the share of
// ammonia by 3 %. It is left out here, as in the worked examples of the R package wq that
// water-quality people compare with, and because the higher share warns earlier.
// Yao and Millero (1995) gives 9.256 at 25 °C, S 35 on the seawater scale, this equation 9.230.
// This one was chosen because it is on the scale that seawater buffers are made for and
// holds from fresh water on.
func AmmoniumPKTotalClegg1995(practicalSalinity, tempC float64) (float64, error) {
	if err := checkSalinityAndTemp(practicalSalinity, maxAmmoniaSalinity, tempC); err != nil {
		return 0, err
	}
	t, root := tempC+zeroCelsiusK, math.Sqrt(practicalSalinity)
	rootT := math.Sqrt(t)
	pk := ammoniumPKWater(t) + (0.04203362-11.24742/t)*math.Sqrt(root) + polynomial(root, 0,
		-13.6416+1.176949*rootT-0.02860785*t+545.4834/t,
		0,
		-0.1462507+0.009022648*rootT-0.0001471361*t+10.5425/t,
		0.004669309-0.0001691742*rootT-0.5677934/t,
		-2.354039e-5+0.009698623/t)
	return limits.Result("pKa of ammonium", pk)
}

// AmmoniumPKFreeClegg1995 gives the pKa of ammonium in seawater for pH on the free scale.
//
// Arguments, result and range as AmmoniumPKTotalClegg1995.
// Source: Clegg and Whitfield (1995); digits read in the public source of the R package wq, whose
// examples come out. One ocean model has 7.14045e-5 in place of 7.1047e-5, which makes the pKa
// 0.0004 higher at S 35, a share of 0.0440 still (pH 8, 25 °C); the paper was not read. Use it only for a pH that is known
// to be on the free scale; it is 0.1 higher than on the total scale at S 35.
func AmmoniumPKFreeClegg1995(practicalSalinity, tempC float64) (float64, error) {
	if err := checkSalinityAndTemp(practicalSalinity, maxAmmoniaSalinity, tempC); err != nil {
		return 0, err
	}
	t, s := tempC+zeroCelsiusK, practicalSalinity
	pk := ammoniumPKWater(t) + (0.0500616-9.412696/t-2.029559e-7*t*t)*math.Sqrt(s) + polynomial(s, 0,
		-0.0142372+1.46041e-5*t+3.730005/t,
		7.1047e-5-0.0229021/t,
		-5.521278e-7+1.95413e-4/t)
	return limits.Result("pKa of ammonium", pk)
}

// ammoniumPKWater is the salt-free part of both equations of Clegg and Whitfield (1995), t in K.
func ammoniumPKWater(t float64) float64 { return 9.244605 - 2729.33*(1/298.15-1/t) }

// AmmoniumPKEmerson1975 gives the pKa of ammonium in fresh water, for pH on the NBS scale.
//
// tempC in °C; the result has no unit.
// Range: 0 to 50 °C; otherwise ErrRange. Fresh water only: in seawater the pKa is higher.
// Source: Emerson et al. (1975), J. Fish. Res. Board Can. 32:2379: 0.09018 + 2729.92/T (from
// memory). T = 273.2 + t: their table comes out only so. With the 273.15 of
// most programs the share of ammonia is 0.4 % of itself lower (1.822 instead of 1.829 % at
// pH 8, 10 °C); the table was chosen, since people compare with it.
func AmmoniumPKEmerson1975(tempC float64) (float64, error) {
	if err := limits.Between("temperature", tempC, 0, 50, "°C"); err != nil {
		return 0, err
	}
	return limits.Result("pKa of ammonium", 0.09018+2729.92/(273.2+tempC))
}

// UnionisedAmmoniaFraction gives the poisonous share of total ammonia, NH3 / (NH3 + NH4+).
//
// pH has no unit and must be on the scale given, practicalSalinity has no unit, tempC in °C
// on ITS-90; the result is a share from 0 to 1.
// Range: pH 4 to 11, practical salinity 0 to 40, temperature -2 to 40 °C (fresh water on the
// NBS scale: 0 to 40 °C); otherwise ErrRange. A scale that is missing, or NBS in water saltier
// than 0.5, gives ErrPHScale: an NBS meter in seawater reads 0.1 to 0.15 above the total scale
// (from memory), which would show 25 to 40 % too much ammonia, and by how much depends on its
// electrode; see TotalPHFromNBS.
// Source: share = 1 / (1 + 10^(pKa - pH)), with AmmoniumPKTotalClegg1995 on the total scale (the
// default for seawater), AmmoniumPKFreeClegg1995 on the free scale and AmmoniumPKEmerson1975 on
// the NBS scale in fresh water.
// At pH 8, 25 °C, S 35: 0.0556 on the total scale, 0.0440 on the free scale. For pH 8.1 at S 35,
// 18 °C other equations give 0.0384 (Yao and Millero 1995, seawater scale) and 0.0319 (Bell et al. 2007),
// this one 0.0406 (total) or 0.0333 (free); those two are for comparison only and not offered.
func UnionisedAmmoniaFraction(pH float64, scale PHScale, practicalSalinity, tempC float64) (float64, error) {
	if err := limits.Between("pH", pH, 4, 11, ""); err != nil {
		return 0, err
	}
	if err := checkSalinityAndTemp(practicalSalinity, maxAmmoniaSalinity, tempC); err != nil {
		return 0, err
	}
	pk, err := ammoniumPK(scale, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("share of un-ionised ammonia", 1/(1+math.Pow(10, pk-pH)))
}

func ammoniumPK(scale PHScale, practicalSalinity, tempC float64) (float64, error) {
	switch scale {
	case TotalScale:
		return AmmoniumPKTotalClegg1995(practicalSalinity, tempC)
	case FreeScale:
		return AmmoniumPKFreeClegg1995(practicalSalinity, tempC)
	case NBSScale:
		if practicalSalinity > maxFreshSalinity {
			return 0, fmt.Errorf("%w the water: NBS at salinity %g; subtract what the site's meter reads above the total scale "+
				"(0.1 to 0.15 is usual) and give it as total scale", ErrPHScale, practicalSalinity)
		}
		return AmmoniumPKEmerson1975(tempC)
	}
	return 0, fmt.Errorf("%w: %s; say whether pH is on the total, free or NBS scale", ErrPHScale, scale)
}

// UnionisedAmmoniaMGPerL gives the nitrogen of un-ionised ammonia from total ammonia nitrogen.
//
// totalMGPerL is total ammonia as nitrogen (TAN) in mg N/L, the rest as
// UnionisedAmmoniaFraction; the result in mg N/L. As mg of NH3 itself it is 17.031/14.007 as much.
// Range: 0 to 1000 mg N/L, the rest as UnionisedAmmoniaFraction, with its errors.
// Source: arithmetic.
func UnionisedAmmoniaMGPerL(totalMGPerL, pH float64, scale PHScale, practicalSalinity, tempC float64) (float64, error) {
	if err := limits.Between("total ammonia nitrogen", totalMGPerL, 0, maxTotalAmmoniaMGPerL, "mg/L"); err != nil {
		return 0, err
	}
	fraction, err := UnionisedAmmoniaFraction(pH, scale, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("un-ionised ammonia nitrogen", totalMGPerL*fraction)
}

// TotalPHFromNBS brings a seawater pH read on a meter set with NBS buffers to the total scale.
//
// pHNBS is the reading, nbsMinusTotal what this meter reads above the total scale in the site's
// own water, found with a seawater (Tris) buffer; neither has a unit, nor has the result.
// Range: pH 4 to 11, difference 0 to 0.3; otherwise ErrRange.
// Source: arithmetic. There is no default: the difference holds for one electrode and one
// salinity; 0.1 to 0.15 is usual at S 35 (from memory).
func TotalPHFromNBS(pHNBS, nbsMinusTotal float64) (float64, error) {
	if err := cmp.Or(
		limits.Between("pH", pHNBS, 4, 11, ""),
		limits.Between("difference of NBS and total scale", nbsMinusTotal, 0, maxNBSOffset, ""),
	); err != nil {
		return 0, err
	}
	return pHNBS - nbsMinusTotal, nil
}
