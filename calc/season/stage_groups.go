package season

import (
	"math"
	"slices"
	"sort"

	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

// StageEstimate is a stage of one batch with what can be said about its uncertainty.
type StageEstimate struct {
	Stage
	// Interval is Wilson's, of animals counted one by one. HasInterval is false where the
	// counts are estimates from subsamples: the share then rests on an unknown number of
	// independent animals, and a binomial interval would be far too narrow.
	Interval    stats.Interval
	HasInterval bool
}

// StageGroup is one stage of one protocol, whatever its version, over the batches of one
// species.
type StageGroup struct {
	Protocol, Species, ID, Label string // Protocol without version
	InUnit, OutUnit              string
	Counted                      bool // every count is a count, none an estimate
	Estimates                    []StageEstimate
	// Of the batches with a survival and without a note:
	Batches           int
	In, Out           float64
	Pooled            float64 // Out / In
	Low, Median, High float64 // of the batches' survivals
}

// stageGroups puts the stages of a season in groups, in the order of first appearance.
//
// Source: pooled = all out / all in; the spread is that of the batches, which are the
// independent units; intervals as estimate.
func stageGroups(s Season) []StageGroup {
	index := map[[3]string]int{}
	var out []StageGroup
	at, isCounted := 0, map[*protocols.StageCount]bool{}
	for _, b := range s.Batches {
		p := b.Sheet.Protocol
		for i := range p.Stages {
			stage := &p.Stages[i]
			counts, known := isCounted[stage]
			if !known {
				counts = oneByOne(p, stage)
				isCounted[stage] = counts
			}
			e := estimate(s.Stages[at], counts)
			at++
			key := [3]string{p.ID, e.Species, e.ID}
			g, ok := index[key]
			if !ok {
				g = len(out)
				index[key] = g
				out = append(out, StageGroup{Protocol: p.ID, Species: e.Species, ID: e.ID, Label: e.Label, InUnit: e.InUnit, OutUnit: e.OutUnit, Counted: true})
			}
			out[g].Counted = out[g].Counted && counts
			out[g].Estimates = append(out[g].Estimates, e)
		}
	}
	for i := range out {
		out[i].spread()
	}
	return out
}

// estimate adds Wilson's interval to a stage whose counts are whole counts.
func estimate(st Stage, counted bool) StageEstimate {
	e := StageEstimate{Stage: st}
	whole := st.In == math.Trunc(st.In) && st.Out == math.Trunc(st.Out)
	if counted && whole && st.HasSurvival && st.Out <= st.In && st.In <= 1e7 {
		interval, err := stats.ShareWilson1927(int(st.Out), int(st.In), Confidence)
		e.Interval, e.HasInterval = interval, err == nil
	}
	return e
}

func (g *StageGroup) spread() {
	var shares []float64
	for _, e := range g.Estimates {
		if e.HasSurvival && e.Note == "" {
			shares = append(shares, e.Survival)
			g.In += e.In
			g.Out += e.Out
		}
	}
	g.Batches = len(shares)
	if g.Batches == 0 {
		return
	}
	sort.Float64s(shares)
	g.Pooled = g.Out / g.In
	g.Low, g.High = shares[0], shares[len(shares)-1]
	g.Median = median(shares)
}

// median of sorted values.
func median(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}

// oneByOne tells whether both ends of a stage rest on animals counted one by one: every
// reading under the formulas is a count, none of subsamples, and nothing is multiplied
// or divided up to a total.
func oneByOne(p *protocols.Protocol, stage *protocols.StageCount) bool {
	entries := entriesOf(p)
	return oneByOneIn(stage.In, entries, 0) && oneByOneIn(stage.Out, entries, 0)
}

// asking is a formula and the names it asks for.
type asking interface {
	String() string
	Names() []string
}

func oneByOneIn(f asking, entries map[string]*protocols.Entry, depth int) bool {
	if depth > 10 {
		return false
	}
	if slices.ContainsFunc([]rune(f.String()), func(r rune) bool { return r == '*' || r == '/' || r == '^' }) {
		return false
	}
	for _, name := range f.Names() {
		e, ok := entries[name]
		switch {
		case !ok: // a setting or an amount
			return false
		case e.WorksOut != nil:
			if !oneByOneIn(e.WorksOut, entries, depth+1) {
				return false
			}
		case e.Kind != protocols.KindCount || e.Replicates:
			return false
		}
	}
	return true
}

// entriesOf lists single entries by id and columns by table.column.
func entriesOf(p *protocols.Protocol) map[string]*protocols.Entry {
	out := map[string]*protocols.Entry{}
	for i := range p.Steps {
		step := &p.Steps[i]
		for e := range step.Entries {
			out[step.Entries[e].ID] = &step.Entries[e]
		}
		for t := range step.Tables {
			table := &step.Tables[t]
			for c := range table.Columns {
				out[table.ID+"."+table.Columns[c].ID] = &table.Columns[c]
			}
		}
	}
	return out
}
