package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"spatsheet/calc/limits"
)

// mostCount (number, our choice after measuring): gonum's inverse beta and gamma functions
// agree with bisection of its distribution functions to 1e-8 up to here; at 1e9 the beta
// pair is off by 1e-4. Nobody counts ten million eggs one by one.
const mostCount = 10_000_000

// ShareWilson1927 gives the share of successes among trials with Wilson's score limits.
//
// successes and trials are numbers of animals or eggs; the result is a share from 0 to 1.
// Range: trials 1 to 1e7, successes 0 to trials, confidence 0.5 to 0.9999; otherwise an
// error that wraps limits.ErrRange.
// Source: Wilson (1927), J. Am. Stat. Assoc. 22:209, without continuity correction;
// checked against Newcombe (1998) Table I.
// The default for shares: its limits cover close to the stated confidence on average,
// while ShareClopperPearson1934 never covers less and is wider.
func ShareWilson1927(successes, trials int, confidence float64) (Interval, error) {
	if err := checkShare(successes, trials, confidence); err != nil {
		return Interval{}, err
	}
	n := float64(trials)
	p := float64(successes) / n
	z := normalQuantile(confidence)
	centre := p + z*z/(2*n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	divisor := 1 + z*z/n
	return shareInterval(successes, trials, (centre-half)/divisor, (centre+half)/divisor, confidence)
}

// ShareClopperPearson1934 gives the share of successes among trials with exact limits.
//
// successes and trials are numbers; the result is a share from 0 to 1.
// Range: as ShareWilson1927.
// Source: Clopper and Pearson (1934), Biometrika 26:404, through quantiles of the beta
// distribution. Never covers less than stated; wider than ShareWilson1927, the default.
func ShareClopperPearson1934(successes, trials int, confidence float64) (Interval, error) {
	if err := checkShare(successes, trials, confidence); err != nil {
		return Interval{}, err
	}
	tail := (1 - confidence) / 2
	x, n := float64(successes), float64(trials)
	low, high := 0.0, 1.0
	if successes > 0 {
		low = distuv.Beta{Alpha: x, Beta: n - x + 1}.Quantile(tail)
	}
	if successes < trials {
		// The mirror image, so that the small tail keeps all its digits.
		high = 1 - distuv.Beta{Alpha: n - x, Beta: x + 1}.Quantile(tail)
	}
	return shareInterval(successes, trials, low, high, confidence)
}

func checkShare(successes, trials int, confidence float64) error {
	if err := checkConfidence(confidence); err != nil {
		return err
	}
	if err := limits.Between("trials", float64(trials), 1, mostCount, ""); err != nil {
		return err
	}
	return limits.Between("successes", float64(successes), 0, float64(trials), "")
}

// shareInterval clips what rounding pushed past 0, 1 or the estimate itself.
func shareInterval(successes, trials int, low, high, confidence float64) (Interval, error) {
	p := float64(successes) / float64(trials)
	if math.IsNaN(low) || math.IsNaN(high) {
		return Interval{}, fmt.Errorf("limits of the share %d of %d cannot be computed: %w", successes, trials, limits.ErrRange)
	}
	return Interval{
		Estimate:   p,
		Low:        math.Min(math.Max(low, 0), p),
		High:       math.Max(math.Min(high, 1), p),
		Confidence: confidence,
	}, nil
}

// PoissonMeanGarwood1936 gives the exact limits of the expectation behind one count.
//
// count is the number counted in all subsamples together; the result is a number on the
// same scale: multiply all of it by volume / volume counted to reach the vessel.
// Range: count 0 to 1e7, confidence 0.5 to 0.9999; otherwise an error that wraps
// limits.ErrRange.
// Source: Garwood (1936), Biometrika 28:437: chi-square quantiles with 2x and 2x + 2
// degrees of freedom, halved.
func PoissonMeanGarwood1936(count int, confidence float64) (Interval, error) {
	if err := checkConfidence(confidence); err != nil {
		return Interval{}, err
	}
	if err := limits.Between("count", float64(count), 0, mostCount, ""); err != nil {
		return Interval{}, err
	}
	tail := (1 - confidence) / 2
	x := float64(count)
	low := 0.0
	if count > 0 {
		low = distuv.Gamma{Alpha: x, Beta: 1}.Quantile(tail)
	}
	high := distuv.Gamma{Alpha: x + 1, Beta: 1}.Quantile(1 - tail)
	return Interval{Estimate: x, Low: low, High: high, Confidence: confidence}, nil
}
