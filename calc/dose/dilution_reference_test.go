package dose

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/referencetest"
)

// tolerance of each topic of dilution.csv, relative, and why.
var dilutionTolerance = map[string]float64{
	"dilution":         1e-9, // exact
	"formula weight":   1e-9, // three decimals, added up exactly from the same weights
	"peroxide":         6e-8, // eight digits printed, the last within half a unit
	"chlorination":     6e-8, // eight digits printed
	"neutralisation":   6e-8, // eight digits printed
	"acclimation":      6e-8, // eight digits printed
	"ultraviolet":      1e-9, // exact
	"mass to molarity": 1e-9, // exact
}

// skippedTopics of dilution.csv, and why.
var skippedTopics = map[string]string{
	"mixing": "mixing waters of two salinities and salting them up needs the density of seawater: calc/seawater",
}

type dilutionRow map[string]string

// input reads a number such as C1 from "C1=30 %; C2=0.3 %; V2=5000 mL".
func (r dilutionRow) input(t *testing.T, name string) float64 {
	t.Helper()
	for _, part := range strings.Split(r["inputs"], "; ") {
		key, value, _ := strings.Cut(part, "=")
		if key != name {
			continue
		}
		number, _, _ := strings.Cut(value, " ")
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			t.Fatalf("%s: %s: %v", r["inputs"], name, err)
		}
		return x
	}
	t.Fatalf("%s: no input %q", r["inputs"], name)
	return 0
}

func TestDilutionReference(t *testing.T) {
	ran, skipped := map[string]int{}, map[string]int{}
	for _, row := range readDilutionRows(t) {
		topic := row["topic"]
		if reason, skip := skippedTopics[topic]; skip {
			t.Logf("skipped: %s, %s: %s", topic, row["case"], reason)
			skipped[topic]++
			continue
		}
		want, err := strconv.ParseFloat(row["value"], 64)
		if err != nil {
			t.Fatalf("%s: %v", row["case"], err)
		}
		got, err := compute(t, row)
		tolerance, known := dilutionTolerance[topic]
		if err != nil || !known || !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
			t.Errorf("%s, %s (%s): got %v, %v, want %v %s\nsource: %s\nmethod: %s",
				topic, row["case"], row["inputs"], got, err, want, row["unit"], row["source"], row["method"])
		}
		ran[topic]++
	}
	// Counted in the file by hand: 46 rows, 36 run and 10 skipped.
	want := "map[acclimation:3 chlorination:3 dilution:4 formula weight:9 mass to molarity:2 neutralisation:6 peroxide:7 ultraviolet:2] map[mixing:10]"
	if got := fmt.Sprint(ran, skipped); got != want {
		t.Errorf("ran and skipped %s, want %s", got, want)
	}
}

// compute answers a row with the function of this package it is about.
func compute(t *testing.T, row dilutionRow) (float64, error) {
	t.Helper()
	in := func(name string) float64 { return row.input(t, name) }
	switch row["topic"] {
	case "dilution":
		return StockVolume(in("C1"), in("C2"), in("V2"))
	case "formula weight":
		return weightOf(row["inputs"])
	case "peroxide":
		return computePeroxide(row, in)
	case "chlorination":
		return computeChlorine(row, in)
	case "neutralisation":
		return computeThiosulphate(row, in)
	case "acclimation": // flows in mL/min, times in min
		if row["case"] == "time for a drip to cover 90 percent of the difference" {
			hours, err := DripHours(1, 0, 0.1, in("flow")*0.06, in("volume"))
			return hours * 60, err
		}
		return MixedValue(in("start"), in("new water"), in("flow")*0.06, in("volume"), in("time")/60)
	case "ultraviolet":
		return Fluence(in("irradiance"), in("time"))
	case "mass to molarity":
		wanted := in("target")
		if strings.Contains(row["inputs"], "umol/L") {
			wanted /= 1000
		}
		return GramsForMolarity(wanted, in("volume"), in("formula weight"))
	}
	return 0, fmt.Errorf("no function for topic %q", row["topic"])
}

func computePeroxide(row dilutionRow, in func(string) float64) (float64, error) {
	switch row["case"] {
	case "percent w/w to molarity":
		return PeroxideByWeight(in("w/w"), in("density"))
	case "stock volume for a wanted molarity":
		stock, err := PeroxideByWeight(in("stock w/w"), in("density"))
		if err != nil {
			return 0, err
		}
		return PeroxideStock(in("target"), in("final volume"), stock)
	}
	return 0, fmt.Errorf("no function for case %q", row["case"])
}

func computeChlorine(row dilutionRow, in func(string) float64) (float64, error) {
	switch row["case"] {
	case "bleach volume for a dose of available chlorine":
		return HypochloriteVolume(in("dose"), in("volume"), in("available chlorine"))
	}
	return 0, fmt.Errorf("no function for case %q", row["case"])
}

// computeThiosulphate picks the product by its name and checks the row's mole ratio.
func computeThiosulphate(row dilutionRow, in func(string) float64) (float64, error) {
	_, name, _ := strings.Cut(row["case"], "pentahydrate to ")
	products := map[string]ThiosulphateProduct{
		"tetrathionate": ToTetrathionate, "sulphate and sulphur": ToSulphateAndSulphur, "sulphate": ToSulphate,
	}
	if product, known := products[name]; known {
		if ratio := in("mol thiosulphate per mol Cl2"); molPerMolChlorine[product] != ratio {
			return 0, fmt.Errorf("%s: %v mol per mol, the row says %v", name, molPerMolChlorine[product], ratio)
		}
		return Thiosulphate(in("residual chlorine"), in("volume"), product)
	}
	return 0, fmt.Errorf("no product %q", name)
}

// weightOf gives the constant of this package for "formula=H2O2".
func weightOf(input string) (float64, error) {
	weights := map[string]float64{
		"H2O2": WeightHydrogenPeroxide, "Cl2": WeightChlorine,
		"Na2S2O3": WeightSodiumThiosulphate, "Na2S2O3.5H2O": WeightThiosulphatePentahydrate,
		"C4H11NO3": WeightTrisBase, "MgCl2.6H2O": WeightMagnesiumChlorideHexahydrate,
		"KCl": WeightPotassiumChloride, "NaHCO3": WeightSodiumBicarbonate, "C4H9NO2": WeightGABA,
	}
	w, known := weights[strings.TrimPrefix(input, "formula=")]
	if !known {
		return 0, fmt.Errorf("no constant for %s", input)
	}
	return w, nil
}

func readDilutionRows(t *testing.T) []dilutionRow {
	t.Helper()
	var rows []dilutionRow
	for _, r := range referencetest.Read(t, "dilution.csv") {
		rows = append(rows, r.Cells)
	}
	return rows
}
