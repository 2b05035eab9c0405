package main

import (
	"errors"
	"fmt"

	"spatsheet/calc/dose"
	"spatsheet/protocols/quantity"
)

// A bath that goes in, and how often it must be poured off again.

func peroxideQuestion() question {
	return question{
		name: "peroxide", asks: "hydrogen peroxide stock for a bath",
		example: "--wanted '5 mmol/L' --volume '20 L' --stock '6 %' --label w/v",
		note:    "--label says what the percent on the bottle means: w/v is g in 100 mL, w/w is g in 100 g\nand needs the --density of the data sheet.",
		inputs: []input{
			{name: "wanted", says: "peroxide wanted in the bath", unit: "mmol/L", like: "5 mmol/L"},
			{name: "volume", says: "finished bath", unit: "L", like: "20 L"},
			{name: "stock", says: "strength on the label", unit: "%", like: "6 %"},
			{name: "label", says: "what the percent means", kind: word, like: "w/v", choices: []string{"w/v", "w/w"}},
			{name: "density", says: "density of the stock, for w/w", unit: "g/mL", like: "1.112 g/mL", optional: true},
		},
		work: peroxideWork,
	}
}

func peroxideWork(b *bench) error {
	wanted, litres, percent := b.in("wanted"), b.in("volume"), b.in("stock")
	weightOfBottle := of(percent, "%") + " × 10"
	molPerL, err := dose.PeroxideByVolume(percent)
	if b.values["label"].word == "w/w" {
		if !b.has("density") {
			return errors.New("--density is missing: w/w needs the density of the stock, such as '1.112 g/mL'")
		}
		weightOfBottle += " × " + of(b.in("density"), "g/mL")
		molPerL, err = dose.PeroxideByWeight(percent, b.in("density"))
	}
	if err != nil {
		return err
	}
	stockML, err := dose.PeroxideStock(wanted, litres, molPerL)
	if err != nil {
		return err
	}
	b.line("stock: %s / %s = %s", weightOfBottle, of(dose.WeightHydrogenPeroxide, "g/mol"), of(molPerL, "mol/L"))
	b.line("to the bath: %s × %s / %s = %s", of(wanted, "mmol/L"), of(litres, "L"), of(molPerL, "mol/L"), of(stockML, "mL"))
	b.source("arithmetic, V1 = C2 V2 / C1, with the IUPAC abridged atomic weights (2021)")
	b.caution(labelCaution)
	b.caution("peroxide burns, and loses strength on the shelf: gloves and goggles, a stock of the same day, and rinse before gametes come")
	b.result("peroxide stock", stockML, "mL")
	return nil
}

func rinseQuestion() question {
	return question{
		name: "rinse", asks: "water changes until no more than a share of a dose is left",
		example: "--left '1 %' --changed '80 %'",
		inputs: []input{
			{name: "left", says: "share of the dose that may be left", kind: part, like: "1 %"},
			{name: "changed", says: "share of the water changed each time", kind: part, like: "80 %"},
		},
		work: rinseWork,
	}
}

func rinseWork(b *bench) error {
	left, changed := b.in("left"), b.in("changed")
	changes, err := dose.ChangesNeeded(left, changed)
	if err != nil {
		return err
	}
	after, err := dose.AfterChanges(100, changed, changes)
	if err != nil {
		return err
	}
	if left < 1 && changed < 1 {
		b.line("changes, to be rounded up to %d: ln(%s) / ln(1 - %s)", changes, of(left, ""), of(changed, ""))
	}
	b.line("left after %d: 100 × (1 - %s) ^ %d = %s", changes, of(changed, ""), changes, of(after, "%"))
	b.source("arithmetic, (1 - f)^n, well mixed before each change")
	b.result("left", after, "%")
	b.result("changes", float64(changes), "")
	return nil
}

func flowQuestion() question {
	return question{
		name: "flow", asks: "water changes a day that a flow makes, and hours to flush a dose out",
		example: "--flow '2 L/min' --volume '100 L' --left '1 %'",
		inputs: []input{
			{name: "flow", says: "inflow", unit: "L/h", like: "2 L/min"},
			{name: "volume", says: "water in the vessel, as filled", unit: "L", like: "100 L"},
			{name: "left", says: "share of a dose that may be left", kind: part, like: "1 %", optional: true},
		},
		work: func(b *bench) error {
			flow, volume := b.in("flow"), b.in("volume")
			daily, err := dose.VolumesPerDay(flow, volume)
			if err != nil {
				return err
			}
			b.line("flow in mL/min: %s × 1000 / 60 = %s", of(flow, "L/h"), of(flow*1000/60, "mL/min"))
			b.line("changes a day: %s × 24 / %s = %s", of(flow, "L/h"), of(volume, "L"), of(daily, ""))
			b.source("arithmetic; flushing by C = C0 exp(-Q t/V), well mixed")
			b.result("flow", flow*1000/60, "mL/min")
			b.result("changes a day", daily, "")
			if !b.has("left") {
				return nil
			}
			hours, err := dose.FlowHours(b.in("left"), flow, volume)
			if err != nil {
				return err
			}
			b.line("time to flush: %s / %s × ln(1 / %s) = %s", of(volume, "L"), of(flow, "L/h"), of(b.in("left"), ""), of(hours, "h"))
			b.result("time to flush", hours, "h")
			return nil
		},
	}
}

// reagent is what is weighed for a bath: its formula weight in g/mol.
type reagent struct {
	name   string
	weight float64
}

// The names of those that are treated apart.
const (
	magnesiumChloride = "MgCl2.6H2O"
	antibiotic        = "antibiotic"
)

var reagents = []reagent{
	{magnesiumChloride, dose.WeightMagnesiumChlorideHexahydrate},
	{"KCl", dose.WeightPotassiumChloride}, {"GABA", dose.WeightGABA}, {"Tris", dose.WeightTrisBase},
	{"NaHCO3", dose.WeightSodiumBicarbonate}, {antibiotic, 0},
}

func weighQuestion() question {
	var names []string
	for _, r := range reagents {
		names = append(names, r.name)
	}
	return question{
		name: "weigh", asks: "reagent to weigh for a bath: relaxing, settling, raising pH",
		example: "--reagent MgCl2.6H2O --wanted '370 mmol/L' --volume '5 L'",
		note: "--wanted is in mmol/L; for MgCl2.6H2O also in %, g of the crystals in 100 mL; for an\n" +
			"antibiotic in mg/L of active substance. Tris is the base, not Tris HCl.",
		inputs: []input{
			{name: "reagent", says: "what is weighed", kind: word, like: magnesiumChloride, choices: names},
			{name: "wanted", says: "strength wanted", kind: strength, like: "370 mmol/L"},
			{name: "volume", says: "finished bath", unit: "L", like: "5 L"},
			{name: "active", says: "share of an antibiotic product that is active, its label says", kind: part, like: "90 %", optional: true},
		},
		work: weighWork,
	}
}

func weighWork(b *bench) error {
	name, wanted, litres := b.values["reagent"].word, b.values["wanted"].quantity, b.in("volume")
	b.caution(labelCaution)
	b.source("arithmetic, with the IUPAC abridged atomic weights (2021)")
	if name == antibiotic {
		return antibioticWork(b)
	}
	if err := b.without("reagent "+name, "active"); err != nil {
		return err
	}
	if name == magnesiumChloride && wanted.Unit() == quantity.MustUnit("%") {
		grams, err := dose.MagnesiumChlorideForPercent(wanted.Value(), litres)
		if err != nil {
			return err
		}
		b.line("%s: %s × 10 × %s = %s", name, of(wanted.Value(), "%"), of(litres, "L"), of(grams, "g"))
		b.result(name, grams, "g")
		return nil
	}
	molarity, err := strengthIn("mmol/L", wanted)
	if err != nil {
		return err
	}
	var grams, weight float64
	for _, r := range reagents {
		if r.name == name {
			weight = r.weight
		}
	}
	if name == magnesiumChloride {
		grams, err = dose.MagnesiumChlorideForMolarity(molarity/1000, litres)
	} else {
		grams, err = dose.GramsForMolarity(molarity, litres, weight)
	}
	if err != nil {
		return err
	}
	b.line("%s: %s / 1000 × %s × %s = %s", name, of(molarity, "mmol/L"), of(litres, "L"), of(weight, "g/mol"), of(grams, "g"))
	b.result(name, grams, "g")
	return nil
}

func antibioticWork(b *bench) error {
	wanted, err := strengthIn("mg/L", b.values["wanted"].quantity)
	if err != nil {
		return err
	}
	active := 1.0
	if b.has("active") {
		active = b.in("active")
	}
	mg, err := dose.Antibiotic(wanted, b.in("volume"), active)
	if err != nil {
		return err
	}
	b.caution("antibiotics only on veterinary advice and under local rules on use, resistance and discharge; hygiene comes first")
	b.line("product: %s × %s / %s = %s", of(wanted, "mg/L"), of(b.in("volume"), "L"), of(active, ""), of(mg, "mg"))
	b.result("product", mg, "mg")
	return nil
}

// strengthIn is a strength in a unit; a number alone has none and is asked back.
func strengthIn(unit string, q quantity.Quantity) (float64, error) {
	converted, err := q.In(quantity.MustUnit(unit))
	if err != nil || q.Unit() == (quantity.Unit{}) {
		return 0, fmt.Errorf("--wanted: %s is no strength in %s; give one with its unit, such as '5 %s'", q, unit, unit)
	}
	return converted.Value(), nil
}
