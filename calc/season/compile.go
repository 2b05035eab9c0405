package season

import (
	"sort"
)

// Compile puts batches in order of start and code, works out their stages, and lets across
// look for what is wrong between them: pedigree.Across, or nil where nobody asks.
func Compile(batches []Batch, across func(Season) []Finding) Season {
	s := Season{Batches: append([]Batch(nil), batches...)}
	for i := range s.Batches {
		s.Batches[i] = s.Batches[i].Ready()
	}
	sort.SliceStable(s.Batches, func(i, j int) bool {
		a, b := s.Batches[i].Sheet.Plan, s.Batches[j].Sheet.Plan
		if !a.Start.Equal(b.Start) {
			return a.Start.Before(b.Start)
		}
		return a.Batch < b.Batch
	})
	for _, b := range s.Batches {
		s.Stages = append(s.Stages, Stages(b)...)
	}
	s.Pooled = pool(s.Stages)
	if across != nil {
		s.Across = across(s)
	}
	return s
}

func pool(stages []Stage) []Pooled {
	index := map[string]int{}
	var out []Pooled
	for _, st := range stages {
		if !st.HasSurvival || st.Note != "" { // a stage that gained animals is a mistake, not survival
			continue
		}
		key := st.Protocol + "\n" + st.Species + "\n" + st.ID
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, Pooled{Protocol: st.Protocol, Species: st.Species, ID: st.ID, Label: st.Label, InUnit: st.InUnit, OutUnit: st.OutUnit})
		}
		out[i].Batches++
		out[i].In += st.In
		out[i].Out += st.Out
		out[i].Survival = out[i].Out / out[i].In
	}
	return out
}
