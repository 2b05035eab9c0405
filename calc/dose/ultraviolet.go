package dose

import (
	"cmp"

	"spatsheet/calc/limits"
)

// Fluence gives the UV dose of water or a surface from irradiance and time.
//
// irradianceMWPerCM2 in mW/cm2 of UV-C where the water is, seconds; the result in mJ/cm2.
// Range: both at least 0, otherwise an error wrapping limits.ErrRange.
// Source: definition, fluence = irradiance x time.
func Fluence(irradianceMWPerCM2, seconds float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("irradiance", irradianceMWPerCM2, 0, "mW/cm2"),
		limits.AtLeast("time", seconds, 0, "s"),
	); err != nil {
		return 0, err
	}
	return limits.Result("fluence", irradianceMWPerCM2*seconds)
}

// FlowForFluence gives the fastest flow through a UV chamber that still gives a fluence.
//
// irradianceMWPerCM2 mean over the chamber in mW/cm2, chamberL its water in L,
// wantedMJPerCM2 in mJ/cm2; the result in L/h.
// Range: all above 0, otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, time in the chamber = volume / flow, so L x 3600 x irradiance /
// fluence. Plug flow: in a real chamber some water passes faster. 30 to 40 mJ/cm2 for
// filtered water is from memory.
func FlowForFluence(irradianceMWPerCM2, chamberL, wantedMJPerCM2 float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("irradiance", irradianceMWPerCM2, 0, "mW/cm2"),
		limits.Above("chamber volume", chamberL, 0, "L"),
		limits.Above("wanted fluence", wantedMJPerCM2, 0, "mJ/cm2"),
	); err != nil {
		return 0, err
	}
	return limits.Result("flow", chamberL*3600*(irradianceMWPerCM2/wantedMJPerCM2))
}

// FlowForLampDose gives the flow past a lamp that puts a UV energy into each litre, the figure
// by which spawning with UV water is told.
//
// lampWatts of UV-C (not the electrical watts on the label, of which about 30 to 40 % is UV-C,
// from memory), usedShare of it that reaches the water, wantedMWhPerL in mWh/L; the result in L/h.
// Range: lampWatts and wantedMWhPerL above 0, usedShare above 0 and at most 1; otherwise an
// error wrapping limits.ErrRange.
// Source: arithmetic, W x 1000 x share / (mWh/L). 300 to 800 mWh/L for spawning is from memory
// (Kikuchi and Uki 1974). Not a fluence: the two do not convert without the chamber.
func FlowForLampDose(lampWatts, usedShare, wantedMWhPerL float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("lamp", lampWatts, 0, "W"),
		partOfOne("share used", usedShare),
		limits.Above("wanted UV dose", wantedMWhPerL, 0, "mWh/L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("flow", lampWatts*1000*usedShare/wantedMWhPerL)
}
