package season

import (
	"slices"
	"testing"

	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// reportNames are the readings that the report goes by, each with a shipped protocol
// that has it: a renamed entry would make a part of the report vanish without a word.
var reportNames = map[string][]string{
	"shore-collection":       {"shore_site", "permit", "bag_counts.taken", "bag_counts.returned", "bag_counts.kept", "bag_counts.sound", "dead_on_arrival", "animals_collected", "lengths.first", "on_shore"},
	"broodstock-acclimation": {"daily.dead", "daily.removed", "daily.alive", "classes.came_in", "classes.day_7", "classes.at_end", "daily.temperature", "daily.salinity", "daily.ph"},
	"gonad-check":            {"index_mean"},
	"limpet-spawning":        {"females", "females_spawned", "induced_by", "larvae_hatched", "hatched_at", "sperm_added_at", "changes.at", "changes.alive", "water_temperature", "water_salinity", "water_ph"},
	"larval-rearing":         {"larvae_stocked", "stocked_at", "fertilised_at", "changes_larvae.alive", "changes_water.at", "start_temperature", "start_salinity"},
	"plate-seeding":          {"fill_temperature", "fill_salinity"},
	"nursery":                {"cohort", "first_length", "stocked_on", "length_sample.length", "measured_on"},
	"grow-out":               {"family", "lengths_in.a", "stocked_at", "lengths_out.a", "ended_at"},
	"out-planting":           {"shore", "permit", "parents", "mark", "mark_code", "released", "died_marking", "died_transport", "seen.date", "seen.live", "seen.broken", "seen.whole", "lengths.a", "release_day"},
}

func TestReportNamesAreInTheProtocols(t *testing.T) {
	newest := map[string]*protocols.Protocol{}
	for _, ref := range library.Refs() { // newest versions first
		p, err := library.Load(ref)
		if err != nil {
			t.Fatal(err)
		}
		if newest[p.ID] == nil {
			newest[p.ID] = p
		}
	}
	checked := 0
	for id, names := range reportNames {
		p := newest[id]
		if p == nil {
			t.Errorf("no protocol %s", id)
			continue
		}
		entries := entriesOf(p)
		for _, name := range names {
			isSetting := slices.ContainsFunc(p.Settings, func(s protocols.Setting) bool { return s.ID == name })
			if entries[name] == nil && !isSetting {
				t.Errorf("%s has no %s any more: change what calc/season reads for the report", p.Ref(), name)
			}
			checked++
		}
	}
	if checked < 60 {
		t.Errorf("only %d names were looked up", checked)
	}
}

// TestSpread by hand.
func TestSpread(t *testing.T) {
	var s Spread
	for _, x := range []float64{16, 15, 20} {
		s.add(x)
	}
	if s != (Spread{Number: 3, Low: 15, Mean: 17, High: 20}) {
		t.Errorf("got %+v", s)
	}
}
