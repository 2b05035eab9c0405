package main

import (
	"errors"
	"fmt"
	"math"

	"spatsheet/calc/seawater"
)

func waterTemp() input {
	return input{name: "temp", says: "temperature of the water", unit: "°C", like: "18 °C"}
}

func salinityInput(name, says, like string) input {
	return input{name: name, says: says, unit: "PSU", like: like}
}

func salinityQuestion() question {
	reference := input{name: "reference", says: "temperature printed on the hydrometer", unit: "°C", like: "20 °C", optional: true}
	return question{
		name: "salinity", asks: "salinity from a conductivity or a hydrometer reading",
		example: "--conductivity '45 mS/cm' --temp '18 °C'",
		note: "Give --conductivity as measured, not corrected to 20 or 25 °C; or --gravity from a\nhydrometer, with " +
			"the --reference temperature printed on it.",
		inputs: []input{
			{name: "conductivity", says: "conductivity at this temperature", unit: "mS/cm", like: "45 mS/cm", optional: true},
			{name: "gravity", says: "hydrometer reading", like: "1.025", optional: true},
			waterTemp(), reference,
		},
		work: func(b *bench) error {
			switch which, err := b.onlyOne("conductivity", "gravity"); {
			case err != nil:
				return err
			case which == "conductivity":
				return salinityByConductivity(b)
			}
			return salinityByHydrometer(b)
		},
	}
}

func salinityByConductivity(b *bench) error {
	conductivity, temp := b.in("conductivity"), b.in("temp")
	salinity, err := seawater.SalinityFromConductivity(conductivity, temp)
	if err != nil {
		return err
	}
	standard, err := seawater.Conductivity(35, temp)
	if err != nil {
		return err
	}
	b.line("seawater of salinity 35 shows %s at %s (PSS-78)", of(standard, "mS/cm"), of(temp, "°C"))
	b.line("conductivity against that: %s / %s = %s", of(conductivity, "mS/cm"), of(standard, "mS/cm"), of(conductivity/standard, ""))
	b.line("PSS-78 turns this ratio at %s into salinity %s", of(temp, "°C"), of(salinity, "PSU"))
	b.line("rough check, near salinity 35 only: 35 × %s = %s", of(conductivity/standard, ""), of(35*conductivity/standard, ""))
	b.source("PSS-78, UNESCO Technical Papers in Marine Science 44 (1983)")
	b.result("practical salinity", salinity, "PSU")
	return nil
}

// errMissingReference: the same reading is S 32.9 at 20/20 °C and S 34.1 at 20/15 °C.
var errMissingReference = errors.New("--reference is missing: the temperature printed on the hydrometer, such as '20 °C'")

func salinityByHydrometer(b *bench) error {
	if !b.has("reference") {
		return errMissingReference
	}
	gravity, temp, reference := b.in("gravity"), b.in("temp"), b.in("reference")
	salinity, err := seawater.SalinityFromSpecificGravity(gravity, temp, reference)
	if err != nil {
		return err
	}
	pure, err := seawater.PureWaterDensity(reference)
	if err != nil {
		return err
	}
	found, err := seawater.Density(salinity, temp)
	if err != nil {
		return err
	}
	b.line("pure water at the reference temperature of %s weighs %s (TEOS-10)", of(reference, "°C"), of(pure, "kg/m3"))
	b.line("density of this water: %s × %s = %s", of(gravity, ""), of(pure, "kg/m3"), of(found, "kg/m3"))
	b.line("TEOS-10: seawater at %s has that density at salinity %s", of(temp, "°C"), of(salinity, "PSU"))
	b.source("TEOS-10 (IOC, SCOR and IAPSO 2010), density of seawater and of pure water")
	b.result("practical salinity", salinity, "PSU")
	return nil
}

func mixQuestion() question {
	return question{
		name: "mix", asks: "two waters mixed to a salinity, or a standing tank brought to one",
		example: "--volume '250 L' --wanted 31 --saltier 36 --fresher 28 --temp '20 °C'",
		note: "Give --volume with --saltier and --fresher for a new tank from two waters. Give --tank\n" +
			"and --now for a tank that stands there: the answer is the fresh water to add, or the sea\n" +
			"salt, which needs --salt-share (100 % for oven-dry salt, 85 to 90 % for a bagged one).",
		inputs: []input{
			{name: "volume", says: "volume wanted", unit: "L", like: "250 L", optional: true},
			salinityInput("wanted", "salinity wanted", "31"),
			{name: "saltier", says: "salinity of the saltier water", unit: "PSU", like: "36", optional: true},
			{name: "fresher", says: "salinity of the fresher water, 0 without it", unit: "PSU", like: "28", optional: true},
			{name: "tank", says: "water in a standing tank", unit: "L", like: "500 L", optional: true},
			{name: "now", says: "salinity in the standing tank", unit: "PSU", like: "34", optional: true},
			{name: "salt-share", says: "share of the sea salt that is salt, the rest is water", kind: part, like: "85 %", optional: true},
			waterTemp(),
		},
		work: func(b *bench) error {
			switch which, err := b.onlyOne("volume", "tank"); {
			case err != nil:
				return err
			case which == "volume":
				return mixWork(b)
			}
			return tankWork(b)
		},
	}
}

// tankWork brings a standing tank to a salinity: fresh water lowers it, sea salt raises it.
func tankWork(b *bench) error {
	if err := b.needs("tank", "now"); err != nil {
		return err
	}
	if err := b.without("tank", "saltier", "fresher"); err != nil {
		return err
	}
	tank, now, wanted, temp := b.in("tank"), b.in("now"), b.in("wanted"), b.in("temp")
	density, err := seawater.Density(now, temp)
	if err != nil {
		return err
	}
	b.line("density at %s for salinity %s (TEOS-10): %s", of(temp, "°C"), of(now, ""), of(density/1000, "kg/L"))
	mass := tank * density / 1000
	b.line("mass of the tank's water: %s × %s = %s", of(tank, "L"), of(density/1000, "kg/L"), of(mass, "kg"))
	b.source("conservation of salt and water by mass (arithmetic); densities TEOS-10 (IOC, SCOR and IAPSO 2010)")
	if wanted > now {
		return saltWork(b, mass)
	}
	fresh, err := seawater.FreshWaterToLower(tank, now, wanted, temp)
	if err != nil {
		return err
	}
	freshDensity, err := seawater.Density(0, temp)
	if err != nil {
		return err
	}
	b.line("density of fresh water: %s", of(freshDensity/1000, "kg/L"))
	b.line("fresh water: %s × (%s - %s) / %s / %s = %s",
		of(mass, "kg"), of(now, ""), of(wanted, ""), of(wanted, ""), of(freshDensity/1000, "kg/L"), of(fresh, "L"))
	b.caution("pour slowly, far from the animals, and measure before the last tenth; tap water needs its chlorine taken out")
	b.result("fresh water to add", fresh, "L")
	return nil
}

// saltWork is the half of tankWork that adds salt to a mass of water in kg.
func saltWork(b *bench, mass float64) error {
	if err := b.needs("tank", "salt-share"); err != nil {
		return err
	}
	now, wanted, share := b.in("now"), b.in("wanted"), b.in("salt-share")
	grams, err := seawater.SaltToRaise(b.in("tank"), now, wanted, b.in("temp"), share)
	if err != nil {
		return err
	}
	const gPerKG = 35.16504 / 35 // salt in a kilogram of water of salinity 1, as SaltToRaise has it
	have, want := now*gPerKG/1000, wanted*gPerKG/1000
	b.line("salt in a kilogram of the tank: %s × 35.16504 / 35 / 1000 = %s", of(now, ""), finely(have, "kg/kg"))
	b.line("salt in a kilogram wanted: %s × 35.16504 / 35 / 1000 = %s", of(wanted, ""), finely(want, "kg/kg"))
	b.line("sea salt: 1000 × %s × (%s - %s) / (%s - %s) = %s",
		of(mass, "kg"), finely(want, ""), finely(have, ""), of(share, ""), finely(want, ""), of(grams, "g"))
	b.caution("dissolve it in a bucket of the tank's own water; weigh in less at first, measure, and complete")
	b.result("sea salt to add", grams, "g")
	return nil
}

func mixWork(b *bench) error {
	if err := b.needs("volume", "saltier"); err != nil {
		return err
	}
	if err := b.without("volume", "now", "salt-share"); err != nil {
		return err
	}
	volume, wanted, saltier, fresher, temp := b.in("volume"), b.in("wanted"), b.in("saltier"), b.in("fresher"), b.in("temp")
	if saltier < fresher {
		return fmt.Errorf("--saltier %g is fresher than --fresher %g; give the two the other way round", saltier, fresher)
	}
	volumeA, volumeB, err := seawater.VolumesToMix(volume, wanted, saltier, fresher, temp)
	if err != nil {
		return err
	}
	var kgPerL [3]float64
	for i, salinity := range []float64{wanted, saltier, fresher} {
		density, err := seawater.Density(salinity, temp)
		if err != nil {
			return err
		}
		kgPerL[i] = density / 1000
	}
	mass, share := volume*kgPerL[0], (wanted-fresher)/(saltier-fresher)
	b.line("densities at %s for salinity %s, %s and %s (TEOS-10): %s, %s and %s", of(temp, "°C"), of(wanted, ""), of(saltier, ""), of(fresher, ""),
		of(kgPerL[0], "kg/L"), of(kgPerL[1], "kg/L"), of(kgPerL[2], "kg/L"))
	b.line("mass wanted: %s × %s = %s", of(volume, "L"), of(kgPerL[0], "kg/L"), of(mass, "kg"))
	b.line("share of the saltier water by mass: (%s - %s) / (%s - %s) = %s", of(wanted, ""), of(fresher, ""), of(saltier, ""), of(fresher, ""), of(share, ""))
	b.line("saltier water: %s × %s / %s = %s", of(mass, "kg"), of(share, ""), of(kgPerL[1], "kg/L"), of(volumeA, "L"))
	b.line("fresher water: %s × (1 - %s) / %s = %s", of(mass, "kg"), of(share, ""), of(kgPerL[2], "kg/L"), of(volumeB, "L"))
	b.source("conservation of salt and water by mass (arithmetic); densities TEOS-10 (IOC, SCOR and IAPSO 2010)")
	b.result("saltier water", volumeA, "L")
	b.result("fresher water", volumeB, "L")
	return nil
}

func oxygenQuestion() question {
	return question{
		name: "oxygen", asks: "oxygen that water holds, and the saturation of a reading",
		example: "--salinity 33 --temp '18 °C' --measured '7 mg/L'",
		inputs: []input{
			salinityInput("salinity", "salinity", "33"), waterTemp(),
			{name: "measured", says: "oxygen measured", unit: "mg/L", like: "7 mg/L", optional: true},
			{name: "pressure", says: "air pressure at the tank, not reduced to sea level", unit: "hPa", like: "1005 hPa", optional: true},
		},
		work: oxygenWork,
	}
}

func oxygenWork(b *bench) error {
	salinity, temp := b.in("salinity"), b.in("temp")
	solubility, err := seawater.OxygenSolubilityMGPerL(salinity, temp)
	if err != nil {
		return err
	}
	b.line("Garcia and Gordon (1992): seawater of salinity %s at %s and 1013.25 hPa holds %s", of(salinity, ""), of(temp, "°C"), of(solubility, "mg/L"))
	b.source("Garcia and Gordon (1992), Limnology and Oceanography 37:1307; pressure by Benson and Krause (1984), Limnology and Oceanography 29:620")
	here := solubility
	if b.has("pressure") {
		factor, err := seawater.OxygenPressureFactor(salinity, temp, b.in("pressure"))
		if err != nil {
			return err
		}
		here = solubility * factor
		b.line("Benson and Krause (1984): the factor for %s is %s", of(b.in("pressure"), "hPa"), of(factor, ""))
		b.line("at this pressure: %s × %s = %s", of(solubility, "mg/L"), of(factor, ""), of(here, "mg/L"))
	}
	b.result("oxygen at saturation", here, "mg/L")
	if !b.has("measured") {
		return nil
	}
	percent, err := oxygenPercent(b)
	if err != nil {
		return err
	}
	b.line("saturation: 100 × %s / %s = %s", of(b.in("measured"), "mg/L"), of(here, "mg/L"), of(percent, "%"))
	b.result("saturation", percent, "%")
	return nil
}

func oxygenPercent(b *bench) (float64, error) {
	if b.has("pressure") {
		return seawater.OxygenSaturationPercentAtPressure(b.in("measured"), b.in("salinity"), b.in("temp"), b.in("pressure"))
	}
	return seawater.OxygenSaturationPercent(b.in("measured"), b.in("salinity"), b.in("temp"))
}

func ammoniaQuestion() question {
	return question{
		name: "ammonia", asks: "un-ionised ammonia from total ammonia nitrogen",
		example: "--total '0.5 mg/L' --ph 8.1 --scale total --salinity 33 --temp '18 °C'",
		note: "The scale of the pH must be named: total for a meter set with seawater (Tris) buffers,\n" +
			"free, or NBS for the usual bottled buffers. In seawater an NBS meter reads too high by\n" +
			"--nbs-above, which a seawater buffer shows (0.1 to 0.15 is usual).",
		inputs: []input{
			{name: "total", says: "total ammonia, as nitrogen", unit: "mg/L", like: "0.5 mg/L"},
			{name: "ph", says: "pH", unit: "pH", like: "8.1"},
			{name: "scale", says: "scale of the pH", kind: word, like: "total", choices: []string{"total", "free", "NBS"}},
			{name: "nbs-above", says: "what an NBS meter reads above the total scale in seawater", like: "0.12", optional: true},
			salinityInput("salinity", "salinity", "33"), waterTemp(),
		},
		work: ammoniaWork,
	}
}

// pH is the pH with its scale; one of an NBS meter in seawater is brought to the total scale.
func (b *bench) pH() (float64, seawater.PHScale, error) {
	read, scale := b.in("ph"), pHScales[b.values["scale"].word]
	const freshWater = 0.5 // salinity to which an NBS meter is right, as calc/seawater has it
	if scale != seawater.NBSScale || b.in("salinity") <= freshWater {
		return read, scale, b.without("scale "+b.values["scale"].word, "nbs-above")
	}
	if !b.has("nbs-above") {
		return 0, scale, errors.New("--nbs-above is missing: in seawater a pH on the NBS scale is too high by what the meter " +
			"reads above the total scale; find it with a seawater (Tris) buffer, such as --nbs-above 0.12")
	}
	total, err := seawater.TotalPHFromNBS(read, b.in("nbs-above"))
	if err != nil {
		return 0, scale, err
	}
	b.line("pH on the total scale: %s - %s = %s", of(read, ""), of(b.in("nbs-above"), ""), of(total, ""))
	return total, seawater.TotalScale, nil
}

var pHScales = map[string]seawater.PHScale{"total": seawater.TotalScale, "free": seawater.FreeScale, "NBS": seawater.NBSScale}

func ammoniaWork(b *bench) error {
	total := b.in("total")
	pH, scale, err := b.pH()
	if err != nil {
		return err
	}
	share, err := seawater.UnionisedAmmoniaFraction(pH, scale, b.in("salinity"), b.in("temp"))
	if err != nil {
		return err
	}
	unionised, err := seawater.UnionisedAmmoniaMGPerL(total, pH, scale, b.in("salinity"), b.in("temp"))
	if err != nil {
		return err
	}
	equation := "Clegg and Whitfield (1995), Geochimica et Cosmochimica Acta 59:2403"
	if scale == seawater.NBSScale {
		equation = "Emerson et al. (1975), Journal of the Fisheries Research Board of Canada 32:2379"
	}
	pK := pH + math.Log10(1/share-1) // share = 1 / (1 + 10^(pKa - pH)) the other way round
	b.line("pKa of ammonium, %s: %s", scale, of(pK, ""))
	b.line("un-ionised share: 1 / (1 + 10 ^ (%s - %s)) = %s", of(pK, ""), of(pH, ""), of(share, ""))
	b.line("un-ionised ammonia nitrogen: %s × %s = %s", of(total, "mg/L"), of(share, ""), of(unionised, "mg/L"))
	b.source(equation)
	if scale != seawater.NBSScale {
		b.caution("the pH is taken to be on the " + scale.String() + "; in seawater the other scale changes the answer by a fifth or more")
	}
	b.result("un-ionised share", 100*share, "%")
	b.result("un-ionised ammonia nitrogen", unionised, "mg/L")
	return nil
}
