package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"spatsheet/calc/limits"
)

// SurvivalGroup is the observations of one group to be compared, such as an injury class.
type SurvivalGroup struct {
	Name         string
	Observations []Observation
}

// LogRankGroup is one group's share in a log-rank test.
type LogRankGroup struct {
	Name     string
	Number   int     // animals at the start
	Observed int     // deaths seen
	Expected float64 // deaths if all groups had one survival curve
	Variance float64 // of observed - expected
}

// LogRankResult is the outcome of a log-rank test.
type LogRankResult struct {
	Groups           []LogRankGroup // in the order given
	ChiSquare        float64
	DegreesOfFreedom int
	PValue           float64 // 0 to 1
}

// LogRank tests whether groups of animals have the same survival over time.
//
// groups as observed, two or more, all in one time unit; the p value is the chance of a
// difference at least so large if the curves were one.
// Range: as KaplanMeier for each group. Groups that were never at risk when a death
// happened add no degree of freedom; when fewer than two remain, or the deaths leave no
// variance, the error wraps ErrTooFew.
// Source: Mantel (1966), Cancer Chemotherapy Reports 50:163, hypergeometric variance, as R
// 4.2.2 survival 3.5-3 survdiff with rho = 0.
func LogRank(groups []SurvivalGroup) (LogRankResult, error) {
	if len(groups) < 2 {
		return LogRankResult{}, fmt.Errorf("log-rank: %d groups; give at least two: %w", len(groups), ErrTooFew)
	}
	tally, err := newLogRankTally(groups)
	if err != nil {
		return LogRankResult{}, err
	}
	for _, time := range tally.times {
		tally.add(time)
	}
	return tally.result()
}

// logRankTally walks through the times of death with the numbers at risk in each group.
type logRankTally struct {
	groups   []LogRankGroup
	atRisk   []int
	moments  []map[float64]moment // of each group, by time
	times    []float64            // of anything in any group, rising
	variance [][]float64
}

func newLogRankTally(groups []SurvivalGroup) (*logRankTally, error) {
	tally := &logRankTally{}
	var everything []Observation
	for i, g := range groups {
		sorted, number, err := sortObservations(g.Observations)
		if err != nil {
			return nil, fmt.Errorf("group %d %q: %w", i+1, g.Name, err)
		}
		byTime := map[float64]moment{}
		for _, m := range moments(sorted) {
			byTime[m.time] = m
		}
		tally.groups = append(tally.groups, LogRankGroup{Name: g.Name, Number: number})
		tally.atRisk = append(tally.atRisk, number)
		tally.moments = append(tally.moments, byTime)
		tally.variance = append(tally.variance, make([]float64, len(groups)))
		everything = append(everything, g.Observations...)
	}
	sorted, _, err := sortObservations(everything)
	if err != nil {
		return nil, err
	}
	for _, m := range moments(sorted) {
		tally.times = append(tally.times, m.time)
	}
	return tally, nil
}

// add books one time: deaths seen and expected, their covariance, and who leaves.
func (tally *logRankTally) add(time float64) {
	n, d := 0.0, 0.0
	for i := range tally.groups {
		n += float64(tally.atRisk[i])
		d += float64(tally.moments[i][time].deaths)
	}
	for i := range tally.groups {
		share := float64(tally.atRisk[i]) / n
		tally.groups[i].Observed += tally.moments[i][time].deaths
		tally.groups[i].Expected += d * share
		if n > 1 {
			scale := d * (n - d) / (n - 1) * share
			for j := range tally.groups {
				tally.variance[i][j] -= scale * float64(tally.atRisk[j]) / n
			}
			tally.variance[i][i] += scale
		}
	}
	for i := range tally.groups {
		left := tally.moments[i][time]
		tally.atRisk[i] -= left.deaths + left.censored
	}
}

// result solves (O - E)' V^-1 (O - E) over all groups that were at risk, less one.
func (tally *logRankTally) result() (LogRankResult, error) {
	var used []int
	for i := range tally.groups {
		tally.groups[i].Variance = tally.variance[i][i]
		if tally.groups[i].Expected > 0 {
			used = append(used, i)
		}
	}
	if len(used) < 2 {
		return LogRankResult{}, fmt.Errorf("log-rank: fewer than two groups were at risk when an animal died; there is nothing to compare: %w", ErrTooFew)
	}
	degrees := len(used) - 1
	v := mat.NewSymDense(degrees, nil)
	difference := mat.NewVecDense(degrees, nil)
	for a, i := range used[:degrees] {
		difference.SetVec(a, float64(tally.groups[i].Observed)-tally.groups[i].Expected)
		for b, j := range used[:degrees] {
			v.SetSym(a, b, tally.variance[i][j])
		}
	}
	var cholesky mat.Cholesky
	var solved mat.VecDense
	if !cholesky.Factorize(v) || cholesky.SolveVecTo(&solved, difference) != nil {
		return LogRankResult{}, fmt.Errorf("log-rank: the deaths leave no variance between the groups (all died at once?): %w", ErrTooFew)
	}
	chiSquare, err := limits.Result("log-rank chi-square", mat.Dot(difference, &solved))
	if err != nil {
		return LogRankResult{}, err
	}
	chiSquare = math.Max(chiSquare, 0)
	p := distuv.ChiSquared{K: float64(degrees)}.Survival(chiSquare)
	return LogRankResult{Groups: tally.groups, ChiSquare: chiSquare, DegreesOfFreedom: degrees, PValue: p}, nil
}
