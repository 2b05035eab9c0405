package seawater

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// absolutePerPractical is the absolute salinity of reference-composition seawater per unit
// of practical salinity, g/kg, exact by definition: 35.16504 g/kg at practical salinity 35.
// Source: Millero et al. (2008), Deep-Sea Research I 55:50.
const absolutePerPractical = 35.16504 / 35

// minConductivitySalinity is the least practical salinity PSS-78 is defined for, no unit, exact.
const minConductivitySalinity = 2.0

// maxConductivityTempC is the greatest temperature of PSS-78, °C, exact by convention.
// Source: UNESCO Technical Papers in Marine Science 44 (1983).
const maxConductivityTempC = 35.0

// standardConductivityMSPerCM is C(35, 15 °C on IPTS-68, 0), mS/cm, measured.
// Source: Culkin and Smith (1980), IEEE J. Oceanic Eng. 5:22.
const standardConductivityMSPerCM = 42.914

// Coefficients of PSS-78; ratio is that of conductivity at t and at 15 °C, both at S 35.
// No unit; measured. Source: Perkin and Lewis (1980), IEEE J. Oceanic Eng. 5:9; UNESCO
// Technical Papers in Marine Science 44 (1983).
var (
	pss78A     = []float64{0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081}
	pss78B     = []float64{0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144}
	pss78Ratio = []float64{0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9}
	pss78K     = 0.0162
)

// SalinityFromConductivity converts the conductivity of seawater at the surface to practical salinity.
//
// conductivityMSPerCM in mS/cm as measured at tempC (not corrected to 20 or 25 °C), tempC in
// °C on ITS-90; the result has no unit.
// Range: temperature -2 to 35 °C, and the result must lie from 2 to 42, where PSS-78 holds;
// otherwise ErrRange. Below 2 other equations exist (Hill et al. 1986); a marine hatchery
// has no use for them.
// Source: PSS-78, UNESCO Technical Papers in Marine Science 44 (1983);
// C(35, 15, 0) = 42.9140 mS/cm, Culkin and Smith (1980).
func SalinityFromConductivity(conductivityMSPerCM, tempC float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("conductivity", conductivityMSPerCM, 0, "mS/cm"),
		limits.Between("temperature", tempC, minTempC, maxConductivityTempC, "°C"),
	); err != nil {
		return 0, err
	}
	t := tempC * ipts68PerITS90
	root := math.Sqrt(conductivityMSPerCM / standardConductivityMSPerCM / polynomial(t, pss78Ratio...))
	salinity := pss78(root, t)
	what := fmt.Sprintf("practical salinity from %g mS/cm at %g °C", conductivityMSPerCM, tempC)
	if err := limits.Between(what, salinity, minConductivitySalinity, maxSalinity, ""); err != nil {
		return 0, err
	}
	return salinity, nil
}

// Conductivity gives the conductivity that seawater of a practical salinity shows at the surface.
//
// practicalSalinity has no unit, tempC in °C on ITS-90; the result in mS/cm at tempC.
// Range: practical salinity 2 to 42, temperature -2 to 35 °C; otherwise ErrRange.
// Source: PSS-78 as in SalinityFromConductivity, solved for conductivity by halving.
func Conductivity(practicalSalinity, tempC float64) (float64, error) {
	if err := cmp.Or(
		limits.Between("practical salinity", practicalSalinity, minConductivitySalinity, maxSalinity, ""),
		limits.Between("temperature", tempC, minTempC, maxConductivityTempC, "°C"),
	); err != nil {
		return 0, err
	}
	t := tempC * ipts68PerITS90
	// The root of the ratio is 1 at S 35 and 1.09 at S 42; 1.2 leaves room on every side.
	root := bisect(func(r float64) float64 { return pss78(r, t) }, practicalSalinity, 0, 1.2)
	return limits.Result("conductivity", root*root*polynomial(t, pss78Ratio...)*standardConductivityMSPerCM)
}

// pss78 is practical salinity from the root of the conductivity ratio and °C on IPTS-68.
func pss78(root, temp68 float64) float64 {
	difference := temp68 - 15
	return polynomial(root, pss78A...) + difference/(1+pss78K*difference)*polynomial(root, pss78B...)
}
