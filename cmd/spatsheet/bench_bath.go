package main

import (
	"errors"

	"spatsheet/calc/dose"
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
