package main

import (
	"fmt"

	"spatsheet/calc/stats"
)

func survivalQuestion() question {
	return question{
		name: "survival", asks: "share of animals alive, with limits, and the loss a day",
		example: "--alive 47 --started 100 --time '10 d'",
		inputs: []input{
			{name: "alive", says: "animals alive", unit: "animals", kind: whole, like: "47"},
			{name: "started", says: "animals at the start", unit: "animals", kind: whole, like: "100"},
			{name: "time", says: "time between the two counts", unit: "d", like: "10 d", optional: true},
			confidenceInput(),
		},
		work: func(b *bench) error {
			alive, started := b.count("alive"), b.count("started")
			if alive > started {
				return fmt.Errorf("--alive: %d is more than the %d at the start; give animals of the same batch", alive, started)
			}
			share, err := stats.ShareWilson1927(alive, started, b.in("confidence"))
			if err != nil {
				return err
			}
			if err := b.shareLines("alive", alive, started, share); err != nil {
				return err
			}
			b.source("Wilson (1927), Journal of the American Statistical Association 22:209, without continuity correction")
			if err := b.lossADay(alive, started); err != nil {
				return err
			}
			b.shareResults("alive", share)
			return nil
		},
	}
}

// lossADay is the share lost each day, if the time is known and any lives.
func (b *bench) lossADay(alive, started int) error {
	if !b.has("time") {
		return nil
	}
	if alive == 0 {
		b.line("none is alive: there is no loss a day that leaves none")
		return nil
	}
	rate, err := stats.LossPerDay(float64(alive)/float64(started), b.in("time"))
	if err != nil {
		return err
	}
	b.line("rate of loss: ln(%d / %d) / %s = %s", started, alive, of(b.in("time"), "d"), of(rate, "1/d"))
	b.result("rate of loss", rate, "1/d")
	return nil
}

func parentsQuestion() question {
	return question{
		name: "parents", asks: "effective size of a group of parents, and inbreeding",
		example: "--males 5 --females 20 --generations 3",
		note:    "Count the parents that left offspring, not those present.",
		inputs: []input{
			{name: "males", says: "males that left offspring", unit: "animals", kind: whole, like: "5"},
			{name: "females", says: "females that left offspring", unit: "animals", kind: whole, like: "20"},
			{name: "generations", says: "generations bred so", kind: whole, like: "3", fallback: "1"},
		},
		work: parentsWork,
	}
}

func parentsWork(b *bench) error {
	males, females, generations := b.count("males"), b.count("females"), b.count("generations")
	size, err := stats.EffectiveSize(males, females)
	if err != nil {
		return err
	}
	perGeneration, err := stats.InbreedingPerGeneration(size)
	if err != nil {
		return err
	}
	after, err := stats.InbreedingAfter(size, generations)
	if err != nil {
		return err
	}
	b.line("effective size: 4 × %d × %d / (%d + %d) = %s", males, females, males, females, of(size, "animals"))
	b.line("inbreeding a generation: 100 / (2 × %s) = %s", of(size, ""), of(100*perGeneration, "%"))
	b.line("after %d: 100 × (1 - (1 - %s) ^ %d) = %s", generations, of(perGeneration, ""), generations, of(100*after, "%"))
	b.source("Wright (1931), Genetics 16:97")
	b.caution("equal families are assumed; unequal ones, and males used again, lower the effective size further")
	b.result("inbreeding a generation", 100*perGeneration, "%")
	b.result("inbreeding after all", 100*after, "%")
	b.result("effective size", size, "animals")
	return nil
}
