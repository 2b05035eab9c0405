package culture

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// longestCultureDays is the longest growth, in days, that is given as a day number: ten
// years, far beyond any culture, so that a growth rate near 0 does not print as a plan.
// Site choice, a trap for typing errors.
const longestCultureDays = 3650

// SpecificGrowthRate gives the growth rate of a culture between two counts.
//
// firstCellsPerML and lastCellsPerML in cells/mL (or both in any one unit), days between
// them; the result per day, negative when the culture shrank.
// Range: all three above 0, otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, mu = ln(N2/N1)/days, exponential growth.
func SpecificGrowthRate(firstCellsPerML, lastCellsPerML, days float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("first density", firstCellsPerML, 0, "cells/mL"),
		limits.Above("last density", lastCellsPerML, 0, "cells/mL"),
		limits.Above("days", days, 0, "d"),
	); err != nil {
		return 0, err
	}
	return limits.Result("growth rate", (math.Log(lastCellsPerML)-math.Log(firstCellsPerML))/days)
}

// DivisionsPerDay turns a specific growth rate into cell divisions per day.
//
// ratePerDay per day, may be negative; the result in divisions per day.
// Range: a finite number, otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, mu / ln 2.
func DivisionsPerDay(ratePerDay float64) (float64, error) {
	if err := limits.Finite("growth rate", ratePerDay, "per day"); err != nil {
		return 0, err
	}
	return limits.Result("divisions per day", ratePerDay/math.Ln2)
}

// RateFromDivisions turns cell divisions per day into a specific growth rate.
//
// divisionsPerDay per day, may be negative; the result per day.
// Range: a finite number, otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, divisions x ln 2.
func RateFromDivisions(divisionsPerDay float64) (float64, error) {
	if err := limits.Finite("divisions per day", divisionsPerDay, ""); err != nil {
		return 0, err
	}
	return divisionsPerDay * math.Ln2, nil
}

// DoublingDays gives the time in which a growing culture doubles.
//
// ratePerDay per day; the result in days.
// Range: ratePerDay above 0 (a shrinking culture never doubles), otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, ln 2 / mu.
func DoublingDays(ratePerDay float64) (float64, error) {
	if err := limits.Above("growth rate", ratePerDay, 0, "per day"); err != nil {
		return 0, err
	}
	return limits.Result("doubling time", math.Ln2/ratePerDay)
}

// DaysToGrow gives the days a culture needs to become a number of times denser.
//
// ratio is R of a 1:R split, so 10 for one part in ten; ratePerDay per day; lagDays without
// growth first; the result in days.
// Range: ratio at least 1, ratePerDay above 0, lagDays at least 0; otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, lag + ln R / mu. A lag of 1 to 2 days is from memory, site choice.
func DaysToGrow(ratio, ratePerDay, lagDays float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("ratio of the split", ratio, 1, ""),
		limits.Above("growth rate", ratePerDay, 0, "per day"),
		limits.AtLeast("lag", lagDays, 0, "d"),
	); err != nil {
		return 0, err
	}
	return limits.Result("days to grow", lagDays+math.Log(ratio)/ratePerDay)
}

// HarvestDay gives the first whole day after the split on which a culture has reached the
// density wanted.
//
// startCellsPerML and targetCellsPerML in cells/mL, ratePerDay per day, lagDays without
// growth first; the result in whole days after the split, rounded up.
// Range: startCellsPerML above 0 and at most targetCellsPerML, ratePerDay above 0, lagDays
// at least 0, and the result at most 3650 days; otherwise an error wrapping
// limits.ErrRange, with the remedy where there is one.
// Source: arithmetic, lag + ln(target/start)/mu.
func HarvestDay(startCellsPerML, targetCellsPerML, ratePerDay, lagDays float64) (int, error) {
	if err := cmp.Or(
		limits.Above("starting density", startCellsPerML, 0, "cells/mL"),
		limits.Above("target density", targetCellsPerML, 0, "cells/mL"),
	); err != nil {
		return 0, err
	}
	if startCellsPerML > targetCellsPerML {
		return 0, fmt.Errorf("target density: %g cells/mL is below the starting density of %g cells/mL; harvest now, or raise the target: %w",
			targetCellsPerML, startCellsPerML, limits.ErrRange)
	}
	days, err := DaysToGrow(targetCellsPerML/startCellsPerML, ratePerDay, lagDays)
	if err != nil {
		return 0, err
	}
	if err := limits.Between("harvest day", wholeUp(days), 0, longestCultureDays, "d"); err != nil {
		return 0, err
	}
	return int(wholeUp(days)), nil
}
