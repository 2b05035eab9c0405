// Package demo holds the invented seasons of the demo: plans, and what the people at the
// bench wrote down. Every figure is invented.
package demo

import (
	"maps"
	"time"
)

// demoBatch is a batch of the invented season: its plan and what was written down.
// Every figure here is invented.
type demoBatch struct {
	Code, Plan string
	Wrote      Invented
	Corrected  Invented // what the second reading of the paper gave; nil when nothing was wrong
}

var Batches = []demoBatch{
	{Code: "KS-26-D1", Plan: `batch: KS-26-D1
protocol: diatom-culture@1.0.0
species: Navicula
date: "2026-01-26"
start: "09:00"
note: invented demo batch
settings:
  medium: 40 L
  parent_density: 8e5
  parent_volume: 2 L
`, Wrote: diatomNotes},
	{Code: "KS-26-01", Plan: `batch: KS-26-01
protocol: limpet-spawning@1.0.0
species: Patella vulgata
date: "2026-02-14"
start: "18:00"
note: invented demo batch
settings:
  females: 18
  males: 12
  eggs_expected: 2.4e6
  spat_wanted: 60000
`, Wrote: SpawningNotes},
	{Code: "KS-26-02", Plan: `batch: KS-26-02
protocol: limpet-spawning@1.0.0
species: Lottia tenuisculpta
date: "2026-03-02"
start: "18:30"
note: invented demo batch
settings:
  females: 10
  males: 8
  eggs_expected: 9e5
  spat_wanted: 15000
`, Wrote: secondNotes(true), Corrected: secondNotes(false)},
}

func rows(values ...any) []any { return values }

// days are times on successive days.
func days(first string, n int) []any {
	t, err := time.Parse("2006-01-02 15:04", first)
	if err != nil {
		panic(err) // the text stands in this file
	}
	var out []any
	for i := range n {
		out = append(out, t.AddDate(0, 0, i))
	}
	return out
}

var diatomNotes = Invented{
	"water_batch": "W-0125", "water_salinity": 33.5, "stock_lots": "N12 P09 T31 V07 S15",
	"strain": "KS-Nav-4", "parent_flask": "F-88", "passage": 14, "parent_dilution": 1,
	"parent_counts.cells": rows(388, 412), "parent_counts.squares": 5,
	"carboy_lots.lot":   rows("D1-A", "D1-B", "D1-C"),
	"daily.temperature": rows(18.1, 18.3, 18.0, 18.4, 18.2),
	"daily.density":     rows(2.1e4, 2.3e4, 3.4e4, 5.2e4, 7.7e4, 1.2e5, 1.7e5, 2.6e5, 3.8e5, 5.7e5, 8.1e5, 1.02e6),
	"harvest_volume":    38.5, "harvest_counted": 1.02e6,
	"harvested_at": time.Date(2026, 2, 7, 10, 15, 0, 0, time.UTC),
}

var SpawningNotes = Invented{
	"water_temperature": 13.2, "water_salinity": 34.1, "water_ph": 8.1,
	"looks.females":   rows(0, 0, 1, 3, 4, 7, 9, 10, 11),
	"looks.males":     rows(0, 1, 2, 4, 5, 6, 7),
	"females_spawned": 11, "egg_counts.sample": 1.0, "egg_counts.counted": rows(52, 47, 55, 49, 51),
	"males_spawned": 7, "sperm_cells": 236, "sperm_squares": 5, "sperm_dilution": 100, "sperm_motile": 85,
	"sperm_added": 102, "cleaved_regular": 168, "cleaved_irregular": 9, "uncleaved": 31, "rinses_done": 3,
	"hatch_counts.sample": 10, "hatch_counts.counted": rows(46, 51, 43, 49),
	"changes.at":          days("2026-02-17 08:00", 5),
	"changes.temperature": rows(13.4, 13.6, 13.5, 13.2, 13.3), "changes.salinity": 34.0,
	"changes.alive": rows(1.31e6, 1.18e6, 1.02e6, 9.1e5, 7.9e5), "changes.deformed": rows(2, 3, 3, 4, 4),
	"competent_seen": 24, "competent_of": 36, "larvae_on_hand": 7.6e5, "pour_density": 60, "film_lot": "KS-26-D1",
	"stocking.poured":   rows(1111, 1111),
	"spat_counts.plate": rows("P012", "P012", "P047", "P047", "P101", "P101", "P155", "P155", "P208", "P208", "P290", "P290"),
	"spat_counts.area":  100, "spat_counts.spat": rows(4, 6, 5, 3, 7, 5, 4, 6, 5, 4, 5, 6),
}

// secondNotes are those of the second spawning: as first typed, with the mistakes that
// happen, or as read again.
func secondNotes(mistakes bool) Invented {
	g := maps.Clone(SpawningNotes)
	maps.Copy(g, Invented{
		"females_spawned": 6, "males_spawned": 5, "looks.females": rows(0, 1, 2, 4, 6), "looks.males": rows(0, 2, 3, 5),
		"egg_counts.counted": rows(44, 49, 41, 47, 45), "sperm_cells": 204, "sperm_added": 44,
		"cleaved_regular": 141, "cleaved_irregular": 12, "uncleaved": 47,
		"hatch_counts.counted": rows(41, 38, 44, 36), "changes.at": days("2026-03-05 08:30", 5),
		"changes.alive":  rows(4.1e5, 3.7e5, 3.3e5, 2.8e5, 2.5e5),
		"competent_seen": 21, "competent_of": 34, "larvae_on_hand": 2.4e5, "stocking.poured": 833,
		"spat_counts.spat": rows(2, 4, 3, 3, 5, 2, 4, 3, 3, 4, 2, 3), "film_lot": "KS-26-D1",
	})
	if mistakes {
		maps.Copy(g, Invented{
			"water_temperature":  "13,4",      // decimal comma
			"hatch_water":        "108000 mL", // a unit typed beside the number
			"sperm_motile":       "about 80",  // words where a number belongs
			"uncleaved":          nil,         // forgotten, though the share was worked out
			"fertilised_share":   76.5,
			"larvae_hatched":     4.293e5,
			"spat_counts.area":   1,    // windows of 100 cm2, the area typed as 1
			"sign.stock.checked": "TK", // checked by the one who did it
		})
	}
	return g
}
