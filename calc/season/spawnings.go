package season

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/stats"
)

// gonadCheckAge is how old the latest gonad check may be to be set beside a spawning; site
// choice: checks are made every one to two weeks.
const gonadCheckAge = 28 * 24 * time.Hour

// SpawningShare is how many of the females put to spawn gave eggs.
type SpawningShare struct {
	Batch, Species, InducedBy string
	Protocol                  string // id@version
	Start                     time.Time
	Females, Spawned          int
	Share                     stats.Interval // Wilson
	GonadIndex                float64        // %, mean of the check
	HasIndex                  bool
	IndexFrom                 string // where the index comes from, in words
}

// spawnings lists every batch that counted its females and those that spawned.
//
// A spawning takes the index of the gonad check it was planned from, or else
// of the latest check of its species in the 28 days before.
// Source: share with Wilson's limits; the females of a spawning share beakers and water,
// so that the limits are, if anything, too narrow.
func spawnings(all []Batch) []SpawningShare {
	var checks []gonadCheck
	for _, b := range all {
		checks = append(checks, b.Told().checks...)
	}
	var out []SpawningShare
	for _, b := range all {
		for _, s := range b.Told().spawnings {
			s.GonadIndex, s.IndexFrom, s.HasIndex = gonadIndex(b.Sheet.Plan, checks)
			out = append(out, s)
		}
	}
	return out
}

// spawnedIn is the share of one batch, where it counted; the gonad index is left out.
func spawnedIn(f filled) []SpawningShare {
	t := f.tells.Spawning
	if t == nil {
		return nil
	}
	females, spawned := f.number(t.Females), f.number(t.Mothers)
	if !females.Has || !spawned.Has || spawned.Number < 0 || spawned.Number > females.Number {
		return nil
	}
	share, err := stats.ShareWilson1927(int(spawned.Number), int(females.Number), Confidence)
	if err != nil {
		return nil
	}
	p := f.batch.Sheet.Plan
	return []SpawningShare{{Batch: p.Batch, Species: p.Species, Protocol: f.batch.Sheet.Protocol.Ref(), InducedBy: f.words(t.InducedBy), Start: p.Start,
		Females: int(females.Number), Spawned: int(spawned.Number), Share: share}}
}

// gonadCheck is a batch that a gonad index was worked out in.
type gonadCheck struct {
	plan  calc.Plan
	index float64
}

// gonadChecks are those of a season, in its order, by start.
func gonadChecks(all []filled) []gonadCheck {
	var checks []gonadCheck
	for _, f := range all {
		if index := f.number(f.tells.GonadIndex); index.Has {
			checks = append(checks, gonadCheck{f.batch.Sheet.Plan, index.Number})
		}
	}
	return checks
}

func gonadIndex(plan calc.Plan, checks []gonadCheck) (index float64, from string, ok bool) {
	for _, parent := range plan.Parents {
		for _, c := range checks {
			if c.plan.Batch == parent.Batch {
				return c.index, parent.Batch + ", planned from it", true
			}
		}
	}
	after := sort.Search(len(checks), func(i int) bool { return checks[i].plan.Start.After(plan.Start) })
	for _, c := range slices.Backward(checks[:after]) { // the latest first
		before := plan.Start.Sub(c.plan.Start)
		if before > gonadCheckAge {
			break
		}
		if c.plan.Species == plan.Species {
			return c.index, fmt.Sprintf("%s, %.0f d before", c.plan.Batch, before.Hours()/24), true
		}
	}
	return 0, "", false
}
