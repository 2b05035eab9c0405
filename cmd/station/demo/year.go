package demo

import (
	"fmt"
	"strings"
)

// seasonBatch is a batch of the large invented season. What set leaves open is taken from
// the examples of the protocol's settings; what wrote leaves open from those of its
// entries, varied. Every figure, shore and person here is invented.
type SeasonBatch struct {
	Code, Protocol, Date, Start string
	Parents                     []string
	Set                         map[string]string
	Wrote                       Invented
	NotDone                     []string       // steps that were not done on this sheet
	Until                       map[string]int // tables that end for now: the last row filled in
	Mistakes                    Invented       // typed first, then corrected
	Reason                      string         // why it was corrected
}

// seasonSpecies is the species of every animal batch; diatoms are of another genus.
const SeasonSpecies, SeasonDiatom = "Patella aspera", "Navicula"

// carriedOver is how many of seasonBatches were begun the year before: the cohort whose
// animals are planted out and bred from in this season.
const CarriedOver = 5

// seasonBatches are the carried-over cohort and the thirty batches of five months, in the
// order in which they were planned: a parent stands before its children.
var SeasonBatches = []SeasonBatch{
	{Code: "KS-25-C1", Protocol: "shore-collection", Date: "2025-01-13", Start: "11:00", Wrote: northShore},
	{Code: "KS-25-A1", Protocol: "broodstock-acclimation", Date: "2025-01-13", Start: "13:30", Parents: []string{"KS-25-C1"}, Set: winterWater},
	{Code: "KS-25-S1", Protocol: "limpet-spawning@1.0.0", Date: "2025-01-30", Start: "18:00",
		Parents: []string{"KS-25-A1"}, Set: spawn(18, 12, "2.4e6", "30000"), Wrote: animals("H", 1, 10)},
	{Code: "KS-25-N1", Protocol: "nursery", Date: "2025-02-17", Start: "09:00", Parents: []string{"KS-25-S1"},
		Wrote: Invented{"cohort": "2025 pool A", "settlement_batch": "KS-25-S1"}},
	{Code: "KS-25-B1", Protocol: "grow-out", Date: "2025-04-16", Start: "09:00", Parents: []string{"KS-25-N1"},
		Set: map[string]string{"juveniles": "4000"}, Wrote: Invented{"family": "2025 pool A"}},

	{Code: "KS-26-D1", Protocol: "diatom-culture", Date: "2026-01-05", Start: "09:00", Set: carboys},
	{Code: "KS-26-C1", Protocol: "shore-collection", Date: "2026-01-06", Start: "10:30", Wrote: northShore},
	{Code: "KS-26-A1", Protocol: "broodstock-acclimation", Date: "2026-01-06", Start: "13:00",
		Parents: []string{"KS-26-C1"}, Set: winterWater, Wrote: died(0, 1, 2, 1, 1, 0)},
	{Code: "KS-26-P1", Protocol: "plate-seeding", Date: "2026-01-19", Start: "10:00", Parents: []string{"KS-26-D1"}, Set: plates},
	{Code: "KS-26-D2", Protocol: "diatom-culture", Date: "2026-01-19", Start: "14:00", Set: carboys,
		Wrote: Invented{"daily.seen": rows("clean", "clean", "clean", "clean", "clean", "ciliates", "clean")}},
	{Code: "KS-26-C2", Protocol: "shore-collection", Date: "2026-01-21", Start: "11:30", Wrote: southShore.and(Invented{"dead_on_arrival": 3.0})},
	{Code: "KS-26-A2", Protocol: "broodstock-acclimation", Date: "2026-01-21", Start: "14:00",
		Parents: []string{"KS-26-C2"}, Set: winterWater, Wrote: died(2, 3, 4, 2, 1, 1, 0)},
	{Code: "KS-26-G1", Protocol: "gonad-check", Date: "2026-01-23", Start: "10:00", Parents: []string{"KS-26-A1"}},
	{Code: "KS-26-S1", Protocol: "limpet-spawning@1.0.0", Date: "2026-01-27", Start: "18:00", Parents: []string{"KS-26-A1"},
		Set: spawn(18, 12, "2.4e6", "30000"), Wrote: animals("N", 1, 10).and(Invented{"film_lot": "KS-26-P1", "egg_pool_used": 70.0})},
	{Code: "KS-26-R1", Protocol: "out-planting", Date: "2026-02-04", Start: "09:30", Parents: []string{"KS-25-B1"},
		Set: map[string]string{"plots": "3"}, Wrote: southPlots, Until: map[string]int{"seen": 4, "control_seen": 4}}, // later visits are to come
	{Code: "KS-26-P2", Protocol: "plate-seeding", Date: "2026-02-05", Start: "10:00", Parents: []string{"KS-26-D2"},
		Set: plates, Wrote: Invented{"plates_ready": 204.0}},
	{Code: "KS-26-G2", Protocol: "gonad-check", Date: "2026-02-06", Start: "10:00", Parents: []string{"KS-26-A2"},
		Wrote: Invented{"stages.stage": rows("ripe", "ripe", "developing", "ripe"), "decision": "spawn"}},
	{Code: "KS-26-S2", Protocol: "limpet-spawning@1.0.0", Date: "2026-02-10", Start: "18:00", Parents: []string{"KS-26-A2"},
		Set: handedOn(18, 12, "2.1e6"), Wrote: animals("S", 1, 10), NotDone: handedOnSteps},
	{Code: "KS-26-L1", Protocol: "larval-rearing", Date: "2026-02-12", Start: "07:00", Parents: []string{"KS-26-S2"}, Wrote: Invented{"spawning_lot": "KS-26-S2"}},
	{Code: "KS-26-N1", Protocol: "nursery", Date: "2026-02-12", Start: "14:00", Parents: []string{"KS-26-S1"},
		Wrote: Invented{"cohort": "2026 pool N", "settlement_batch": "KS-26-S1"}},
	{Code: "KS-26-F1", Protocol: "f1-broodstock", Date: "2026-02-20", Start: "09:00", Parents: []string{"KS-25-B1"},
		Wrote: Invented{"wild_parents": "KS North", "register.cohort": alternating("2025 pool A", "2025 pool B", 40)}},
	{Code: "KS-26-T1", Protocol: "settlement", Date: "2026-02-21", Start: "08:00", Parents: []string{"KS-26-L1", "KS-26-P2"},
		Set: map[string]string{"spat_wanted": "15000"}, Wrote: Invented{"larval_lot": "KS-26-L1", "film_lot": "KS-26-P2", "outlet_mesh": 150.0}},
	{Code: "KS-26-L2", Protocol: "larval-rearing", Date: "2026-02-22", Start: "09:00", Parents: []string{"KS-26-F1"}, Wrote: Invented{"spawning_lot": "KS-26-F1"}},
	{Code: "KS-26-C3", Protocol: "shore-collection", Date: "2026-03-02", Start: "09:30", Wrote: northShore},
	{Code: "KS-26-A3", Protocol: "broodstock-acclimation", Date: "2026-03-02", Start: "12:00",
		Parents: []string{"KS-26-C3"}, Set: winterWater, Wrote: died(1, 2, 1, 2, 0).and(Invented{"daily.ph": "ND"})},
	{Code: "KS-26-S3", Protocol: "limpet-spawning@2.0.0", Date: "2026-03-03", Start: "18:30", Parents: []string{"KS-26-A2"},
		Set: spawn(10, 8, "9e5", "12000"), Wrote: animals("S", 28, 6),
		Mistakes: Invented{"water_temperature": "17,1", "sperm_motile": "about 80", "spat_counts.area": 1.0}, Reason: "read again from the wet paper"},
	{Code: "KS-26-T2", Protocol: "settlement", Date: "2026-03-04", Start: "08:00", Parents: []string{"KS-26-L2", "KS-26-P2"},
		Set: map[string]string{"spat_wanted": "12000"}, Wrote: Invented{"larval_lot": "KS-26-L2", "film_lot": "KS-26-P2"}},
	{Code: "KS-26-N2", Protocol: "nursery", Date: "2026-03-09", Start: "09:00", Parents: []string{"KS-26-T1"},
		Wrote: Invented{"cohort": "2026 pool S", "settlement_batch": "KS-26-T1"}},
	{Code: "KS-26-S4", Protocol: "limpet-spawning@2.0.0", Date: "2026-03-20", Start: "18:00", Parents: []string{"KS-26-A3"},
		Set: spawn(12, 9, "1.5e6", "20000"), Wrote: animals("P", 1, 7).and(Invented{"sperm_motile": "ND"})},
	{Code: "KS-26-D3", Protocol: "diatom-culture", Date: "2026-04-06", Start: "09:00", Set: carboys},
	{Code: "KS-26-B1", Protocol: "grow-out", Date: "2026-04-10", Start: "09:00", Parents: []string{"KS-26-N1"},
		Set: map[string]string{"juveniles": "3000", "start_length": "2.4 mm", "start_mass": "0.002 g/animal",
			"grown_length": "7 mm"}, Wrote: Invented{"family": "2026 pool N"}},
	{Code: "KS-26-P3", Protocol: "plate-seeding", Date: "2026-04-20", Start: "10:00", Parents: []string{"KS-26-D3"}, Set: plates},
	{Code: "KS-26-S5", Protocol: "limpet-spawning@2.0.0", Date: "2026-04-28", Start: "18:00", Parents: []string{"KS-26-A3"},
		Set: handedOn(15, 12, "1.8e6"), Wrote: animals("P", 22, 9), NotDone: handedOnSteps},
	{Code: "KS-26-L3", Protocol: "larval-rearing", Date: "2026-04-30", Start: "07:00", Parents: []string{"KS-26-S5"}, Wrote: Invented{"spawning_lot": "KS-26-S5"}},
	{Code: "KS-26-T3", Protocol: "settlement", Date: "2026-05-09", Start: "08:00", Parents: []string{"KS-26-L3", "KS-26-P3"},
		Set: map[string]string{"spat_wanted": "20000"}, Wrote: Invented{"larval_lot": "KS-26-L3", "film_lot": "KS-26-P3"}},
}

var (
	northShore  = Invented{"shore_site": "KS North", "permit": "KS-P-7"}
	southShore  = Invented{"shore_site": "KS South", "permit": "KS-P-7"}
	winterWater = map[string]string{"arrival_temperature": "15 °C", "target_temperature": "17 °C", "arrival_salinity": "35.8 PSU", "target_salinity": "35 PSU"}
	carboys     = map[string]string{"medium": "100 L", "parent_volume": "4 L"}
	plates      = map[string]string{"plates_wanted": "220"}
	southPlots  = Invented{"shore": "KS South, upper shore", "parents": "2025 pool A", "contact": "EF, 14:00",
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
func died(list ...float64) Invented {
	var column []any
	for _, n := range list {
		column = append(column, n)
	}
	return Invented{"daily.dead": column}
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
func animals(shore string, first, beakers int) Invented {
	var list []any
	for b := range beakers {
		var codes []string
		for i := range 3 {
			codes = append(codes, fmt.Sprintf("%s%02d", shore, first+3*b+i))
		}
		list = append(list, strings.Join(codes, ", "))
	}
	return Invented{"beaker_fill.codes": list}
}
