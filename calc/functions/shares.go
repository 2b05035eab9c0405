package functions

import (
	"spatsheet/calc/stats"
	"spatsheet/protocols/formula"
)

// mostCount is the largest number that a share is worked out for; as in calc/stats.
const mostCount = 1e7

// shareConfidence is that of the limits of a share. Common practice.
const shareConfidence = 0.95

// shares are what a few animals or eggs say of all.
func shares() []formula.Function {
	limit := func(name, says, working string, of func(stats.Interval) float64) formula.Function {
		return formula.Function{
			Name: name, Says: says,
			Arguments: []formula.Argument{whole("seen", formula.Thing, 0, mostCount), whole("of", formula.Thing, 1, mostCount)},
			Result:    "1", Source: "Wilson (1927), J. Am. Stat. Assoc. 22:209", Working: working,
			Call: func(x []float64) (float64, error) {
				interval, err := stats.ShareWilson1927(int(x[0]), int(x[1]), shareConfidence)
				return of(interval), err
			},
		}
	}
	return []formula.Function{
		limit("share_low", "Lower 95 % limit of a share seen in a sample",
			"(seen / of + 1.920729 / of - 1.959964 * (seen * (of - seen) / of ^ 3 + 0.9603647 / of ^ 2) ^ 0.5) / (1 + 3.841459 / of)",
			func(i stats.Interval) float64 { return i.Low }),
		limit("share_high", "Upper 95 % limit of a share seen in a sample",
			"(seen / of + 1.920729 / of + 1.959964 * (seen * (of - seen) / of ^ 3 + 0.9603647 / of ^ 2) ^ 0.5) / (1 + 3.841459 / of)",
			func(i stats.Interval) float64 { return i.High }),
	}
}
