package main

import (
	"errors"
	"fmt"
	"math"

	"spatsheet/calc/counts"
	"spatsheet/calc/stats"
)

func confidenceInput() input {
	return input{name: "confidence", says: "confidence of the interval", like: "0.95", fallback: "0.95"}
}

func dilutionInput() input {
	return input{name: "dilution", says: "times the sample was diluted (1 mL + 9 mL is 10)", like: "10", fallback: "1"}
}

func countsInput(says, like string) input {
	return input{name: "counts", says: says, kind: list, like: like}
}

func totalQuestion() question {
	return question{
		name: "total", asks: "eggs, larvae or cells in a vessel from counted subsamples",
		example: "--of eggs --counts 112,98,121,105,117 --subsample '1 mL' --vessel '20 L'",
		inputs: []input{
			{name: "of", says: "what was counted", kind: word, like: "eggs", choices: []string{"eggs", "larvae", "cells", "spat"}},
			countsInput("count in each subsample", "112,98,121"),
			{name: "subsample", says: "one subsample", unit: "mL", like: "1 mL"},
			{name: "vessel", says: "water in the vessel", unit: "L", like: "20 L"},
			dilutionInput(), confidenceInput(),
		},
		work: totalWork,
	}
}

func totalWork(b *bench) error {
	numbers, partML, vesselML, dilution := b.values["counts"].list, b.in("subsample"), b.in("vessel")*1000, b.in("dilution")
	estimate, err := counts.EstimateInVolume(numbers, partML, dilution, vesselML, b.in("confidence"))
	if err != nil {
		return err
	}
	mean := estimate.Spread.Mean
	b.line("mean of a subsample: %d / %d = %s", estimate.Spread.Total, estimate.Spread.Subsamples, of(mean, ""))
	b.line("in the vessel: %s × %s / %s × %s = %s", of(mean, ""), of(vesselML, "mL"), of(partML, "mL"), of(dilution, ""), of(estimate.Estimate, ""))
	scale := scaling{vesselML / partML * dilution, fmt.Sprintf("%s / %s × %s", of(vesselML, "mL"), of(partML, "mL"), of(dilution, ""))}
	return b.estimate(estimate, scale, b.values["of"].word)
}

// chambers are the squares that cells are counted in; the volume over one in mL.
var chambers = map[string]float64{
	"neubauer-large": counts.NeubauerLargeSquareML, "neubauer-group": counts.NeubauerGroupSquareML,
	"sedgewick-rafter": counts.SedgewickRafterSquareML,
}

func chamberQuestion() question {
	return question{
		name: "chamber", asks: "density from a counting chamber",
		example: "--chamber neubauer-large --counts 48,53,61,45 --of cells",
		note: "neubauer-large is one of nine squares of 1 mm, neubauer-group one of the 25 groups of the\ncentre, " +
			"sedgewick-rafter one of 1000 squares. Give the count of every square counted.",
		inputs: []input{
			{name: "chamber", says: "chamber and square", kind: word, like: "neubauer-large", choices: []string{"neubauer-large",
				"neubauer-group", "sedgewick-rafter"}},
			countsInput("count in each square", "48,53,61,45"),
			{name: "of", says: "what was counted", kind: word, like: "cells", choices: []string{"cells", "sperm", "eggs", "larvae"}},
			dilutionInput(), confidenceInput(),
		},
		work: chamberWork,
	}
}

func chamberWork(b *bench) error {
	squareML, dilution := chambers[b.values["chamber"].word], b.in("dilution")
	estimate, err := counts.EstimatePerML(b.values["counts"].list, squareML, dilution, b.in("confidence"))
	if err != nil {
		return err
	}
	s := estimate.Spread
	b.line("mean of a square: %d / %d = %s", s.Total, s.Subsamples, of(s.Mean, ""))
	b.line("density: %s / %s × %s = %s", of(s.Mean, ""), of(squareML, "mL"), of(dilution, ""), of(estimate.Estimate, "1/mL"))
	scale := scaling{dilution / squareML, fmt.Sprintf("%s / %s", of(dilution, ""), of(squareML, "mL"))}
	return b.estimate(estimate, scale, b.values["of"].word+"/mL")
}

func spermQuestion() question {
	return question{
		name: "sperm", asks: "sperm stock for a vessel of eggs, and sperm per egg",
		example: "--target '1e5 sperm/mL' --vessel '10 L' --stock '2e8 sperm/mL' --eggs 1e6",
		note:    "Watch sources that print sperm per litre.",
		inputs: []input{
			{name: "target", says: "sperm density wanted", unit: "sperm/mL", like: "1e5 sperm/mL"},
			{name: "vessel", says: "water with the eggs, before adding", unit: "L", like: "10 L"},
			{name: "stock", says: "sperm density of the stock", unit: "sperm/mL", like: "2e8 sperm/mL"},
			{name: "eggs", says: "eggs in the vessel", unit: "eggs", like: "1e6", optional: true},
		},
		work: spermWork,
	}
}

func spermWork(b *bench) error {
	target, vesselML, stock := b.in("target"), b.in("vessel")*1000, b.in("stock")
	stockML, err := counts.SpermStockML(target, vesselML, stock)
	if err != nil {
		return err
	}
	b.line("stock, poured on top: %s × %s / (%s - %s) = %s",
		of(target, "sperm/mL"), of(vesselML, "mL"), of(stock, "sperm/mL"), of(target, "sperm/mL"), of(stockML, "mL"))
	b.source("arithmetic, target x vessel / (stock - target)")
	if b.has("eggs") {
		perEgg, err := counts.SpermPerEgg(target, vesselML+stockML, b.in("eggs"))
		if err != nil {
			return err
		}
		b.line("sperm per egg: %s × %s / %s = %s", of(target, "sperm/mL"), of(vesselML+stockML, "mL"), of(b.in("eggs"), "eggs"), of(perEgg, "sperm/egg"))
		b.source("arithmetic, target x vessel / (stock - target); over 100 sperm per egg adds little in Haliotis " +
			"tuberculata, Baker and Tyler (2001), Mar. Ecol. Prog. Ser. 211:205 (abstract)")
		b.result("sperm per egg", perEgg, "sperm/egg")
	}
	b.result("sperm stock", stockML, "mL")
	return nil
}

func fertilisationQuestion() question {
	return question{
		name: "fertilisation", asks: "share of eggs fertilised, with limits",
		example: "--regular 173 --irregular 12 --uncleaved 65",
		inputs: []input{
			{name: "regular", says: "eggs cleaved regularly", unit: "eggs", kind: whole, like: "173"},
			{name: "irregular", says: "eggs cleaved irregularly", unit: "eggs", kind: whole, like: "12", fallback: "0"},
			{name: "uncleaved", says: "eggs not cleaved", unit: "eggs", kind: whole, like: "65"},
			confidenceInput(),
		},
		work: fertilisationWork,
	}
}

func fertilisationWork(b *bench) error {
	regular, irregular, uncleaved := b.count("regular"), b.count("irregular"), b.count("uncleaved")
	if regular+irregular+uncleaved == 0 {
		return errors.New("no egg was scored; score 100 or more from a stirred vessel")
	}
	rate, err := counts.FertilisationRate(regular, irregular, uncleaved, b.in("confidence"))
	if err != nil {
		return err
	}
	b.line("eggs scored: %d + %d + %d = %d", regular, irregular, uncleaved, rate.Scored)
	b.line("all cleaved: (%d + %d) / %d × 100 = %s", regular, irregular, rate.Scored, of(100*rate.Cleaved.Estimate, "%"))
	b.line("irregular: %d / %d × 100 = %s", irregular, rate.Scored, of(100*rate.Irregular.Estimate, "%"))
	if err := b.shareLines("regular", regular, rate.Scored, rate.Regular); err != nil {
		return err
	}
	b.source("Wilson (1927), Journal of the American Statistical Association 22:209, without continuity correction")
	if rate.FewScored {
		b.caution("fewer than 100 eggs scored: the limits are wide")
	}
	b.result("all cleaved", 100*rate.Cleaved.Estimate, "%")
	b.result("irregular", 100*rate.Irregular.Estimate, "%")
	b.shareResults("regular", rate.Regular)
	return nil
}

// shareLines works a share and its Wilson limits.
func (b *bench) shareLines(name string, part, all int, share stats.Interval) error {
	if share.Confidence <= 0 || share.Confidence >= 1 {
		return errors.New("confidence: give a share such as 0.95")
	}
	z := math.Sqrt2 * math.Erfinv(share.Confidence) // the normal quantile of a two-sided interval
	n, p := float64(all), float64(part)/float64(all)
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n)) / (1 + z*z/n)
	b.line("%s: %d / %d = %s", name, part, all, of(p, ""))
	b.line("z for %s: %s", of(100*share.Confidence, "%"), of(z, ""))
	b.line("middle of the limits: (%s + %s ^ 2 / (2 × %d)) / (1 + %s ^ 2 / %d) = %s", of(p, ""), of(z, ""), all, of(z, ""), all, of(middle, ""))
	b.line("half their width: %s × sqrt(%s × (1 - %s) / %d + %s ^ 2 / (4 × %d ^ 2)) / (1 + %s ^ 2 / %d) = %s",
		of(z, ""), of(p, ""), of(p, ""), all, of(z, ""), all, of(z, ""), all, of(half, ""))
	b.line("lower limit: (%s - %s) × 100 = %s", of(middle, ""), of(half, ""), of(100*share.Low, "%"))
	b.line("upper limit: (%s + %s) × 100 = %s", of(middle, ""), of(half, ""), of(100*share.High, "%"))
	return nil
}

func (b *bench) shareResults(name string, share stats.Interval) {
	b.result(name+", lower limit", 100*share.Low, "%")
	b.result(name+", upper limit", 100*share.High, "%")
	b.result(name, 100*share.Estimate, "%")
}
