package culture

import (
	"cmp"
	"math"

	"spatsheet/calc/limits"
)

// Limits that catch slips of unit. No source: no animal of a hatchery lies outside.
const (
	maxShellMM       = 300.0 // the largest abalone
	maxGrowthMMPerD  = 1.0   // growth of a shell in a day
	maxMassPerCubeMM = 0.01  // g/mm3: ten times the mass of a cube of water
)

// MassAtLength gives the live mass of an animal with its shell.
//
// massPerCubeMM in g/mm3, lengthMM in mm; the result in g.
// Range: above 0, to 0.01 g/mm3 and 300 mm; otherwise ErrRange.
// Source: W = a L^3 (growth in all directions alike). Published pairs of mass and length give
// a = 1.22e-4 (Haliotis corrugata 10.7 mm), 1.42e-4 (H. rufescens 26 mm), both Searcy-Bernal et
// al. (2016), and 1.51e-4 (Cellana sandwicensis 34 mm), Mau and Jha (2018); abstracts read.
func MassAtLength(massPerCubeMM, lengthMM float64) (float64, error) {
	if err := checkMass(massPerCubeMM, lengthMM); err != nil {
		return 0, err
	}
	return limits.Result("mass", massPerCubeMM*lengthMM*lengthMM*lengthMM)
}

// Ration gives the feed of one day that lets animals grow as planned.
//
// feedPerGain is the feed conversion ratio, g of feed for a g of live mass; animals a number;
// massPerCubeMM in g/mm3; lengthMM the mean shell in the morning and growthMMPerDay its growth,
// both in mm; the result in g.
// Range: conversion 0.1 to 50, animals 1 to 1e9, mass and length as MassAtLength, growth above
// 0 to 1 mm/d; otherwise ErrRange.
// Source: ration = FCR n (W(L + g) - W(L)), so that the rations of all days add up to FCR times
// the gain; arithmetic, testdata/reference/feed.csv.
func Ration(feedPerGain, animals, massPerCubeMM, lengthMM, growthMMPerDay float64) (float64, error) {
	if err := checkRation(feedPerGain, animals, massPerCubeMM, lengthMM, growthMMPerDay); err != nil {
		return 0, err
	}
	return limits.Result("ration", feedPerGain*animals*massPerCubeMM*gainOfCube(lengthMM, growthMMPerDay))
}

// SeasonFeed gives the feed of all days of a growing season, animals dying at a steady rate.
//
// Arguments as Ration for the first day; deathsPerDay is the instantaneous rate (0 for none),
// days whole; the result in g, the sum of the rations of the animals then alive.
// Range: as Ration, deaths 0 to 1 a day, days 1 to 3660; otherwise ErrRange.
// Source: as Ration, with n exp(-z d) animals on day d, from 0; testdata/reference/feed.csv.
func SeasonFeed(feedPerGain, animals, massPerCubeMM, lengthMM, growthMMPerDay, deathsPerDay float64, days int) (float64, error) {
	if err := cmp.Or(
		checkRation(feedPerGain, animals, massPerCubeMM, lengthMM, growthMMPerDay),
		limits.Between("deaths", deathsPerDay, 0, 1, "1/d"),
		limits.Between("days", float64(days), 1, 3660, "d"),
	); err != nil {
		return 0, err
	}
	cubes := 0.0
	for day := range days {
		alive := math.Exp(-deathsPerDay * float64(day))
		cubes += alive * gainOfCube(lengthMM+growthMMPerDay*float64(day), growthMMPerDay)
	}
	return limits.Result("feed in all", feedPerGain*animals*massPerCubeMM*cubes)
}

// gainOfCube is (L + g)^3 - L^3, written so that nothing is lost where g is small.
func gainOfCube(length, gain float64) float64 {
	return gain * (3*length*length + 3*length*gain + gain*gain)
}

// FilmAnimals gives how many grazing animals a growing diatom film carries without being eaten off.
//
// ratePerDay is the specific growth rate of the film in 1/d, filmCellsPerCM2 what stands on the
// plate, grazedAt1MM the cells an animal of 1 mm takes in an hour, lengthMM the mean shell; the
// result in animals/cm2. It is a limit, never a target, good to a factor of three.
// Range: rate above 0 to 5, film 1 to 1e8, grazing 1 to 1e6, length 0.1 to 50 mm; otherwise ErrRange.
// Source: growth of the film = what is grazed, mu C / (24 q L^3); 724 cells/h is the most that
// Martinez-Ponce and Searcy-Bernal (1998) saw in postlarvae of Haliotis rufescens, the cube is
// that of faeces in H. iris, Roberts, Kawamura and Nicholson (1999); abstracts read.
func FilmAnimals(ratePerDay, filmCellsPerCM2, grazedAt1MM, lengthMM float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("growth rate", ratePerDay, 0, "1/d"), limits.Between("growth rate", ratePerDay, 0, 5, "1/d"),
		limits.Between("film", filmCellsPerCM2, 1, 1e8, "cells/cm2"),
		limits.Between("grazing", grazedAt1MM, 1, 1e6, "cells/h"),
		limits.Between("shell length", lengthMM, 0.1, 50, "mm"),
	); err != nil {
		return 0, err
	}
	return limits.Result("animals on a film", ratePerDay*filmCellsPerCM2/(24*grazedAt1MM*lengthMM*lengthMM*lengthMM))
}

func checkMass(massPerCubeMM, lengthMM float64) error {
	return cmp.Or(
		limits.Above("mass of a cubic mm", massPerCubeMM, 0, "g/mm3"),
		limits.Between("mass of a cubic mm", massPerCubeMM, 0, maxMassPerCubeMM, "g/mm3"),
		limits.Above("shell length", lengthMM, 0, "mm"), limits.Between("shell length", lengthMM, 0, maxShellMM, "mm"),
	)
}

func checkRation(feedPerGain, animals, massPerCubeMM, lengthMM, growthMMPerDay float64) error {
	return cmp.Or(
		limits.Between("feed conversion", feedPerGain, 0.1, 50, "g/g"),
		limits.Between("animals", animals, 1, 1e9, ""),
		checkMass(massPerCubeMM, lengthMM),
		limits.Above("growth", growthMMPerDay, 0, "mm/d"), limits.Between("growth", growthMMPerDay, 0, maxGrowthMMPerD, "mm/d"),
	)
}
