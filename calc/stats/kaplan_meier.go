package stats

import (
	"fmt"
	"math"
	"sort"

	"spatsheet/calc/limits"
)

// Observation is a number of animals seen to share one fate at one time: dead at it, or
// last known alive at it (removed, sold, still there when the log ends).
type Observation struct {
	Time   float64 // since the start, 0 or more, in one unit for the whole curve
	Died   bool    // false: last known alive (censored)
	Number int     // animals, 1 or more
}

// LimitsKind says on which scale the confidence limits of survival are symmetric.
type LimitsKind int

const (
	// LimitsLogLog is symmetric in log(-log S): never leaves 0 to 1. The default.
	LimitsLogLog LimitsKind = iota
	// LimitsLog is symmetric in log S, cut off at 1; the default of R's survival package.
	LimitsLog
	// LimitsPlain is S +- z standard errors, cut off at 0 and 1; poor in small samples.
	LimitsPlain
)

// SurvivalPoint is the curve from one time of death to the next.
type SurvivalPoint struct {
	Time     float64
	AtRisk   int     // alive and watched just before Time
	Deaths   int     // at Time
	Survival float64 // share alive just after Time, 0 to 1
	// HasLimits is false once survival is 0, where the next three have no value (they
	// are left at 0), and before the first death.
	HasLimits     bool
	StandardError float64 // Greenwood's, on the scale of Survival
	Low, High     float64
}

// SurvivalCurve is the Kaplan-Meier estimate with one point for each time of death.
type SurvivalCurve struct {
	Points     []SurvivalPoint // rising in time; empty when nothing died
	Number     int             // animals at the start
	LastTime   float64         // latest time of any observation
	Confidence float64
	Kind       LimitsKind
}

// KaplanMeier estimates survival over time from deaths and animals last known alive.
//
// observations in one time unit; survival is a share from 0 to 1. An animal last seen
// alive at the time of a death counts as at risk for it.
// Range: one observation or more, times 0 or later and finite, numbers 1 to 1e7, confidence
// 0.5 to 0.9999; otherwise an error that wraps limits.ErrRange or ErrTooFew. Where
// survival is 0 there are no limits: HasLimits is false.
// Source: Kaplan and Meier (1958), J. Am. Stat. Assoc. 53:457; variance of Greenwood
// (1926); limits as R 4.2.2 survival 3.5-3 survfit, conf.type plain, log and log-log.
// The three limits differ most near 0 and 1; log-log is the default because it stays
// inside without being cut off.
func KaplanMeier(observations []Observation, confidence float64, kind LimitsKind) (SurvivalCurve, error) {
	if err := checkConfidence(confidence); err != nil {
		return SurvivalCurve{}, err
	}
	if kind < LimitsLogLog || kind > LimitsPlain {
		return SurvivalCurve{}, fmt.Errorf("survival limits: kind %d is unknown; use log-log, log or plain: %w", kind, limits.ErrRange)
	}
	sorted, number, err := sortObservations(observations)
	if err != nil {
		return SurvivalCurve{}, err
	}
	curve := SurvivalCurve{Number: number, LastTime: sorted[len(sorted)-1].Time, Confidence: confidence, Kind: kind}
	z := normalQuantile(confidence)
	survival, greenwood, atRisk := 1.0, 0.0, number
	for _, moment := range moments(sorted) {
		if moment.deaths > 0 {
			n, d := float64(atRisk), float64(moment.deaths)
			survival *= (n - d) / n
			greenwood += d / (n * (n - d)) // infinite when all die: no limits then
			point := SurvivalPoint{Time: moment.time, AtRisk: atRisk, Deaths: moment.deaths, Survival: survival}
			point.setLimits(greenwood, z, kind)
			curve.Points = append(curve.Points, point)
		}
		atRisk -= moment.deaths + moment.censored
	}
	return curve, nil
}

// setLimits fills standard error and limits, unless survival is 0 and they don't exist.
func (p *SurvivalPoint) setLimits(greenwood, z float64, kind LimitsKind) {
	s := p.Survival
	if s <= 0 {
		return
	}
	root := math.Sqrt(greenwood) // standard error of log S
	p.HasLimits = true
	p.StandardError = s * root
	switch kind {
	case LimitsPlain:
		p.Low, p.High = s-z*s*root, s+z*s*root
	case LimitsLog:
		p.Low, p.High = s*math.Exp(-z*root), s*math.Exp(z*root)
	default:
		spread := math.Exp(z * root / -math.Log(s))
		p.Low, p.High = math.Pow(s, spread), math.Pow(s, 1/spread)
	}
	p.Low, p.High = math.Max(p.Low, 0), math.Min(p.High, 1)
}

// At gives the point of the curve that holds at a time.
//
// time in the unit of the observations; before the first death the point has survival 1
// and no limits.
// Range: 0 to the last observation, beyond which survival is not known; otherwise an error
// that wraps limits.ErrRange.
// Source: the step function of Kaplan and Meier (1958).
func (c SurvivalCurve) At(time float64) (SurvivalPoint, error) {
	if err := limits.Between("time", time, 0, c.LastTime, ""); err != nil {
		return SurvivalPoint{}, err
	}
	after := sort.Search(len(c.Points), func(i int) bool { return c.Points[i].Time > time })
	if after == 0 {
		return SurvivalPoint{Time: 0, AtRisk: c.Number, Survival: 1}, nil
	}
	return c.Points[after-1], nil
}

// Median gives the first time of death after which at most half are alive.
//
// The time is in the unit of the observations; reached is false when more than half live
// to the end of the record, and the time then has no value.
// Range: every curve.
// Source: Kaplan and Meier (1958). Other programs take the middle of a step that lies at
// exactly one half; the first time is simpler to find on the printed curve.
func (c SurvivalCurve) Median() (time float64, reached bool) {
	for _, p := range c.Points {
		if p.Survival <= 0.5+1e-12 { // products of fractions that make 1/2 may round up
			return p.Time, true
		}
	}
	return 0, false
}

// moment is what happened at one time.
type moment struct {
	time             float64
	deaths, censored int
}

// moments joins sorted observations of the same time.
func moments(sorted []Observation) []moment {
	var all []moment
	for _, o := range sorted {
		if len(all) == 0 || all[len(all)-1].time != o.Time {
			all = append(all, moment{time: o.Time})
		}
		last := &all[len(all)-1]
		if o.Died {
			last.deaths += o.Number
		} else {
			last.censored += o.Number
		}
	}
	return all
}

// sortObservations checks the observations and returns a sorted copy and their number.
func sortObservations(observations []Observation) ([]Observation, int, error) {
	if len(observations) == 0 {
		return nil, 0, fmt.Errorf("survival: there is no observation; give at least one animal: %w", ErrTooFew)
	}
	number := 0
	for i, o := range observations {
		if err := limits.AtLeast("time", o.Time, 0, ""); err != nil {
			return nil, 0, fmt.Errorf("observation %d: %w", i+1, err)
		}
		if err := limits.Between("number of animals", float64(o.Number), 1, mostCount, ""); err != nil {
			return nil, 0, fmt.Errorf("observation %d: %w", i+1, err)
		}
		number += o.Number
	}
	if err := limits.Between("number of animals in all", float64(number), 1, mostCount, ""); err != nil {
		return nil, 0, err
	}
	sorted := append([]Observation(nil), observations...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Time < sorted[j].Time })
	return sorted, number, nil
}
