package seawater

import (
	"math"

	"spatsheet/calc/limits"
)

// The Gibbs function of TEOS-10 is written in y = t/40 °C and x² = salinityFactor SA.
// At sea pressure 0 its pressure derivative, the specific volume, needs only these terms.
// Unit: 1e-8 m3/kg; measured (fitted to measurements of density and sound speed).
// Source: Feistel (2008), Deep-Sea Research I 55:1639 (salt) and Feistel (2003), Progress in
// Oceanography 58:43 (water), as printed in TEOS-10, Manuals and Guides 56, appendices G, H;
// digits read in the public source of TEOS-10/GSW-C, toolbox/gsw_gibbs.c.
var (
	gibbsWater = []float64{100015.695367145, -270.983805184062, 1455.0364540468, -672.50778314507,
		397.968445406972, -194.618310617595, 63.5113936641785, -9.63108119393062}
	gibbsSalt2 = []float64{-3310.49154044839, 729.116529735046, -860.764303783977, 694.244814133268, -297.728741987187}
	gibbsSalt3 = []float64{199.459603073901, -175.292041186547, 383.058066002476, -460.319931801257, 234.565187611355}
	gibbsSalt4 = []float64{-54.7919133532887, -22.6683558512829}
	gibbsSalt5 = []float64{36.0284195611086}
)

// salinityFactor is 1/(40 x 35.16504/35), kg/g, exact to the digits given: it makes x 1 at
// a practical salinity of 40. Source: as for the terms above.
const salinityFactor = 0.0248826675584615

// Density gives the density of seawater at the surface from practical salinity.
//
// practicalSalinity has no unit, tempC in °C on ITS-90; the result in kg/m3. Sea salt of
// the reference composition is assumed.
// Range: practical salinity 0 to 42, temperature -2 to 40 °C; otherwise ErrRange.
// Source: TEOS-10 (IOC, SCOR and IAPSO 2010), density from the Gibbs function, exact form, at
// the absolute salinity of reference composition, Millero et al. (2008). TEOS-10 states 42 g/kg;
// at one atmosphere its data reach 120 g/kg (Feistel 2008, from memory), so the last 0.2 g/kg of
// S 42 are safe. EOS-80, the standard before 2010, differs by up to 0.006 kg/m3 for S 5 to 40 at
// 5 to 32 °C (our own sweep), 0.008 in salinity: no hatchery instrument sees that.
func Density(practicalSalinity, tempC float64) (float64, error) {
	if err := checkSalinityAndTemp(practicalSalinity, maxSalinity, tempC); err != nil {
		return 0, err
	}
	return limits.Result("density of seawater", densityFeistel2008(practicalSalinity*absolutePerPractical, tempC))
}

// PureWaterDensity gives the density of pure water at one atmosphere.
//
// tempC in °C on ITS-90; the result in kg/m3.
// Range: 0 to 40 °C, where the water is liquid; otherwise ErrRange.
// Source: IAPWS-09 through TEOS-10, the Gibbs function at salinity 0.
// EOS-80 gives 999.96675 kg/m3 at 5 °C, TEOS-10 0.00008 less; the default follows Density.
func PureWaterDensity(tempC float64) (float64, error) {
	if err := limits.Between("temperature of pure water", tempC, 0, maxTempC, "°C"); err != nil {
		return 0, err
	}
	return limits.Result("density of pure water", densityFeistel2008(0, tempC))
}

func densityFeistel2008(absoluteSalinityGPerKG, tempC float64) float64 {
	x2 := salinityFactor * absoluteSalinityGPerKG
	x, y := math.Sqrt(x2), tempC/40
	salt := polynomial(x,
		polynomial(y, gibbsSalt2...), polynomial(y, gibbsSalt3...),
		polynomial(y, gibbsSalt4...), polynomial(y, gibbsSalt5...))
	return 1e8 / (polynomial(y, gibbsWater...) + x2*salt)
}
