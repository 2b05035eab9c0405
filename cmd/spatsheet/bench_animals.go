package main

import (
	"fmt"
	"strings"

	"spatsheet/calc/dose"
	"spatsheet/calc/stats"
)

// How many animals go where, when they are ripe, and how long they take.

func stockingQuestion() question {
	return question{
		name: "stocking", asks: "counted suspension to pour into a tank for a density, or the density it makes",
		example: "--counted '50 larvae/mL' --tank '100 L' --wanted '2 larvae/mL'",
		note:    "Give --wanted for the volume to pour, or --pour for the density afterwards.",
		inputs: []input{
			{name: "counted", says: "larvae in the suspension", unit: "larvae/mL", like: "50 larvae/mL"},
			{name: "tank", says: "water in the tank before pouring", unit: "L", like: "100 L"},
			{name: "wanted", says: "density wanted", unit: "larvae/mL", like: "2 larvae/mL", optional: true},
			{name: "pour", says: "suspension poured in", unit: "L", like: "4 L", optional: true},
		},
		work: stockingWork,
	}
}

func stockingWork(b *bench) error {
	counted, tank := b.in("counted"), b.in("tank")
	which, err := b.onlyOne("wanted", "pour")
	if err != nil {
		return err
	}
	b.source("arithmetic, conservation of larvae with the suspension poured on top")
	if which == "wanted" {
		wanted := b.in("wanted")
		litres, err := dose.StockVolumeOnTop(counted, wanted, tank)
		if err != nil {
			return err
		}
		b.line("suspension, poured on top: %s × %s / (%s - %s) = %s",
			of(tank, "L"), of(wanted, "larvae/mL"), of(counted, "larvae/mL"), of(wanted, "larvae/mL"), of(litres, "L"))
		b.line("larvae in it: %s × %s × 1000 = %s", of(litres, "L"), of(counted, "larvae/mL"), of(litres*counted*1000, "larvae"))
		b.result("larvae", litres*counted*1000, "larvae")
		b.result("suspension to pour", litres, "L")
		return nil
	}
	pour := b.in("pour")
	density, err := dose.DilutedStrength(counted, pour, tank+pour)
	if err != nil {
		return err
	}
	b.line("density: %s × %s / (%s + %s) = %s", of(counted, "larvae/mL"), of(pour, "L"), of(tank, "L"), of(pour, "L"), of(density, "larvae/mL"))
	b.result("density", density, "larvae/mL")
	return nil
}

func startQuestion() question {
	return question{
		name: "start", asks: "how many to start with for a number wanted at the end",
		example: "--wanted 1000 --shares '90 % 60 % 30 %'",
		note:    "--shares are those that live through each stage, of your own batches; they promise nothing.",
		inputs: []input{
			{name: "wanted", says: "animals wanted at the end", unit: "animals", like: "1000"},
			{name: "shares", says: "share that lives through each stage, such as 90 %", kind: row, like: "90 % 60 %"},
		},
		work: func(b *bench) error {
			shares := b.values["shares"].row
			start, err := stats.AnimalsToStart(b.in("wanted"), shares)
			if err != nil {
				return err
			}
			exact := b.in("wanted")
			for _, share := range shares {
				exact /= share
			}
			b.line("to be rounded up: %s / %s = %s", of(b.in("wanted"), ""), joined(shares, " / "), of(exact, ""))
			b.source("arithmetic, N = wanted / (S1 S2 ...)")
			b.caution("shares of earlier batches promise nothing: add a reserve")
			b.result("to start with", start, "")
			return nil
		},
	}
}

// joined writes the numbers of a row with a sign between.
func joined(values []float64, sign string) string {
	var words []string
	for _, v := range values {
		words = append(words, of(v, ""))
	}
	return strings.Join(words, sign)
}

func ripenessQuestion() question {
	return question{
		name: "ripeness", asks: "whether a gonad check reaches the site's limit of ripe animals",
		example: "--opened 12 --females 6 --males 5 --limit '50 %'",
		note:    "An animal ripe in both sexes is counted once. Fewer than four animals never decide.",
		inputs: []input{
			{name: "opened", says: "animals opened", unit: "animals", kind: whole, like: "12"},
			{name: "females", says: "ripe females", unit: "animals", kind: whole, like: "6"},
			{name: "males", says: "ripe males", unit: "animals", kind: whole, like: "5"},
			{name: "limit", says: "least share ripe, the site's own", kind: part, like: "50 %"},
			{name: "least", says: "animals below which nothing is decided", unit: "animals", kind: whole, like: "10",
				fallback: fmt.Sprint(stats.UsualLeastAnimals)},
			confidenceInput(),
		},
		work: func(b *bench) error {
			sample := stats.GonadSample{Dissected: b.count("opened"), RipeFemales: b.count("females"), RipeMales: b.count("males")}
			rule := stats.RipenessRule{LimitShare: b.in("limit"), Confidence: b.in("confidence"), LeastAnimals: b.count("least")}
			found, err := stats.DecideRipeness(sample, rule)
			if err != nil {
				return err
			}
			ripe := sample.RipeFemales + sample.RipeMales
			b.line("ripe: %d + %d = %d", sample.RipeFemales, sample.RipeMales, ripe)
			if err := b.shareLines("ripe", ripe, sample.Dissected, found.Share); err != nil {
				return err
			}
			b.line("%s", found.Words())
			b.source("Wilson (1927), Journal of the American Statistical Association 22:209; the rule is the site's: lower " +
				"limit at or above its own, both sexes ripe")
			b.shareResults("ripe", found.Share)
			verdict := "no: " + found.Words()
			if found.Go() {
				verdict = "yes, by this sample"
			}
			b.sheet.Results = append(b.sheet.Results, figure{Name: "limit reached", Value: verdict})
			return nil
		},
	}
}

func gonadQuestion() question {
	return question{
		name: "gonad", asks: "gonad index of an animal, its gonad's share of the soft body",
		example: "--gonad '2.4 g' --body '10 g'",
		inputs: []input{
			{name: "gonad", says: "gonad", unit: "g", like: "2.4 g"},
			{name: "body", says: "soft body with the gonad, without the shell, both wet or both dry", unit: "g", like: "10 g"},
		},
		work: func(b *bench) error {
			index, err := stats.GonadIndexPercent(b.in("gonad"), b.in("body"))
			if err != nil {
				return err
			}
			b.line("gonad index: 100 × %s / %s = %s", of(b.in("gonad"), "g"), of(b.in("body"), "g"), of(index, "%"))
			b.source("100 x gonad / soft body, common practice; Hua and Ako (2014), Aquac. Res. Dev. 5:256 (abstract only)")
			b.result("gonad index", index, "%")
			return nil
		},
	}
}

func degreeDaysQuestion() question {
	return question{
		name: "degree-days", asks: "warmth above a threshold from temperature readings",
		example: "--temps '14.2 15.1 15.8 16' --every '24 h' --threshold '7.6 °C'",
		inputs: []input{
			{name: "temps", says: "readings, one after the other", kind: row, unit: "°C", like: "14.2 15.1"},
			{name: "every", says: "time that each reading stands for", unit: "h", like: "24 h", fallback: "24 h"},
			{name: "threshold", says: "temperature below which nothing develops", unit: "°C", like: "7.6 °C"},
		},
		work: func(b *bench) error {
			var readings []stats.TemperatureReading
			var above []string
			for _, temp := range b.values["temps"].row {
				readings = append(readings, stats.TemperatureReading{TempC: temp, Hours: b.in("every")})
				if temp > b.in("threshold") {
					above = append(above, fmt.Sprintf("(%s - %s)", of(temp, ""), of(b.in("threshold"), "")))
				}
			}
			hours, err := stats.DegreeHours(readings, b.in("threshold"))
			if err != nil {
				return err
			}
			b.line("readings that are not above the threshold add nothing: %d of %d", len(readings)-len(above), len(readings))
			if len(above) == 0 {
				above = []string{"0"}
			}
			b.line("degree-hours: (%s) × %s = %s", strings.Join(above, " + "), of(b.in("every"), "h"), of(hours, ""))
			b.line("degree-days: %s / 24 = %s", of(hours, ""), of(hours/24, ""))
			b.source("sum of (T - T0) x hours, arithmetic; the threshold is the species' and the site's")
			b.result("degree-hours", hours, "")
			b.result("degree-days", hours/24, "")
			return nil
		},
	}
}
