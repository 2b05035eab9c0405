package main

import (
	"fmt"
	"strings"
)

// seasonBatch is a batch of the large invented season. What set leaves open is taken from
// the examples of the protocol's settings; what wrote leaves open from those of its
// entries, varied. Every figure, shore and person here is invented.
type seasonBatch struct {
	code, protocol, date, start string
	parents                     []string
	set                         map[string]string
	wrote                       invented
	notDone                     []string       // steps that were not done on this sheet
	until                       map[string]int // tables that end for now: the last row filled in
	mistakes                    invented       // typed first, then corrected
	reason                      string         // why it was corrected
}

// seasonSpecies is the species of every animal batch; diatoms are of another genus.
const seasonSpecies, seasonDiatom = "Patella aspera", "Navicula"

// carriedOver is how many of seasonBatches were begun the year before: the cohort whose
// animals are planted out and bred from in this season.
const carriedOver = 5

// seasonBatches are the carried-over cohort and the thirty batches of five months, in the
// order in which they were planned: a parent stands before its children.
var seasonBatches = []seasonBatch{
	{code: "KS-25-C1", protocol: "shore-collection", date: "2025-01-13", start: "11:00", wrote: northShore},
	{code: "KS-25-A1", protocol: "broodstock-acclimation", date: "2025-01-13", start: "13:30", parents: []string{"KS-25-C1"}, set: winterWater},
	{code: "KS-25-S1", protocol: "limpet-spawning@1.0.0", date: "2025-01-30", start: "18:00", parents: []string{"KS-25-A1"}, set: spawn(18, 12, "2.4e6", "30000"), wrote: animals("H", 1, 10)},
	{code: "KS-25-N1", protocol: "nursery", date: "2025-02-17", start: "09:00", parents: []string{"KS-25-S1"}, wrote: invented{"cohort": "2025 pool A", "settlement_batch": "KS-25-S1"}},
	{code: "KS-25-B1", protocol: "grow-out", date: "2025-04-16", start: "09:00", parents: []string{"KS-25-N1"},
		set: map[string]string{"juveniles": "4000"}, wrote: invented{"family": "2025 pool A"}},

	{code: "KS-26-D1", protocol: "diatom-culture", date: "2026-01-05", start: "09:00", set: carboys},
	{code: "KS-26-C1", protocol: "shore-collection", date: "2026-01-06", start: "10:30", wrote: northShore},
	{code: "KS-26-A1", protocol: "broodstock-acclimation", date: "2026-01-06", start: "13:00", parents: []string{"KS-26-C1"}, set: winterWater, wrote: died(0, 1, 2, 1, 1, 0)},
	{code: "KS-26-P1", protocol: "plate-seeding", date: "2026-01-19", start: "10:00", parents: []string{"KS-26-D1"}, set: plates},
	{code: "KS-26-D2", protocol: "diatom-culture", date: "2026-01-19", start: "14:00", set: carboys,
		wrote: invented{"daily.seen": rows("clean", "clean", "clean", "clean", "clean", "ciliates", "clean")}},
	{code: "KS-26-C2", protocol: "shore-collection", date: "2026-01-21", start: "11:30", wrote: southShore.and(invented{"dead_on_arrival": 3.0})},
	{code: "KS-26-A2", protocol: "broodstock-acclimation", date: "2026-01-21", start: "14:00", parents: []string{"KS-26-C2"}, set: winterWater, wrote: died(2, 3, 4, 2, 1, 1, 0)},
	{code: "KS-26-G1", protocol: "gonad-check", date: "2026-01-23", start: "10:00", parents: []string{"KS-26-A1"}},
	{code: "KS-26-S1", protocol: "limpet-spawning@1.0.0", date: "2026-01-27", start: "18:00", parents: []string{"KS-26-A1"},
		set: spawn(18, 12, "2.4e6", "30000"), wrote: animals("N", 1, 10).and(invented{"film_lot": "KS-26-P1", "egg_pool_used": 70.0})},
	{code: "KS-26-R1", protocol: "out-planting", date: "2026-02-04", start: "09:30", parents: []string{"KS-25-B1"},
		set: map[string]string{"plots": "3"}, wrote: southPlots, until: map[string]int{"seen": 4, "control_seen": 4}}, // later visits are to come
	{code: "KS-26-P2", protocol: "plate-seeding", date: "2026-02-05", start: "10:00", parents: []string{"KS-26-D2"}, set: plates, wrote: invented{"plates_ready": 204.0}},
	{code: "KS-26-G2", protocol: "gonad-check", date: "2026-02-06", start: "10:00", parents: []string{"KS-26-A2"},
		wrote: invented{"stages.stage": rows("ripe", "ripe", "developing", "ripe"), "decision": "spawn"}},
	{code: "KS-26-S2", protocol: "limpet-spawning@1.0.0", date: "2026-02-10", start: "18:00", parents: []string{"KS-26-A2"},
		set: handedOn(18, 12, "2.1e6"), wrote: animals("S", 1, 10), notDone: handedOnSteps},
	{code: "KS-26-L1", protocol: "larval-rearing", date: "2026-02-12", start: "07:00", parents: []string{"KS-26-S2"}, wrote: invented{"spawning_lot": "KS-26-S2"}},
	{code: "KS-26-N1", protocol: "nursery", date: "2026-02-12", start: "14:00", parents: []string{"KS-26-S1"}, wrote: invented{"cohort": "2026 pool N", "settlement_batch": "KS-26-S1"}},
	{code: "KS-26-F1", protocol: "f1-broodstock", date: "2026-02-20", start: "09:00", parents: []string{"KS-25-B1"}, wrote: invented{"wild_parents": "KS North", "register.cohort": alternating("2025 pool A", "2025 pool B", 40)}},
	{code: "KS-26-T1", protocol: "settlement", date: "2026-02-21", start: "08:00", parents: []string{"KS-26-L1", "KS-26-P2"},
		set: map[string]string{"spat_wanted": "15000"}, wrote: invented{"larval_lot": "KS-26-L1", "film_lot": "KS-26-P2", "outlet_mesh": 150.0}},
	{code: "KS-26-L2", protocol: "larval-rearing", date: "2026-02-22", start: "09:00", parents: []string{"KS-26-F1"}, wrote: invented{"spawning_lot": "KS-26-F1"}},
	{code: "KS-26-C3", protocol: "shore-collection", date: "2026-03-02", start: "09:30", wrote: northShore},
	{code: "KS-26-A3", protocol: "broodstock-acclimation", date: "2026-03-02", start: "12:00", parents: []string{"KS-26-C3"}, set: winterWater, wrote: died(1, 2, 1, 2, 0).and(invented{"daily.ph": "ND"})},
	{code: "KS-26-S3", protocol: "limpet-spawning@2.0.0", date: "2026-03-03", start: "18:30", parents: []string{"KS-26-A2"},
		set: spawn(10, 8, "9e5", "12000"), wrote: animals("S", 28, 6),
		mistakes: invented{"water_temperature": "17,1", "sperm_motile": "about 80", "spat_counts.area": 1.0}, reason: "read again from the wet paper"},
	{code: "KS-26-T2", protocol: "settlement", date: "2026-03-04", start: "08:00", parents: []string{"KS-26-L2", "KS-26-P2"},
		set: map[string]string{"spat_wanted": "12000"}, wrote: invented{"larval_lot": "KS-26-L2", "film_lot": "KS-26-P2"}},
	{code: "KS-26-N2", protocol: "nursery", date: "2026-03-09", start: "09:00", parents: []string{"KS-26-T1"}, wrote: invented{"cohort": "2026 pool S", "settlement_batch": "KS-26-T1"}},
	{code: "KS-26-S4", protocol: "limpet-spawning@2.0.0", date: "2026-03-20", start: "18:00", parents: []string{"KS-26-A3"},
		set: spawn(12, 9, "1.5e6", "20000"), wrote: animals("P", 1, 7).and(invented{"sperm_motile": "ND"})},
	{code: "KS-26-D3", protocol: "diatom-culture", date: "2026-04-06", start: "09:00", set: carboys},
	{code: "KS-26-B1", protocol: "grow-out", date: "2026-04-10", start: "09:00", parents: []string{"KS-26-N1"},
		set: map[string]string{"juveniles": "3000", "start_length": "2.4 mm", "start_mass": "0.002 g/animal", "grown_length": "7 mm"}, wrote: invented{"family": "2026 pool N"}},
	{code: "KS-26-P3", protocol: "plate-seeding", date: "2026-04-20", start: "10:00", parents: []string{"KS-26-D3"}, set: plates},
	{code: "KS-26-S5", protocol: "limpet-spawning@2.0.0", date: "2026-04-28", start: "18:00", parents: []string{"KS-26-A3"},
		set: handedOn(15, 12, "1.8e6"), wrote: animals("P", 22, 9), notDone: handedOnSteps},
	{code: "KS-26-L3", protocol: "larval-rearing", date: "2026-04-30", start: "07:00", parents: []string{"KS-26-S5"}, wrote: invented{"spawning_lot": "KS-26-S5"}},
	{code: "KS-26-T3", protocol: "settlement", date: "2026-05-09", start: "08:00", parents: []string{"KS-26-L3", "KS-26-P3"},
		set: map[string]string{"spat_wanted": "20000"}, wrote: invented{"larval_lot": "KS-26-L3", "film_lot": "KS-26-P3"}},
}

var (
	northShore  = invented{"shore_site": "KS North", "permit": "KS-P-7"}
	southShore  = invented{"shore_site": "KS South", "permit": "KS-P-7"}
	winterWater = map[string]string{"arrival_temperature": "15 °C", "target_temperature": "17 °C", "arrival_salinity": "35.8 PSU", "target_salinity": "35 PSU"}
	carboys     = map[string]string{"medium": "100 L", "parent_volume": "4 L"}
	plates      = map[string]string{"plates_wanted": "220"}
	southPlots  = invented{"shore": "KS South, upper shore", "parents": "2025 pool A", "contact": "EF, 14:00",
		"seen.live": rows(1130.0, 870.0, 560.0, 310.0)}
	// handedOnSteps are those of a spawning whose larvae went on to a sheet of their own.
	handedOnSteps = []string{"larvae", "stock", "settlement"}
)

func alternating(a, b string, n int) []any {
	var list []any
	for i := range n {
		list = append(list, []string{a, b}[i%2])
	}
	return list
}

// died are deaths on the first days of a quarantine; the last number goes on.
func died(list ...float64) invented {
	var column []any
	for _, n := range list {
		column = append(column, n)
	}
	return invented{"daily.dead": column}
}

func spawn(females, males int, eggs, spat string) map[string]string {
	return map[string]string{"females": fmt.Sprint(females), "males": fmt.Sprint(males), "eggs_expected": eggs, "spat_wanted": spat}
}

// handedOn is spawn for larvae that go on to another sheet: as little as the protocol
// lets one plan for its own tanks.
func handedOn(females, males int, eggs string) map[string]string {
	set := spawn(females, males, eggs, "1000")
	set["windows"] = "3"
	return set
}

// animals gives the codes in each beaker, three an animal's beaker, counted on from first.
func animals(shore string, first, beakers int) invented {
	var list []any
	for b := range beakers {
		var codes []string
		for i := range 3 {
			codes = append(codes, fmt.Sprintf("%s%02d", shore, first+3*b+i))
		}
		list = append(list, strings.Join(codes, ", "))
	}
	return invented{"beaker_fill.codes": list}
}
