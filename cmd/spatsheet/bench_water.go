package main

import (
	"errors"
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
		note:    "Give --conductivity as measured, not corrected to 20 or 25 °C; or --gravity from a\nhydrometer, with the --reference temperature printed on it.",
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
		name: "mix", asks: "two waters mixed to a salinity",
		example: "--volume '250 L' --wanted 31 --saltier 36 --fresher 28 --temp '20 °C'",
		inputs: []input{
			{name: "volume", says: "volume wanted", unit: "L", like: "250 L"},
			salinityInput("wanted", "salinity wanted", "31"),
			salinityInput("saltier", "salinity of the saltier water", "36"),
			{name: "fresher", says: "salinity of the fresher water", unit: "PSU", like: "28", fallback: "0"},
			waterTemp(),
		},
		work: mixWork,
	}
}

func mixWork(b *bench) error {
	volume, wanted, saltier, fresher, temp := b.in("volume"), b.in("wanted"), b.in("saltier"), b.in("fresher"), b.in("temp")
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
		note:    "The scale of the pH must be named: total for a meter set with seawater (Tris) buffers,\nfree, or NBS for the usual bottled buffers, which is for fresh water only.",
		inputs: []input{
			{name: "total", says: "total ammonia, as nitrogen", unit: "mg/L", like: "0.5 mg/L"},
			{name: "ph", says: "pH", unit: "pH", like: "8.1"},
			{name: "scale", says: "scale of the pH", kind: word, like: "total", choices: []string{"total", "free", "NBS"}},
			salinityInput("salinity", "salinity", "33"), waterTemp(),
		},
		work: ammoniaWork,
	}
}

var pHScales = map[string]seawater.PHScale{"total": seawater.TotalScale, "free": seawater.FreeScale, "NBS": seawater.NBSScale}

func ammoniaWork(b *bench) error {
	total, pH, scale := b.in("total"), b.in("ph"), pHScales[b.values["scale"].word]
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
