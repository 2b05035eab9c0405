package stats

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// EffectiveSize is the number of ideal parents that would lose diversity as fast as these
// males and females do.
//
// males and females are parents that left offspring, not those present; the result is a
// number of animals.
// Range: one or more of each sex; otherwise an error that wraps limits.ErrRange.
// Source: 4 Nm Nf / (Nm + Nf), Wright (1931), Genetics 16:97; Falconer and Mackay (not
// read). Holds for equal families; see EffectiveSizeFromContributions for unequal ones.
// Males used again in later groups lower it further (no plain formula).
func EffectiveSize(males, females int) (float64, error) {
	if err := cmp.Or(
		limits.Between("males", float64(males), 1, mostCount, "animals"),
		limits.Between("females", float64(females), 1, mostCount, "animals"),
	); err != nil {
		return 0, err
	}
	return sexRatioSize(float64(males), float64(females)), nil
}

func sexRatioSize(males, females float64) float64 { return 4 * males / (males + females) * females }

// ContributingParents is the number of equal parents of one sex that equals these unequal
// ones.
//
// contributions holds offspring (or eggs, or spat) of each parent in one unit; the result
// is a number of parents, at most those with offspring.
// Range: contributions 0 or more with one above 0; otherwise an error that wraps
// limits.ErrRange or ErrTooFew.
// Source: (sum c)^2 / sum c^2; arithmetic, from memory as a rule for hatcheries.
func ContributingParents(contributions []float64) (float64, error) {
	largest := 0.0
	for i, c := range contributions {
		if err := limits.AtLeast("contribution", c, 0, ""); err != nil {
			return 0, fmt.Errorf("parent %d: %w", i+1, err)
		}
		largest = math.Max(largest, c)
	}
	if largest == 0 {
		return 0, fmt.Errorf("contributing parents: none left offspring; give at least one: %w", ErrTooFew)
	}
	sum, squares := 0.0, 0.0
	for _, c := range contributions {
		sum += c / largest // scaled, so that large counts can't overflow
		squares += c / largest * (c / largest)
	}
	return limits.Result("contributing parents", sum*sum/squares)
}

// EffectiveSizeFromContributions is EffectiveSize for unequal families.
//
// fathers and mothers hold the offspring of each parent in one unit; the result is a number
// of animals.
// Range: as ContributingParents for each sex.
// Source: ContributingParents of each sex put into Wright (1931); from memory as a rule for
// hatcheries.
func EffectiveSizeFromContributions(fathers, mothers []float64) (float64, error) {
	males, err := ContributingParents(fathers)
	if err != nil {
		return 0, fmt.Errorf("fathers: %w", err)
	}
	females, err := ContributingParents(mothers)
	if err != nil {
		return 0, fmt.Errorf("mothers: %w", err)
	}
	return sexRatioSize(males, females), nil
}

// EffectiveSizeOverGenerations is the one size that loses as much as a row of generations.
//
// sizes holds the effective size of each generation; the result is their harmonic mean, a
// number of animals: the poorest generation weighs most.
// Range: one generation or more, each size above 0; otherwise an error that wraps
// limits.ErrRange or ErrTooFew.
// Source: t / sum(1/Ne), Wright (1931) by way of memory.
func EffectiveSizeOverGenerations(sizes []float64) (float64, error) {
	if len(sizes) == 0 {
		return 0, fmt.Errorf("effective size over generations: there is none; give at least one: %w", ErrTooFew)
	}
	sum := 0.0
	for i, size := range sizes {
		if err := limits.Above("effective size", size, 0, "animals"); err != nil {
			return 0, fmt.Errorf("generation %d: %w", i+1, err)
		}
		sum += 1 / size
	}
	return sizeFromRate("effective size over generations", sum/float64(len(sizes)))
}

// sizeFromRate is 1 / rate, refusing a rate that overflowed rather than giving size 0.
func sizeFromRate(what string, rate float64) (float64, error) {
	if _, err := limits.Result(what, rate); err != nil {
		return 0, err
	}
	return limits.Result(what, 1/rate)
}

// InbreedingPerGeneration is the rise of inbreeding in one generation.
//
// effectiveSize is a number of animals; the result is a share, 0.01 for 50 animals.
// Range: effective size 1 or more; otherwise an error that wraps limits.ErrRange.
// Source: 1/(2 Ne), Wright (1931); Falconer and Mackay (not read).
func InbreedingPerGeneration(effectiveSize float64) (float64, error) {
	if err := limits.AtLeast("effective size", effectiveSize, 1, "animals"); err != nil {
		return 0, err
	}
	return 1 / (2 * effectiveSize), nil
}

// InbreedingAfter is the inbreeding built up over some generations of one size.
//
// effectiveSize is a number of animals, generations a number; the result is a share from 0
// to 1.
// Range: effective size 1 or more, generations 0 or more; otherwise an error that wraps
// limits.ErrRange.
// Source: 1 - (1 - 1/(2 Ne))^t, Wright (1931), from memory.
func InbreedingAfter(effectiveSize float64, generations int) (float64, error) {
	perGeneration, err := InbreedingPerGeneration(effectiveSize)
	if err != nil {
		return 0, err
	}
	if err := limits.Between("generations", float64(generations), 0, mostCount, ""); err != nil {
		return 0, err
	}
	return -math.Expm1(float64(generations) * math.Log1p(-perGeneration)), nil
}
