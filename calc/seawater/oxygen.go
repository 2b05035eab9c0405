package seawater

import (
	"cmp"
	"math"

	"spatsheet/calc/limits"
)

// Coefficients of ln(oxygen in µmol/kg) in Ts = ln((298.15 - t)/(273.15 + t)), t in °C on
// IPTS-68: water(Ts) + S salt(Ts) + square S². Measured (fitted to Benson and Krause 1984).
// Source: Garcia and Gordon (1992), Limnology and Oceanography 37:1307, table 1, the column
// "Benson and Krause, µmol/kg".
var (
	oxygenWater  = []float64{5.80871, 3.20291, 4.17887, 5.10006, -9.86643e-2, 3.80369}
	oxygenSalt   = []float64{-7.01577e-3, -7.70028e-3, -1.13864e-2, -9.51519e-3}
	oxygenSquare = -2.75915e-7
)

const (
	// oxygenGPerMol is the molar mass of O2, g/mol, measured.
	// Source: IUPAC abridged standard atomic weights, 2 x 15.999.
	oxygenGPerMol = 31.998
	// hectopascalPerAtmosphere, hPa, exact by definition.
	hectopascalPerAtmosphere = 1013.25
	// Barometer readings the pressure correction is stated for, atm, exact by convention.
	// Source: Benson and Krause (1984), as quoted in public code; the paper was not read.
	minPressureAtm, maxPressureAtm = 0.5, 1.1
	// The salinity up to which Benson and Krause (1984) measured, no unit.
	maxPressureSalinity = 40.0
	// maxOxygenMGPerL is a reading no water in the open can show, mg/L: pure oxygen in
	// fresh water at 0 °C gives about 70. From memory; it catches a percentage typed as mg/L.
	maxOxygenMGPerL = 70.0
)

// OxygenSolubility gives the oxygen that seawater holds in equilibrium with moist air.
//
// practicalSalinity has no unit, tempC in °C on ITS-90; the result in µmol/kg at 1 atm.
// Range: practical salinity 0 to 42, temperature -2 to 40 °C; otherwise ErrRange.
// Source: Garcia and Gordon (1992), the fit to Benson and Krause (1984).
// The paper's check value, 274.610 at S 35 and 10 °C, is on IPTS-68; on ITS-90 it is 274.596.
// Garcia and Gordon print a second, "combined" fit, which many programs use: it gives 274.646
// there on IPTS-68, 0.013 % more. The default is the fit that TEOS-10 takes.
func OxygenSolubility(practicalSalinity, tempC float64) (float64, error) {
	if err := checkSalinityAndTemp(practicalSalinity, maxSalinity, tempC); err != nil {
		return 0, err
	}
	t, s := tempC*ipts68PerITS90, practicalSalinity
	scaled := math.Log((298.15 - t) / (zeroCelsiusK + t))
	logged := polynomial(scaled, oxygenWater...) + s*polynomial(scaled, oxygenSalt...) + oxygenSquare*s*s
	return limits.Result("oxygen solubility", math.Exp(logged))
}

// OxygenSolubilityMGPerL gives the same oxygen by volume of water.
//
// practicalSalinity has no unit, tempC in °C on ITS-90; the result in mg/L at 1 atm.
// Range: as OxygenSolubility.
// Source: OxygenSolubility x Density x 31.998 g/mol. The tables of Standard Methods 4500-O
// (Benson and Krause 1984, fresh water) agree in every digit they print: 14.62 mg/L at 0 °C,
// 9.09 at 20 °C. Garcia and Gordon's own fit by volume gives 0.001 % more at S 35, 10 °C.
func OxygenSolubilityMGPerL(practicalSalinity, tempC float64) (float64, error) {
	perKG, err := OxygenSolubility(practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	kgPerL, err := kilogramPerLitre(practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("oxygen solubility", perKG*kgPerL*oxygenGPerMol/1000)
}

// OxygenSaturationPercent gives measured oxygen as a share of the solubility at 1 atm.
//
// measuredMGPerL in mg/L, practicalSalinity has no unit, tempC in °C on ITS-90; the result in %.
// Range: 0 to 70 mg/L, practical salinity 0 to 42, temperature -2 to 40 °C; otherwise ErrRange.
// Source: arithmetic on OxygenSolubilityMGPerL. Where the barometer stands off 1013.25 hPa use
// OxygenSaturationPercentAtPressure: 1 % of pressure is 1 % of saturation.
func OxygenSaturationPercent(measuredMGPerL, practicalSalinity, tempC float64) (float64, error) {
	if err := limits.Between("measured oxygen", measuredMGPerL, 0, maxOxygenMGPerL, "mg/L"); err != nil {
		return 0, err
	}
	solubility, err := OxygenSolubilityMGPerL(practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("oxygen saturation", 100*measuredMGPerL/solubility)
}

// OxygenPressureFactor gives the factor from solubility at 1 atm to that at a barometer reading.
//
// practicalSalinity has no unit, tempC in °C on ITS-90, pressureHPA is the pressure at the
// tank in hPa (as read there, not reduced to sea level); the result has no unit.
// Range: practical salinity 0 to 40, temperature 0 to 40 °C, 506.625 to 1114.575 hPa (0.5 to
// 1.1 atm); otherwise ErrRange.
// Source: Benson and Krause (1984), Limnology and Oceanography 29:620, eq. 24 and table 2, with
// the vapour pressure of Green and Carritt (1967); digits read in the public source of two
// R packages, which agree.
func OxygenPressureFactor(practicalSalinity, tempC, pressureHPA float64) (float64, error) {
	if err := cmp.Or(
		limits.Between("practical salinity", practicalSalinity, 0, maxPressureSalinity, ""),
		limits.Between("temperature", tempC, 0, maxTempC, "°C"),
	); err != nil {
		return 0, err
	}
	lowHPA, highHPA := minPressureAtm*hectopascalPerAtmosphere, maxPressureAtm*hectopascalPerAtmosphere
	if err := limits.Between("air pressure", pressureHPA, lowHPA, highHPA, "hPa"); err != nil {
		return 0, err
	}
	atm, vapour := pressureHPA/hectopascalPerAtmosphere, vapourPressureAtm(practicalSalinity, tempC)
	theta := polynomial(tempC, 0.000975, -1.426e-5, 6.436e-8) // second virial coefficient, 1/atm
	return limits.Result("oxygen pressure factor", (atm-vapour)*(1-theta*atm)/((1-vapour)*(1-theta)))
}

// OxygenSaturationPercentAtPressure gives measured oxygen as a share of the solubility at a
// barometer reading.
//
// Arguments as OxygenSaturationPercent and OxygenPressureFactor; the result in %.
// Range: 0 to 70 mg/L, otherwise as OxygenPressureFactor.
// Source: OxygenSaturationPercent over OxygenPressureFactor.
func OxygenSaturationPercentAtPressure(measuredMGPerL, practicalSalinity, tempC, pressureHPA float64) (float64, error) {
	factor, err := OxygenPressureFactor(practicalSalinity, tempC, pressureHPA)
	if err != nil {
		return 0, err
	}
	percent, err := OxygenSaturationPercent(measuredMGPerL, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("oxygen saturation", percent/factor)
}

// vapourPressureAtm is the pressure of water vapour over seawater, atm. Measured.
// Source: Green and Carritt (1967), J. Marine Research 25:140, in table 2 of Benson and
// Krause (1984); 373.16 K is their boiling point.
func vapourPressureAtm(practicalSalinity, tempC float64) float64 {
	ratio := 373.16 / (tempC + zeroCelsiusK)
	return (1 - 0.000537*practicalSalinity) * math.Exp(18.1973*(1-ratio)+
		3.1813e-7*(1-math.Exp(26.1205*(1-1/ratio)))-
		1.8726e-2*(1-math.Exp(8.03945*(1-ratio)))+
		5.02802*math.Log(ratio))
}

// kilogramPerLitre is Density in kg/L.
func kilogramPerLitre(practicalSalinity, tempC float64) (float64, error) {
	density, err := Density(practicalSalinity, tempC)
	return density / 1000, err
}
