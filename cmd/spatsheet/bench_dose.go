package main

import (
	"errors"
	"fmt"
	"math"

	"spatsheet/calc/dose"
	"spatsheet/protocols/quantity"
)

const (
	labelCaution = "follow the label and the safety sheet, the site's rules and local code, for use and for discharge; " +
		"this is arithmetic, not leave to use a substance"
	lampCaution = "UV-C burns eyes and skin: follow the lamp's label, the site's rules and local code; never look at a lit lamp"
)

func dilutionQuestion() question {
	return question{
		name: "dilution", asks: "stock to make up to a volume of a weaker strength",
		example: "--stock '30 %' --wanted '0.3 %' --volume '5 L'",
		note:    "Both strengths are in the same kind of unit, such as %, mol/L, mg/L or cells/mL.",
		inputs: []input{
			{name: "stock", says: "strength of the stock", kind: strength, like: "30 %"},
			{name: "wanted", says: "strength wanted", kind: strength, like: "0.3 %"},
			{name: "volume", says: "final volume, stock included", unit: "L", like: "5 L"},
		},
		work: dilutionWork,
	}
}

func dilutionWork(b *bench) error {
	stock := b.values["stock"].quantity
	wanted, err := b.values["wanted"].quantity.In(stock.Unit())
	if err != nil {
		return fmt.Errorf("--wanted: %w; give both strengths in the same kind of unit", err)
	}
	if (stock.Unit() == quantity.Unit{}) != (b.values["wanted"].quantity.Unit() == quantity.Unit{}) {
		return errors.New("--stock and --wanted: one has a unit and the other has none; give both in the same unit")
	}
	finalML, unit := b.in("volume")*1000, stock.Unit().Symbol()
	stockML, err := dose.StockVolume(stock.Value(), wanted.Value(), finalML)
	if err != nil {
		return err
	}
	b.line("V1 = C2 × V2 / C1: %s × %s / %s = %s", of(wanted.Value(), unit), of(finalML, "mL"), of(stock.Value(), unit), of(stockML, "mL"))
	b.line("water to make up: %s - %s = %s", of(finalML, "mL"), of(stockML, "mL"), of(finalML-stockML, "mL"))
	b.source("arithmetic, V1 = C2 V2 / C1")
	b.caution("if the stock is a chemical: " + labelCaution)
	b.rest("water", finalML-stockML, stockML, "mL")
	b.result("stock", stockML, "mL")
	return nil
}

func chlorineQuestion() question {
	return question{
		name: "chlorine", asks: "bleach for a dose of chlorine, and thiosulphate to take it out",
		example: "--dose '10 mg/L' --volume '500 L' --available '5 %'",
		note:    "--available is available chlorine as weight by volume (g in 100 mL), of the bottle's label.",
		inputs: []input{
			{name: "dose", says: "chlorine wanted, as Cl2", unit: "mg/L", like: "10 mg/L"},
			{name: "volume", says: "water, bleach included", unit: "L", like: "500 L"},
			{name: "available", says: "available chlorine of the bleach, weight by volume", unit: "%", like: "5 %"},
			{name: "residual", says: "chlorine measured before neutralising (the dose if it was not)", unit: "mg/L", like: "8 mg/L", optional: true},
		},
		work: chlorineWork,
	}
}

func chlorineWork(b *bench) error {
	wanted, litres, available := b.in("dose"), b.in("volume"), b.in("available")
	bleachML, err := dose.HypochloriteVolume(wanted, litres, available)
	if err != nil {
		return err
	}
	residual := wanted
	if b.has("residual") {
		residual = b.in("residual")
	}
	ratio, err := dose.ThiosulphatePerChlorine(dose.ToTetrathionate)
	if err != nil {
		return err
	}
	grams, err := dose.Thiosulphate(residual, litres, dose.ToTetrathionate)
	if err != nil {
		return err
	}
	b.line("strength of a bleach of %s: 10 × %s = %s", of(available, "%"), of(available, ""), of(10*available, "mg/mL"))
	b.line("bleach: %s × %s / %s = %s", of(wanted, "mg/L"), of(litres, "L"), of(10*available, "mg/mL"), of(bleachML, "mL"))
	b.line("thiosulphate, 2 mol for 1 mol of chlorine: 2 × %s / %s = %s",
		of(dose.WeightThiosulphatePentahydrate, "g/mol"), of(dose.WeightChlorine, "g/mol"), of(ratio, "mg/mg"))
	b.line("thiosulphate pentahydrate: %s × %s × %s / 1000 = %s", of(residual, "mg/L"), of(litres, "L"), of(ratio, "mg/mg"), of(grams, "g"))
	b.source("arithmetic from the reactions and the IUPAC abridged atomic weights (2021); thiosulphate to tetrathionate, the reaction that needs most")
	b.caution(labelCaution)
	b.caution("never mix bleach with acid; measure the chlorine left with a test strip before any animal meets the water")
	b.result("bleach", bleachML, "mL")
	b.result("sodium thiosulphate pentahydrate", grams, "g")
	return nil
}

func dripQuestion() question {
	return question{
		name: "drip", asks: "drip for acclimation: flow, time and curve",
		example: "--volume '10 L' --from-temp '20 °C' --to-temp '15 °C' --from-salinity 36 --to-salinity 33",
		inputs: []input{
			{name: "volume", says: "water in the vessel, as filled", unit: "L", like: "10 L"},
			{name: "from-temp", says: "temperature in the vessel", unit: "°C", like: "20 °C"},
			{name: "to-temp", says: "temperature of the incoming water", unit: "°C", like: "15 °C"},
			salinityInput("from-salinity", "salinity in the vessel", "36"),
			salinityInput("to-salinity", "salinity of the incoming water", "33"),
			{name: "rate-temp", says: "greatest change of temperature", unit: "°C/h", like: "1 °C/h", fallback: "1 °C/h"},
			{name: "rate-salinity", says: "greatest change of salinity", unit: "PSU/h", like: "1 PSU/h", fallback: "1 PSU/h"},
			{name: "within-temp", says: "temperature counts as reached within", unit: "K", like: "0.5 °C", fallback: "0.5 °C"},
			{name: "within-salinity", says: "salinity counts as reached within", unit: "PSU", like: "0.5", fallback: "0.5"},
		},
		work: dripWork,
	}
}

// dripPoints are the steps that the curve is printed in, our choice.
const dripPoints = 8

func dripWork(b *bench) error {
	from := dose.Water{TempC: b.in("from-temp"), Salinity: b.in("from-salinity")}
	to := dose.Water{TempC: b.in("to-temp"), Salinity: b.in("to-salinity")}
	volume, tempGap, salinityGap := b.in("volume"), to.TempC-from.TempC, to.Salinity-from.Salinity
	if tempGap == 0 && salinityGap == 0 {
		return errors.New("both waters are alike; no drip is needed")
	}
	flow, err := dose.DripFlowForBoth(tempGap, salinityGap, b.in("rate-temp"), b.in("rate-salinity"), volume)
	if err != nil {
		return err
	}
	b.dripFlowLine("temperature", b.in("rate-temp"), tempGap, "°C/h", "°C")
	b.dripFlowLine("salinity", b.in("rate-salinity"), salinityGap, "PSU/h", "PSU")
	b.line("the lower flow is the drip: %s", of(flow, "L/h"))
	b.line("the same in mL/min: %s × 1000 / 60 = %s", of(flow, "L/h"), of(flow*1000/60, "mL/min"))
	hours, err := b.dripHours(from, to, flow)
	if err != nil {
		return err
	}
	b.source("arithmetic, first-order mixing: T = Tn + (T0 - Tn) exp(-Q t/V), well mixed, constant volume, no heat through the walls")
	if hours > 0 {
		if err := b.dripCurve(from, to, flow, hours); err != nil {
			return err
		}
	}
	b.result("time", hours, "h")
	b.result("drip", flow, "L/h")
	b.result("the same", flow*1000/60, "mL/min")
	return nil
}

func (b *bench) dripFlowLine(what string, rate, gap float64, rateUnit, gapUnit string) {
	if gap == 0 {
		b.line("%s: no gap, no limit to the flow", what)
		return
	}
	volume := b.in("volume")
	b.line("flow for %s: %s × %s / %s = %s", what, of(rate, rateUnit), of(volume, "L"), of(math.Abs(gap), gapUnit), of(rate*volume/math.Abs(gap), "L/h"))
}

// dripHours is the time until both are as near as asked.
func (b *bench) dripHours(from, to dose.Water, flow float64) (float64, error) {
	volume := b.in("volume")
	longest := 0.0
	for _, c := range []struct {
		what, unit          string
		start, end, nearing float64
	}{
		{"temperature", "°C", from.TempC, to.TempC, b.in("within-temp")},
		{"salinity", "PSU", from.Salinity, to.Salinity, b.in("within-salinity")},
	} {
		hours, err := dose.DripHours(c.start, c.end, c.nearing, flow, volume)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", c.what, err)
		}
		if hours > 0 {
			b.line("time for %s: %s / %s × ln(%s / %s) = %s",
				c.what, of(volume, "L"), of(flow, "L/h"), of(math.Abs(c.start-c.end), c.unit), of(c.nearing, c.unit), of(hours, "h"))
		}
		longest = math.Max(longest, hours)
	}
	return longest, nil
}

func (b *bench) dripCurve(from, to dose.Water, flow, hours float64) error {
	curve, err := dose.DripCurve(from, to, flow, b.in("volume"), hours, hours/dripPoints)
	if err != nil {
		return err
	}
	for _, point := range curve {
		at := "after " + printed(point.Hours, "h", resultFigures)
		b.result("temperature "+at, point.TempC, "°C")
		b.result("salinity "+at, point.Salinity, "PSU")
	}
	return nil
}

func uvQuestion() question {
	return question{
		name: "uv", asks: "UV dose from irradiance and time, or the flow that keeps a dose",
		example: "--irradiance '2 mW/cm2' --time '15 s'",
		note: "Give --time for the dose of standing water; or --wanted and --chamber for the fastest flow\nthrough a " +
			"chamber (plug flow: in a real one some water passes faster).",
		inputs: []input{
			{name: "irradiance", says: "UV-C where the water is", unit: "mW/cm2", like: "2 mW/cm2"},
			{name: "time", says: "time in the light", unit: "s", like: "15 s", optional: true},
			{name: "wanted", says: "dose wanted", unit: "mJ/cm2", like: "30 mJ/cm2", optional: true},
			{name: "chamber", says: "water in the chamber", unit: "L", like: "3 L", optional: true},
		},
		work: uvWork,
	}
}

func uvWork(b *bench) error {
	irradiance := b.in("irradiance")
	which, err := b.onlyOne("time", "wanted")
	if err != nil {
		return err
	}
	b.caution(lampCaution)
	if which == "time" {
		fluence, err := dose.Fluence(irradiance, b.in("time"))
		if err != nil {
			return err
		}
		b.line("dose: %s × %s = %s", of(irradiance, "mW/cm2"), of(b.in("time"), "s"), of(fluence, "mJ/cm2"))
		b.source("definition, fluence = irradiance x time")
		b.result("dose", fluence, "mJ/cm2")
		return nil
	}
	if !b.has("chamber") {
		return errors.New("--chamber is missing: the water in the chamber, such as '3 L'")
	}
	flow, err := dose.FlowForFluence(irradiance, b.in("chamber"), b.in("wanted"))
	if err != nil {
		return err
	}
	seconds := b.in("wanted") / irradiance
	b.line("time in the chamber: %s / %s = %s", of(b.in("wanted"), "mJ/cm2"), of(irradiance, "mW/cm2"), of(seconds, "s"))
	b.line("flow: %s × 3600 / %s = %s", of(b.in("chamber"), "L"), of(seconds, "s"), of(flow, "L/h"))
	b.source("arithmetic, time in the chamber = volume / flow, plug flow")
	b.result("fastest flow", flow, "L/h")
	return nil
}

func lampQuestion() question {
	return question{
		name: "lamp", asks: "flow past a UV lamp for spawning water",
		example: "--power '10 W' --used 0.5 --wanted '500 mWh/L'",
		note:    "--power is the lamp's UV-C, not the electrical watts of the label.",
		inputs: []input{
			{name: "power", says: "UV-C of the lamp", unit: "W", like: "10 W"},
			{name: "used", says: "share of it that reaches the water", kind: part, like: "0.5"},
			{name: "wanted", says: "UV energy for each litre", unit: "mWh/L", like: "500 mWh/L"},
		},
		work: func(b *bench) error {
			power, used, wanted := b.in("power"), b.in("used"), b.in("wanted")
			flow, err := dose.FlowForLampDose(power, used, wanted)
			if err != nil {
				return err
			}
			b.line("flow: %s × 1000 × %s / %s = %s", of(power, "W"), of(used, ""), of(wanted, "mWh/L"), of(flow, "L/h"))
			b.source("arithmetic; 300 to 800 mWh/L for spawning: Kikuchi and Uki (1974), from memory")
			b.caution(lampCaution)
			b.result("flow", flow, "L/h")
			return nil
		},
	}
}
