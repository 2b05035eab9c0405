package season

import (
	"fmt"
	"slices"
	"time"

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
// Readings it goes by: females_spawned, the setting females, induced_by; of gonad checks
// index_mean. A spawning takes the index of the gonad check it was planned from, or else
// of the latest check of its species in the 28 days before.
// Source: share with Wilson's limits; the females of a spawning share beakers and water,
// so that the limits are, if anything, too narrow.
func spawnings(all []filled) []SpawningShare {
	var out []SpawningShare
	for _, f := range all {
		spawned, ok := f.number("females_spawned")
		females, has := f.batch.Sheet.Value("females")
		if !ok || !has || spawned < 0 || spawned > females.Quantity.Value() {
			continue
		}
		share, err := stats.ShareWilson1927(int(spawned), int(females.Quantity.Value()), Confidence)
		if err != nil {
			continue
		}
		p := f.batch.Sheet.Plan
		s := SpawningShare{Batch: p.Batch, Species: p.Species, Protocol: f.batch.Sheet.Protocol.Ref(), InducedBy: f.text("induced_by"), Start: p.Start,
			Females: int(females.Quantity.Value()), Spawned: int(spawned), Share: share}
		s.GonadIndex, s.IndexFrom, s.HasIndex = gonadIndex(f, all)
		out = append(out, s)
	}
	return out
}

func gonadIndex(f filled, all []filled) (index float64, from string, ok bool) {
	plan := f.batch.Sheet.Plan
	for _, parent := range plan.Parents {
		for _, other := range all {
			if other.batch.Sheet.Plan.Batch == parent.Batch {
				if index, ok = other.number("index_mean"); ok {
					return index, parent.Batch + ", planned from it", true
				}
			}
		}
	}
	for _, other := range slices.Backward(all) { // the latest first
		check := other.batch.Sheet.Plan
		before := plan.Start.Sub(check.Start)
		if check.Species != plan.Species || before < 0 || before > gonadCheckAge {
			continue
		}
		if index, ok = other.number("index_mean"); ok {
			return index, fmt.Sprintf("%s, %.0f d before", check.Batch, before.Hours()/24), true
		}
	}
	return 0, "", false
}
