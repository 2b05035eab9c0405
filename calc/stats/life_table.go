package stats

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// StageCount is how many animals entered a stage and when.
type StageCount struct {
	Stage  string
	Number float64 // animals, counted or estimated from subsamples
	Day    float64 // days since the first stage, rising
}

// LifeTableRow is the passage from one stage to the next.
type LifeTableRow struct {
	From, To   string
	Entered    float64 // animals at From
	Survived   float64 // animals at To
	Days       float64 // from From to To
	Cumulative float64 // share of the first stage that reached To
	// Survival is the share of From that reached To. HasSurvival is false where it has no
	// value: nothing was alive at From.
	Survival    float64
	HasSurvival bool
	// LossPerDay is z in S = exp(-z days). HasLossPerDay is false where it has no value:
	// after a total loss, or when no time passed.
	LossPerDay    float64
	HasLossPerDay bool
}

// StageSurvival is the share of animals that lived from one count to the next.
//
// before and after are numbers of animals; the result is a share from 0 to 1.
// Range: before above 0, after from 0 to before; otherwise an error that wraps
// limits.ErrRange. Two estimates from subsamples may cross by chance: the count interval
// says whether that is so, and the recorder decides which count stands.
// Source: S = N2/N1; arithmetic.
func StageSurvival(before, after float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("animals before", before, 0, "animals"),
		limits.Between("animals after", after, 0, before, "animals"),
	); err != nil {
		return 0, err
	}
	return after / before, nil
}

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

// LifeTable follows a cohort through its stages.
//
// stages in order, with number of animals and day; one row for each passage, shares from 0
// to 1, loss per day.
// Range: two stages or more, days not falling and within 1e7 of 0, a first number above 0
// and numbers not rising; otherwise an error that names the stage and wraps
// limits.ErrRange or ErrTooFew. A survival or rate that doesn't exist is flagged absent.
// Source: StageSurvival and LossPerDay; arithmetic.
func LifeTable(stages []StageCount) ([]LifeTableRow, error) {
	if len(stages) < 2 {
		return nil, fmt.Errorf("life table: %d stages; give at least two: %w", len(stages), ErrTooFew)
	}
	first := stages[0]
	if err := limits.Between("day", first.Day, -mostCount, mostCount, ""); err != nil {
		return nil, fmt.Errorf("stage %q: %w", first.Stage, err)
	}
	if err := limits.Above("number", first.Number, 0, "animals"); err != nil {
		return nil, fmt.Errorf("stage %q: %w", first.Stage, err)
	}
	rows := make([]LifeTableRow, 0, len(stages)-1)
	for i, to := range stages[1:] {
		row, err := passage(first, stages[i], to)
		if err != nil {
			return nil, fmt.Errorf("from stage %q to %q: %w", stages[i].Stage, to.Stage, err)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// passage fills the row between two stages of the cohort that began as first.
func passage(first, from, to StageCount) (LifeTableRow, error) {
	if err := cmp.Or(
		limits.Between("day", to.Day, from.Day, mostCount, ""),
		limits.Between("number", to.Number, 0, from.Number, "animals"),
	); err != nil {
		return LifeTableRow{}, err
	}
	row := LifeTableRow{
		From: from.Stage, To: to.Stage, Entered: from.Number, Survived: to.Number,
		Days: to.Day - from.Day, Cumulative: to.Number / first.Number,
	}
	if from.Number == 0 {
		return row, nil
	}
	var err error
	row.HasSurvival = true
	if row.Survival, err = StageSurvival(from.Number, to.Number); err != nil {
		return LifeTableRow{}, err
	}
	if row.Survival > 0 && row.Days > 0 {
		row.HasLossPerDay = true
		row.LossPerDay, err = LossPerDay(row.Survival, row.Days)
	}
	return row, err
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
