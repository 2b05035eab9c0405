package stats

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// GonadIndexPercent is the gonad's share of the soft body by mass, GSI %.
//
// gonadG and bodyG in grams, both wet or both dry; the result in %. The body is soft
// tissue with the gonad and without the shell: say on the sheet if another is used.
// Range: bodyG above 0, gonadG from 0 to below bodyG; otherwise an error that wraps
// limits.ErrRange.
// Source: 100 x gonad / soft body mass, common practice; used so for Cellana by Hua and
// Ako (2014), Aquac. Res. Dev. 5:256 (abstract only). Others divide by the total mass.
func GonadIndexPercent(gonadG, bodyG float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("soft body mass", bodyG, 0, "g"),
		limits.AtLeast("gonad mass", gonadG, 0, "g"),
	); err != nil {
		return 0, err
	}
	if gonadG >= bodyG {
		return 0, fmt.Errorf("gonad mass: %g g is not below the soft body mass of %g g; check both: %w", gonadG, bodyG, limits.ErrRange)
	}
	return limits.Result("gonad index", 100*(gonadG/bodyG))
}

const (
	// LeastAnimalsEver (animals, exact, our choice): a gonad check of three or fewer never
	// decides, whatever the site writes. Three ripe of three still leaves the lower limit
	// at 44 %.
	LeastAnimalsEver = 4
	// UsualLeastAnimals (animals, common practice, no source): 10 to 30 are checked at a
	// time where the permit allows.
	UsualLeastAnimals = 10
)

// RipenessRule is the site's own rule for a gonad check.
type RipenessRule struct {
	LimitShare   float64 // least share ripe, such as 0.5; site choice
	Confidence   float64 // of the two-sided interval, such as 0.95
	LeastAnimals int     // fewer dissected decide nothing; LeastAnimalsEver or more
}

// GonadSample is what was seen in the animals dissected at one check. An animal with both
// gonads ripe is counted once, under either sex.
type GonadSample struct {
	Dissected   int
	RipeFemales int
	RipeMales   int
}

// RipenessVerdict is what a gonad check can say.
type RipenessVerdict int

const (
	// RipenessUndecided: the interval holds the site limit, so the sample can't tell.
	RipenessUndecided RipenessVerdict = iota
	// RipenessTooFew: fewer animals than the rule asks for.
	RipenessTooFew
	// RipenessReached: the lower confidence limit is at or above the site limit.
	RipenessReached
	// RipenessOneSex: as RipenessReached, but every ripe animal was of one sex.
	RipenessOneSex
	// RipenessBelow: the upper confidence limit is below the site limit.
	RipenessBelow
)

// Ripeness is a verdict with the numbers it stands on.
type Ripeness struct {
	Verdict RipenessVerdict
	Sample  GonadSample
	Rule    RipenessRule
	Share   Interval // of ripe animals, Wilson
}

// Go says whether the site's rule is met. It is a statement about the sample, not a promise
// about the stock.
//
// The result is true only for RipenessReached. Range: every verdict. Source: none needed.
func (r Ripeness) Go() bool { return r.Verdict == RipenessReached }

// DecideRipeness holds the share of ripe animals against the site's limit, with the
// uncertainty of the few animals dissected.
//
// sample in animals, rule.LimitShare a share from 0 to 1; the result holds share and verdict.
// The lower limit of a two-sided 95 % interval is too high in about 1 sample of 40.
// Range: 1 animal or more dissected, ripe animals not above dissected, limit above 0 and
// below 1, confidence 0.5 to 0.9999, least animals 4 or more; otherwise an error that
// wraps limits.ErrRange. Too few animals are a verdict, not an error.
// Source: ShareWilson1927; the rule (lower limit at or above the site's, both sexes ripe,
// never from 3 animals) is site choice.
func DecideRipeness(sample GonadSample, rule RipenessRule) (Ripeness, error) {
	if err := cmp.Or(
		limits.Inside("site limit for the share ripe", rule.LimitShare, 0, 1, ""),
		limits.Between("least number of animals", float64(rule.LeastAnimals), LeastAnimalsEver, mostCount, ""),
	); err != nil {
		return Ripeness{}, err
	}
	most := math.Max(float64(sample.Dissected), 0)
	if err := cmp.Or(
		limits.Between("ripe females", float64(sample.RipeFemales), 0, most, "animals"),
		limits.Between("ripe males", float64(sample.RipeMales), 0, most, "animals"),
	); err != nil {
		return Ripeness{}, err
	}
	share, err := ShareWilson1927(sample.RipeFemales+sample.RipeMales, sample.Dissected, rule.Confidence)
	if err != nil {
		return Ripeness{}, fmt.Errorf("gonad check: ripe among dissected animals: %w", err)
	}
	result := Ripeness{Sample: sample, Rule: rule, Share: share}
	result.Verdict = verdictOf(result)
	return result, nil
}

func verdictOf(r Ripeness) RipenessVerdict {
	switch {
	case r.Sample.Dissected < r.Rule.LeastAnimals:
		return RipenessTooFew
	case r.Share.High < r.Rule.LimitShare:
		return RipenessBelow
	case r.Share.Low < r.Rule.LimitShare:
		return RipenessUndecided
	case r.Sample.RipeFemales == 0 || r.Sample.RipeMales == 0:
		return RipenessOneSex
	}
	return RipenessReached
}

// Words gives the verdict in a sentence for the bench sheet, with the numbers and what the
// sample can't say.
//
// The result is plain English. Range: every result of DecideRipeness. Source: none needed.
func (r Ripeness) Words() string {
	ripe := r.Sample.RipeFemales + r.Sample.RipeMales
	seen := fmt.Sprintf("%d of %d animals were ripe (%.0f %%; the stock is likely between %.0f and %.0f %%). ",
		ripe, r.Sample.Dissected, 100*r.Share.Estimate, 100*r.Share.Low, 100*r.Share.High)
	limit := 100 * r.Rule.LimitShare
	switch r.Verdict {
	case RipenessTooFew:
		return seen + fmt.Sprintf("Not decided: the site asks for at least %d animals.", r.Rule.LeastAnimals)
	case RipenessBelow:
		return seen + fmt.Sprintf("Below the site limit of %.0f %%: wait and check again.", limit)
	case RipenessOneSex:
		return seen + fmt.Sprintf("The site limit of %.0f %% is met, but every ripe animal was of one sex: not decided.", limit)
	case RipenessReached:
		return seen + fmt.Sprintf("The site limit of %.0f %% is met by this sample; other animals may still be unripe.", limit)
	}
	return seen + fmt.Sprintf("Not decided: the site limit of %.0f %% lies inside these bounds; check more animals or wait.", limit)
}
