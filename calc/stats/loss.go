package stats

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// LossPerDay is the instantaneous daily loss rate that leaves a share alive.
//
// survival is a share above 0 to 1, days the time it took; the result is per day.
// Range: survival above 0 to 1 (a total loss has no rate), days above 0; otherwise an error
// that wraps limits.ErrRange.
// Source: z = -ln(S)/days; arithmetic.
func LossPerDay(survival, days float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("survival", survival, 0, ""),
		limits.Between("survival", survival, 0, 1, ""),
		limits.Above("time", days, 0, "days"),
	); err != nil {
		return 0, err
	}
	// +0 turns the -0 of a stage without loss into 0.
	return limits.Result("loss per day", -math.Log(survival)/days+0)
}

// AnimalsToStart is how many animals to begin with so that a target number is left after
// every stage.
//
// target in animals, survivals the share expected through each stage; the result is a whole
// number of animals, rounded up.
// Range: target 0 or more, survivals above 0 to 1; otherwise an error that wraps
// limits.ErrRange. Expected shares promise nothing: add a reserve.
// Source: N0 = target / (S1 S2 ... Sk), rounded up; arithmetic.
func AnimalsToStart(target float64, survivals []float64) (float64, error) {
	if err := limits.AtLeast("target", target, 0, "animals"); err != nil {
		return 0, err
	}
	needed := target
	for i, s := range survivals {
		if err := limits.Above("survival", s, 0, ""); err != nil {
			return 0, fmt.Errorf("stage %d: %w", i+1, err)
		}
		if err := limits.Between("survival", s, 0, 1, ""); err != nil {
			return 0, fmt.Errorf("stage %d: %w", i+1, err)
		}
		needed /= s
	}
	// 1e-12 of the number is rounding of the divisions, not an animal.
	return limits.Result("animals to start with", math.Ceil(needed*(1-1e-12)))
}
