package season

import (
	"time"
)

// Report is what the season report shows, worked out once for every form it takes.
//
// It knows what protocols declare (protocols.Tells) and no entry by its name, so that a
// protocol of one's own is shown as a shipped one is.
type Report struct {
	Season       Season
	From, To     time.Time // starts of the first and last batch
	Totals       []Total
	Apart        []Apart
	Collections  []Collection
	Outplantings []Outplanting
	Stages       []StageGroup
	Losses       []LossGroup
	Spawnings    []SpawningShare
	Larvae       []LarvalCurve
	Growth       []Growth
	Water        []Water
	Deviations   Deviations
	Comparisons  []Comparison
}

// ReportOf works out the season report.
//
// s as compiled; corrections are the revisions after the first of every batch, with what
// each changed, in the order of collecting. Nothing of s is changed.
// Range: every season. A part without readings is empty, and the report says so.
// Source: of each part at its own function.
func ReportOf(s Season, corrections []Correction) Report {
	r := Report{Season: s}
	var all []*Told
	for _, b := range s.Batches {
		start := b.Sheet.Plan.Start
		if r.From.IsZero() || start.Before(r.From) {
			r.From = start
		}
		if start.After(r.To) {
			r.To = start
		}
		all = append(all, b.Told())
	}
	r.Totals, r.Apart = totals(s), handedApart(s)
	for _, t := range all {
		r.Collections = append(r.Collections, t.collections...)
		r.Outplantings = append(r.Outplantings, t.outplantings...)
		r.Larvae = append(r.Larvae, t.larvae...)
		r.Growth = append(r.Growth, t.growth...)
		r.Water = append(r.Water, t.water...)
	}
	r.Stages = stageGroups(s)
	r.Losses = losses(s.Batches)
	r.Spawnings = spawnings(s.Batches)
	r.Deviations = deviations(s, corrections)
	r.Comparisons = comparisons(r.Stages, r.Spawnings)
	return r
}
