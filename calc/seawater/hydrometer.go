package seawater

import "spatsheet/calc/limits"

// SalinityFromSpecificGravity converts a hydrometer reading to practical salinity.
//
// specificGravity has no unit; tempC is that of the water and referenceTempC that of the pure
// water it is compared with, printed on the hydrometer (15, 20, 25 °C; "60/60 °F" is 15.56 °C),
// both in °C on ITS-90; the result has no unit.
// Range: water -2 to 40 °C, reference 0 to 40 °C, and the reading must lie between those of
// practical salinity 0 and 42 at these temperatures; otherwise ErrRange with these limits.
// Source: definition, with Density and PureWaterDensity, solved by halving; density rises with
// salinity throughout. A reading of 1.025 at 20/20 °C is S 32.9, at 20/15 °C it is S 34.1: the
// reference temperature must be known. The glass is taken not to expand: away from its reference
// temperature a soda-glass hydrometer reads about 0.000025 per °C differently (from memory),
// 0.3 in salinity for 10 °C. Read it near its reference.
func SalinityFromSpecificGravity(specificGravity, tempC, referenceTempC float64) (float64, error) {
	if err := limits.Between("temperature", tempC, minTempC, maxTempC, "°C"); err != nil {
		return 0, err
	}
	pure, err := pureWaterAtReference(referenceTempC)
	if err != nil {
		return 0, err
	}
	gravity := func(s float64) float64 { return densityFeistel2008(s*absolutePerPractical, tempC) / pure }
	if err := limits.Between("specific gravity", specificGravity, gravity(0), gravity(maxSalinity), ""); err != nil {
		return 0, err
	}
	return limits.Result("practical salinity", bisect(gravity, specificGravity, 0, maxSalinity))
}

func pureWaterAtReference(referenceTempC float64) (float64, error) {
	if err := limits.Between("reference temperature of the hydrometer", referenceTempC, 0, maxTempC, "°C"); err != nil {
		return 0, err
	}
	return densityFeistel2008(0, referenceTempC), nil
}
