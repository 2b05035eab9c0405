package main

import (
	"cmp"
	"fmt"

	"spatsheet/calc/culture"
)

func mediumQuestion() question {
	return question{
		name: "medium", asks: "f/2 stocks for a volume of medium, and the salts of the stocks",
		example: "--volume '40 L'",
		inputs: []input{
			{name: "volume", says: "finished medium", unit: "L", like: "40 L"},
			{name: "strength", says: "strength relative to f/2", like: "1", fallback: "1"},
			{name: "silicate", says: "with silicate, as diatoms need it", kind: word, like: "yes", choices: []string{"yes", "no"}, fallback: "yes"},
			{name: "bottle", says: "also the salts to weigh for a bottle of each stock", unit: "L", like: "1 L", optional: true},
		},
		work: mediumWork,
	}
}

func mediumWork(b *bench) error {
	volume, strength := b.in("volume"), b.in("strength")
	make := culture.MediumF2Silicate
	if b.values["silicate"].word == "no" {
		make = culture.MediumF2
	}
	recipe, err := make(volume, strength)
	if err != nil {
		return err
	}
	perL := map[string]float64{}
	for _, stock := range culture.StocksF2() {
		perL[stock.Name] = stock.MLPerL
	}
	for _, stock := range recipe.Stocks {
		note := ""
		if stock.Note != "" {
			note = " (" + stock.Note + ")"
		}
		b.line("%s stock%s: %s × %s × %s = %s", stock.Name, note, of(volume, "L"), of(perL[stock.Name], "mL/L"), of(strength, ""), of(stock.VolumeML, "mL"))
		b.result(stock.Name+" stock"+note, stock.VolumeML, "mL")
	}
	if err := b.saltsOfStocks(recipe); err != nil {
		return err
	}
	b.line("seawater: 1000 × %s - %s = %s", of(volume, ""), of(recipe.StocksML, "mL"), of(recipe.SeawaterML, "mL"))
	b.source("Guillard and Ryther (1962); Guillard (1975); recipe from memory")
	b.result("seawater", recipe.SeawaterML/1000, "L")
	return nil
}

// saltsOfStocks says what to weigh for a bottle of each stock; what is too scarce to weigh
// goes in from a primary stock, 1 mL for each litre.
func (b *bench) saltsOfStocks(recipe culture.MediumRecipe) error {
	if !b.has("bottle") {
		return nil
	}
	bottle := b.in("bottle")
	if !(bottle > 0 && bottle <= largestBottle) {
		return fmt.Errorf("--bottle: %s is no bottle of stock; give up to %d L, such as '1 L'", of(bottle, "L"), largestBottle)
	}
	for _, stock := range recipe.Stocks {
		for _, salt := range stock.Salts {
			if salt.PrimaryGPerL > 0 {
				b.line("%s in the %s stock: %s × 1 mL/L = %s of a primary stock of %s",
					salt.Name, stock.Name, of(bottle, "L"), of(bottle, "mL"), of(salt.PrimaryGPerL, "g/L"))
				b.result(fmt.Sprintf("%s stock, %s, primary stock of %s", stock.Name, salt.Name, of(salt.PrimaryGPerL, "g/L")), bottle, "mL")
				continue
			}
			b.line("%s in the %s stock: %s × %s = %s", salt.Name, stock.Name, of(bottle, "L"), of(salt.StockGPerL, "g/L"), of(bottle*salt.StockGPerL, "g"))
			b.result(stock.Name+" stock, "+salt.Name, bottle*salt.StockGPerL, "g")
		}
	}
	return nil
}

// largestBottle is the largest bottle of stock, L, our choice: a trap for the medium's volume.
const largestBottle = 20

func cultureDensity() input {
	return input{name: "culture", says: "density of the culture", unit: "cells/mL", like: "2e6 cells/mL"}
}

func inoculumQuestion() question {
	return question{
		name: "inoculum", asks: "culture to start a vessel at a density",
		example: "--target '1e5 cells/mL' --volume '10 L' --culture '2e6 cells/mL'",
		inputs: []input{
			{name: "target", says: "density to start at", unit: "cells/mL", like: "1e5 cells/mL"},
			{name: "volume", says: "filled vessel, inoculum included", unit: "L", like: "10 L"},
			cultureDensity(),
		},
		work: func(b *bench) error {
			target, finalML, dense := b.in("target"), b.in("volume")*1000, b.in("culture")
			inoculum, err := culture.InoculumVolume(target, finalML, dense)
			if err != nil {
				return err
			}
			b.line("V1 = C2 × V2 / C1: %s × %s / %s = %s", of(target, "cells/mL"), of(finalML, "mL"), of(dense, "cells/mL"), of(inoculum, "mL"))
			b.line("medium to put in first: %s - %s = %s", of(finalML, "mL"), of(inoculum, "mL"), of(finalML-inoculum, "mL"))
			b.source("arithmetic, V1 = C2 V2 / C1")
			b.rest("medium", finalML-inoculum, inoculum, "mL")
			b.result("inoculum", inoculum, "mL")
			return nil
		},
	}
}

func seedingQuestion() question {
	return question{
		name: "seeding", asks: "cells and culture to seed plates with a film",
		example: "--plates 40 --length '30 cm' --height '20 cm' --sides 2 --film '1e5 cells/cm2' --attach '60 %' --culture '2e6 cells/mL'",
		note:    "--sides has no default: 1 for plates lying or leaning on something, 2 for plates hanging free.",
		inputs: []input{
			{name: "plates", says: "plates", unit: "plates", kind: whole, like: "40"},
			{name: "length", says: "length of a plate", unit: "cm", like: "30 cm"},
			{name: "height", says: "height of a plate under water", unit: "cm", like: "20 cm"},
			{name: "sides", says: "sides to seed, 1 or 2", kind: whole, like: "2"},
			{name: "film", says: "film wanted", unit: "cells/cm2", like: "1e5 cells/cm2"},
			{name: "attach", says: "share of the cells that attaches", kind: part, like: "60 %"},
			cultureDensity(),
		},
		work: seedingWork,
	}
}

func seedingWork(b *bench) error {
	plateCM2, err := culture.PlateArea(b.in("length"), b.in("height"), b.count("sides"))
	if err != nil {
		return err
	}
	areaCM2 := plateCM2 * b.in("plates")
	cells, err := culture.SeedingCells(b.in("film"), areaCM2, b.in("attach"))
	if err != nil {
		return err
	}
	volumeML, err := culture.SeedingVolume(b.in("film"), areaCM2, b.in("attach"), b.in("culture"))
	if err != nil {
		return err
	}
	b.line("one plate: %s × %s × %s = %s", of(b.in("length"), "cm"), of(b.in("height"), "cm"), of(b.in("sides"), ""), of(plateCM2, "cm2"))
	b.line("all plates: %s × %s = %s", of(b.in("plates"), ""), of(plateCM2, "cm2"), of(areaCM2, "cm2"))
	b.line("cells: %s × %s / %s = %s", of(b.in("film"), "cells/cm2"), of(areaCM2, "cm2"), of(b.in("attach"), ""), of(cells, "cells"))
	b.line("culture: %s / %s = %s", of(cells, "cells"), of(b.in("culture"), "cells/mL"), of(volumeML, "mL"))
	b.source("geometry and arithmetic; the share that attaches is the site's own, from its scrapings")
	b.result("area", areaCM2, "cm2")
	b.result("cells", cells, "cells")
	b.result("culture", volumeML, "mL")
	return nil
}

func growthQuestion() question {
	return question{
		name: "growth", asks: "growth rate and doubling time of a culture from two counts",
		example: "--first '1e5 cells/mL' --last '8e5 cells/mL' --time '3 d'",
		inputs: []input{
			{name: "first", says: "first density", unit: "cells/mL", like: "1e5 cells/mL"},
			{name: "last", says: "last density", unit: "cells/mL", like: "8e5 cells/mL"},
			{name: "time", says: "time between the counts", unit: "d", like: "3 d"},
		},
		work: growthWork,
	}
}

func growthWork(b *bench) error {
	first, last, days := b.in("first"), b.in("last"), b.in("time")
	rate, err := culture.SpecificGrowthRate(first, last, days)
	if err != nil {
		return err
	}
	divisions, err := culture.DivisionsPerDay(rate)
	if err != nil {
		return err
	}
	b.line("growth rate: ln(%s / %s) / %s = %s", of(last, "cells/mL"), of(first, "cells/mL"), of(days, "d"), of(rate, "1/d"))
	b.line("divisions: %s / ln(2) = %s", of(rate, "1/d"), of(divisions, "1/d"))
	b.source("arithmetic, exponential growth: rate = ln(N2/N1) / days")
	b.result("growth rate", rate, "1/d")
	b.result("divisions", divisions, "1/d")
	if rate <= 0 {
		b.line("the culture did not grow: there is no doubling time")
		return nil
	}
	doubling, err := culture.DoublingDays(rate)
	if err != nil {
		return err
	}
	b.line("doubling time: ln(2) / %s = %s", of(rate, "1/d"), of(doubling, "d"))
	b.result("doubling time", doubling, "d")
	return nil
}

func feedQuestion() question {
	return question{
		name: "feed", asks: "culture to pour into a tank for a ration by cell density or by animals",
		example: "--ration '5e4 cells/mL' --left '1e4 cells/mL' --tank '100 L' --culture '2e6 cells/mL'",
		note:    "Give --ration and --tank, or --animals and --each: what one of them gets at this feed.",
		inputs: []input{
			{name: "ration", says: "ration by density", unit: "cells/mL", like: "5e4 cells/mL", optional: true},
			{name: "left", says: "cells left in the tank, 0 without it", unit: "cells/mL", like: "1e4 cells/mL", optional: true},
			{name: "tank", says: "water in the tank before feeding", unit: "L", like: "100 L", optional: true},
			{name: "animals", says: "larvae, spat or animals to feed", kind: whole, like: "50000", optional: true},
			{name: "each", says: "cells for each of them", unit: "cells", like: "2e4 cells", optional: true},
			cultureDensity(),
		},
		work: func(b *bench) error {
			switch which, err := b.onlyOne("ration", "animals"); {
			case err != nil:
				return err
			case which == "animals":
				return feedAnimals(b)
			}
			if err := cmp.Or(b.needs("ration", "tank"), b.without("ration", "each")); err != nil {
				return err
			}
			ration, left, tank, dense := b.in("ration"), b.in("left"), b.in("tank"), b.in("culture")
			feedML, err := culture.FeedVolumeToDensity(ration, left, tank, dense)
			if err != nil {
				return err
			}
			if left >= ration {
				b.line("the tank still holds the ration: no feed")
			} else {
				b.line("feed, poured on top: 1000 × %s × (%s - %s) / (%s - %s) = %s",
					of(tank, "L"), of(ration, "cells/mL"), of(left, "cells/mL"), of(dense, "cells/mL"), of(ration, "cells/mL"), of(feedML, "mL"))
			}
			b.source("arithmetic, conservation of cells with the feed added on top")
			b.result("culture to feed", feedML, "mL")
			return nil
		},
	}
}

func feedAnimals(b *bench) error {
	if err := cmp.Or(b.needs("animals", "each"), b.without("animals", "tank", "left")); err != nil {
		return err
	}
	each, animals, dense := b.in("each"), b.count("animals"), b.in("culture")
	feedML, err := culture.FeedVolumeForAnimals(each, animals, dense)
	if err != nil {
		return err
	}
	b.line("feed: %s × %d / %s = %s", of(each, "cells"), animals, of(dense, "cells/mL"), of(feedML, "mL"))
	b.source("arithmetic, cells an animal x animals / cells per mL")
	b.result("culture to feed", feedML, "mL")
	return nil
}

func harvestQuestion() question {
	return question{
		name: "harvest", asks: "day on which a culture reaches a density",
		example: "--start '1e5 cells/mL' --target '2e6 cells/mL' --rate '0.69 1/d' --lag '1 d'",
		note:    "--rate is what the question growth answers; it holds until late exponential growth only.",
		inputs: []input{
			{name: "start", says: "density after the split", unit: "cells/mL", like: "1e5 cells/mL"},
			{name: "target", says: "density to harvest at", unit: "cells/mL", like: "2e6 cells/mL"},
			{name: "rate", says: "growth rate", unit: "1/d", like: "0.69 1/d"},
			{name: "lag", says: "time without growth first", unit: "d", like: "1 d", fallback: "0 d"},
		},
		work: func(b *bench) error {
			start, target, rate, lag := b.in("start"), b.in("target"), b.in("rate"), b.in("lag")
			day, err := culture.HarvestDay(start, target, rate, lag)
			if err != nil {
				return err
			}
			days, err := culture.DaysToGrow(target/start, rate, lag)
			if err != nil {
				return err
			}
			b.line("time to grow: %s + ln(%s / %s) / %s = %s", of(lag, "d"), of(target, "cells/mL"), of(start, "cells/mL"), of(rate, "1/d"), of(days, "d"))
			b.line("the first whole day that is not before it: day %d", day)
			b.source("arithmetic, lag + ln(N2/N1) / rate, exponential growth")
			b.caution("count before harvest: the plan knows neither a cloudy day nor an empty flask of medium")
			b.result("time to grow", days, "d")
			b.result("day of harvest, the split is day 0", float64(day), "")
			return nil
		},
	}
}
