package seawater

import (
	"cmp"
	"fmt"

	"spatsheet/calc/limits"
)

// Salt is conserved by mass here, and so is water; volume is not. A volume becomes a mass by
// Density at one temperature, the one all volumes of a calculation are measured at; if one
// of the waters is 10 °C warmer the mix is wrong by 0.03 in salinity. Two waters together
// fill up to 0.04 % less than the sum of their volumes.

// VolumesToMix gives how much of two waters makes a volume of a wanted salinity.
//
// totalL is the volume wanted in L at tempC, wanted, practicalSalinityA and practicalSalinityB
// are practical salinities without unit, tempC in °C on ITS-90; the results are the volumes of
// the first and the second water in L at tempC. Their sum exceeds totalL by up to 0.04 %.
// Range: totalL above 0, the two salinities 0 to 42 and not equal, wanted between them (both
// included), temperature -2 to 40 °C; otherwise ErrRange.
// Source: conservation of salt and of water by mass, arithmetic; densities by Density.
func VolumesToMix(totalL, wanted, practicalSalinityA, practicalSalinityB, tempC float64) (volumeAL, volumeBL float64, err error) {
	if err := limits.Above("volume wanted", totalL, 0, "L"); err != nil {
		return 0, 0, err
	}
	kgPerLA, err := kilogramPerLitre(practicalSalinityA, tempC)
	if err != nil {
		return 0, 0, fmt.Errorf("first water: %w", err)
	}
	kgPerLB, err := kilogramPerLitre(practicalSalinityB, tempC)
	if err != nil {
		return 0, 0, fmt.Errorf("second water: %w", err)
	}
	if practicalSalinityA == practicalSalinityB {
		return 0, 0, fmt.Errorf("both waters have practical salinity %g, so no share of them can be told; give two that differ: %w",
			practicalSalinityA, limits.ErrRange)
	}
	low, high := min(practicalSalinityA, practicalSalinityB), max(practicalSalinityA, practicalSalinityB)
	if err := limits.Between("practical salinity wanted", wanted, low, high, ""); err != nil {
		return 0, 0, err
	}
	mass, err := massKG("volume wanted", totalL, wanted, tempC)
	if err != nil {
		return 0, 0, err
	}
	shareA := (wanted - practicalSalinityB) / (practicalSalinityA - practicalSalinityB)
	if volumeAL, err = limits.Result("volume of the first water", mass*shareA/kgPerLA); err != nil {
		return 0, 0, err
	}
	if volumeBL, err = limits.Result("volume of the second water", mass*(1-shareA)/kgPerLB); err != nil {
		return 0, 0, err
	}
	return volumeAL, volumeBL, nil
}

// FreshWaterToLower gives the fresh water to add to a volume of seawater to lower its salinity.
//
// volumeL in L at tempC, practicalSalinity and wanted without unit, tempC in °C on ITS-90; the
// result in L at tempC, of water without salt (tap water adds at most 0.5 to the salinity).
// Range: volume at least 0, salinity 0 to 42, wanted above 0 and at most the salinity,
// temperature -2 to 40 °C; otherwise ErrRange.
// Source: conservation of salt by mass, arithmetic; densities by Density.
func FreshWaterToLower(volumeL, practicalSalinity, wanted, tempC float64) (float64, error) {
	mass, err := massKG("volume", volumeL, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	if err := cmp.Or(
		limits.Above("practical salinity wanted", wanted, 0, ""),
		limits.Between("practical salinity wanted", wanted, 0, practicalSalinity, ""),
	); err != nil {
		return 0, err
	}
	freshKGPerL, err := kilogramPerLitre(0, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("fresh water to add", mass*(practicalSalinity-wanted)/wanted/freshKGPerL)
}

// SaltToRaise gives the sea salt to dissolve in a volume of water to raise its salinity.
//
// volumeL in L at tempC, practicalSalinity and wanted without unit, tempC in °C on ITS-90;
// saltShare is the share of the product's mass that is salt, the rest being moisture and water
// of crystallisation; the result in g of the product. From fresh water it makes artificial
// seawater. The volume grows: from fresh water to S 35 by 1.0 % (dry salt) to 1.6 % (share 0.85).
// Range: volume at least 0, salinity 0 to 42, wanted from the salinity to 42, temperature -2 to
// 40 °C, saltShare 0.5 to 1; otherwise ErrRange.
// Source: conservation of salt and of water by mass, arithmetic; densities by Density. The
// salt is taken to be of reference composition. saltShare is a site choice, without default:
// 1 for salt dried in the oven, 0.85 to 0.9 for a bagged synthetic sea salt (from memory).
// Weigh in less at first, measure, and complete.
func SaltToRaise(volumeL, practicalSalinity, wanted, tempC, saltShare float64) (float64, error) {
	mass, err := massKG("volume", volumeL, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	if err := cmp.Or(
		limits.Between("practical salinity wanted", wanted, practicalSalinity, maxSalinity, ""),
		limits.Between("share of salt in the sea salt", saltShare, 0.5, 1, ""),
	); err != nil {
		return 0, err
	}
	// mass x have + x x saltShare = (mass + x) x want, all shares of salt by mass.
	have, want := practicalSalinity*absolutePerPractical/1000, wanted*absolutePerPractical/1000
	return limits.Result("sea salt to add", 1000*mass*(want-have)/(saltShare-want))
}

// massKG is the mass of a volume of seawater.
func massKG(what string, volumeL, practicalSalinity, tempC float64) (float64, error) {
	if err := limits.AtLeast(what, volumeL, 0, "L"); err != nil {
		return 0, err
	}
	kgPerL, err := kilogramPerLitre(practicalSalinity, tempC)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", what, err)
	}
	return limits.Result("mass of the "+what, volumeL*kgPerL)
}
