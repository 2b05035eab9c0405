package seawater

import (
	"math"

	"spatsheet/calc/limits"
)

// Terms of EOS-80 at one atmosphere, for S practical salinity and t °C on IPTS-68:
// rho = water(t) + linear(t) S + root(t) S^1.5 + square S². Unit kg/m3; measured.
// Source: Millero and Poisson (1981), Deep-Sea Research 28A:625; UNESCO Technical Papers in
// Marine Science 44 (1983), p. 17. The last water term is 6.536332e-9; copies with
// 6.536336e-9 are misprints.
var (
	eos80Water  = []float64{999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9}
	eos80Linear = []float64{8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9}
	eos80Root   = []float64{-5.72466e-3, 1.0227e-4, -1.6546e-6}
	eos80Square = 4.8314e-4
)

// DensityMillero1981 gives the density of seawater at the surface by EOS-80.
//
// practicalSalinity has no unit, tempC in °C on ITS-90 (turned into IPTS-68 inside);
// the result in kg/m3.
// Range: practical salinity 0 to 42, temperature -2 to 40 °C; otherwise ErrRange.
// Source: Millero and Poisson (1981), EOS-80 at one atmosphere; its check values, on
// IPTS-68: 999.96675 (S 0, 5 °C), 997.04796 (0, 25), 1027.67547 (35, 5), 1023.34306 (35, 25).
// Kept because older tables and hydrometer charts rest on it. TEOS-10 gives 1023.34546 where
// EOS-80 gives 1023.34306 (S 35 of reference composition, 25 °C on IPTS-68); see Density
// for the choice.
func DensityMillero1981(practicalSalinity, tempC float64) (float64, error) {
	if err := checkSalinityAndTemp(practicalSalinity, maxSalinity, tempC); err != nil {
		return 0, err
	}
	s, t := practicalSalinity, tempC*ipts68PerITS90
	rho := polynomial(t, eos80Water...) + polynomial(t, eos80Linear...)*s +
		polynomial(t, eos80Root...)*s*math.Sqrt(s) + eos80Square*s*s
	return limits.Result("density of seawater by EOS-80", rho)
}

// Specific volume of the 75-term polynomial at sea pressure 0, m3/kg: row i, column j
// multiplies (CT/40 °C)^i and sqrt(salinityFactor (SA + 24 g/kg))^j. Measured (a fit to
// the Gibbs function).
// Source: Roquet et al. (2015), Ocean Modelling 90:29; digits read in the public source of
// TEOS-10/GSW-C, gsw_internal_const.h.
var roquetVolume = [][]float64{
	{1.0769995862e-3, -3.1038981976e-4, 6.6928067038e-4, -8.5047933937e-4, 5.8086069943e-4, -2.1092370507e-4, 3.1932457305e-5},
	{-1.5649734675e-5, 3.5009599764e-5, -4.3592678561e-5, 3.4532461828e-5, -1.1959409788e-5, 1.3864594581e-6},
	{2.7762106484e-5, -3.7435842344e-5, 3.5907822760e-5, -1.8698584187e-5, 3.8595339244e-6},
	{-1.6521159259e-5, 2.4141479483e-5, -1.4353633048e-5, 2.2863324556e-6},
	{6.9111322702e-6, -8.7595873154e-6, 4.3703680598e-6},
	{-8.0539615540e-7, -3.3052758900e-7},
	{2.0543094268e-7},
}

// Potential enthalpy at the surface, J/kg: row i, column j multiplies x^i (without x^1)
// and (t/40 °C)^j, x as in density.go. Measured (the Gibbs function, rearranged).
// Source: TEOS-10, Manuals and Guides 56; digits read in TEOS-10/GSW-C, toolbox/gsw_ct_from_pt.c.
var (
	enthalpyWater = []float64{61.01362420681071, 168776.46138048015, -2735.2785605119625, 2574.2164453821433,
		-1536.6644434977543, 545.7340497931629, -50.91091728474331, -18.30489878927802}
	enthalpySalt = [][]float64{
		{268.5520265845071, -12019.028203559312, 3734.858026725145, -2046.7671145057618, 465.28655623826234, -0.6370820302376359, -10.650848542359153},
		{937.2099110620707, 588.1802812170108, 248.39476522971285, -3.871557904936333, -2.6268019854268356},
		{-1687.914374187449, 936.3206544460336, -942.7827304544439, 369.4389437509002, -33.83664947895248, -9.987880382780322},
		{246.9598888781377},
		{123.59576582457964},
		{-48.5891069025409},
	}
)

// conservativeHeatCapacity is the cp0 of TEOS-10, J/(kg K), exact by definition.
// Source: TEOS-10, Manuals and Guides 56, table D.4.
const conservativeHeatCapacity = 3991.86795711963

// DensityRoquet2015 gives the density of seawater at the surface by the 75-term polynomial.
//
// absoluteSalinityGPerKG in g/kg, tempC in °C on ITS-90 (turned into Conservative
// Temperature inside); the result in kg/m3.
// Range: 0 to 42.198048 g/kg, temperature -2 to 40 °C; otherwise ErrRange.
// Source: Roquet et al. (2015), the expression behind rho in the TEOS-10 toolboxes.
// Kept to compare with such programs: 1025.41815 kg/m3 at S 34, 14 °C, where the Gibbs
// function itself (Density) gives 1025.41844. See Density for the choice.
func DensityRoquet2015(absoluteSalinityGPerKG, tempC float64) (float64, error) {
	if err := checkAbsoluteAndTemp(absoluteSalinityGPerKG, tempC); err != nil {
		return 0, err
	}
	const offsetGPerKG = 24 // exact, chosen by the authors to keep the root away from 0
	x := math.Sqrt(salinityFactor * (absoluteSalinityGPerKG + offsetGPerKG))
	volume := polynomialXY(x, conservativeTemp(absoluteSalinityGPerKG, tempC)/40, roquetVolume)
	return limits.Result("density of seawater by the 75-term polynomial", 1/volume)
}

// conservativeTemp is the Conservative Temperature, °C, of seawater at the surface, where
// potential and measured temperature are the same.
func conservativeTemp(absoluteSalinityGPerKG, tempC float64) float64 {
	x2, y := salinityFactor*absoluteSalinityGPerKG, tempC/40
	enthalpy := polynomial(y, enthalpyWater...) + x2*polynomialXY(y, math.Sqrt(x2), enthalpySalt)
	return enthalpy / conservativeHeatCapacity
}

// polynomialXY sums c[i][j] y^i x^j.
func polynomialXY(x, y float64, c [][]float64) float64 {
	rows := make([]float64, len(c))
	for i, row := range c {
		rows[i] = polynomial(x, row...)
	}
	return polynomial(y, rows...)
}
