package season

import (
	"errors"
	"fmt"
	"slices"
	"sort"

	"spatsheet/calc/stats"
)

// significance is the level that the smallest p value of a comparison must be able to
// reach, or the comparison is refused; common practice.
const significance = 0.05

// Comparison holds two groups of batches against each other: two versions of a protocol,
// or two treatments.
type Comparison struct {
	Species, What string // "Stocked larva to spat"
	First, Second string // the groups
	Of            string // what tells the groups apart: "protocol version", "induced by"
	Numbers       [2]int // batches
	Medians       [2]float64
	Result        stats.RankSumResult
	Adjusted      float64 // p value after Holm, over every comparison of the report
	Done          bool
	Says          string // why it was refused
}

// value is one batch in a comparison.
type value struct {
	group string
	share float64
}

// comparisons compares versions of one protocol on each stage, and ways of inducing on
// the share of females that spawned.
//
// A batch is one value, whatever the number of its animals: animals of one batch share
// parents, water and hands, and are no independent trials. Two groups are compared only
// when their sizes could give p of 0.05 at all (4 against 4, 3 against 5 ...).
// Source: stats.RankSumWilcoxon1945, exact; Holm (1979), Scand. J. Stat. 6:65, for
// several comparisons.
func comparisons(groups []StageGroup, spawned []SpawningShare) []Comparison {
	var out []Comparison
	for _, g := range groups {
		var values []value
		for _, e := range g.Estimates {
			if e.HasSurvival && e.Note == "" {
				values = append(values, value{e.Protocol, e.Survival})
			}
		}
		out = append(out, compare(values, Comparison{Species: g.Species, What: g.Label, Of: "protocol version"})...)
	}
	bySpecies := map[string][]value{}
	var order []string
	for _, s := range spawned {
		if s.InducedBy == "" {
			continue
		}
		if bySpecies[s.Species] == nil {
			order = append(order, s.Species)
		}
		bySpecies[s.Species] = append(bySpecies[s.Species], value{s.InducedBy, s.Share.Estimate})
	}
	for _, species := range order {
		out = append(out, compare(bySpecies[species], Comparison{Species: species, What: "Females that spawned", Of: "induced by"})...)
	}
	holm(out)
	return out
}

// compare makes one comparison of each pair of groups.
func compare(values []value, like Comparison) []Comparison {
	shares := map[string][]float64{}
	var names []string
	for _, v := range values {
		if shares[v.group] == nil {
			names = append(names, v.group)
		}
		shares[v.group] = append(shares[v.group], v.share)
	}
	slices.Sort(names)
	var out []Comparison
	for i := range names {
		for _, second := range names[i+1:] {
			c := like
			c.First, c.Second = names[i], second
			c.test(shares[c.First], shares[second])
			out = append(out, c)
		}
	}
	return out
}

func (c *Comparison) test(first, second []float64) {
	c.Numbers = [2]int{len(first), len(second)}
	c.Medians = [2]float64{median(slices.Sorted(slices.Values(first))), median(slices.Sorted(slices.Values(second)))}
	result, err := stats.RankSumWilcoxon1945(first, second)
	switch {
	case errors.Is(err, stats.ErrTooFew):
		c.Says = "not tested: too few batches"
	case err != nil:
		c.Says = "not tested: " + err.Error()
	case result.LeastP > significance:
		c.Says = fmt.Sprintf("not tested: with %d against %d batches no result could reach p = 0.05; the smallest "+
			"possible p is %.2g", len(first), len(second), result.LeastP)
	default:
		c.Result, c.Done = result, true
	}
}

// holm adjusts the p values for the number of comparisons made.
func holm(list []Comparison) {
	var done []int
	for i, c := range list {
		if c.Done {
			done = append(done, i)
		}
	}
	sort.SliceStable(done, func(a, b int) bool { return list[done[a]].Result.PValue < list[done[b]].Result.PValue })
	worst := 0.0
	for rank, i := range done {
		worst = max(worst, min(1, list[i].Result.PValue*float64(len(done)-rank)))
		list[i].Adjusted = worst
	}
}
