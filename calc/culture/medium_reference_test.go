package culture

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/referencetest"
)

// tolerance of each column of medium_f2.csv, relative, and why.
var mediumTolerance = map[string]float64{
	"iupac_formula_weight":       1e-9,   // three decimals, added up exactly from the same weights
	"formula_weight":             2e-4,   // older weights, four or five digits printed: 270.3 stands for 270.25 to 270.35
	"salt_mg_per_L_medium":       1e-9,   // the recipe's own digits, exact
	"iupac_final_mol_per_L":      5.1e-5, // five digits printed, the last within half a unit
	"recomputed_final_mol_per_L": 5.5e-4, // four digits printed
	"published_final_mol_per_L":  5e-3,   // three digits printed, some cut off instead of rounded
	"stock_mL_for_volume":        1e-9,   // exact
	"salt_g_for_volume":          1e-9,   // exact
}

type mediumRow map[string]string

func (r mediumRow) number(t *testing.T, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("%s, %s: %v", r["component"], column, err)
	}
	return x
}

// compare checks one column against got; key names the tolerance.
func (r mediumRow) compare(t *testing.T, column, key string, got float64) {
	t.Helper()
	want := r.number(t, column)
	if !(math.Abs(got-want) <= mediumTolerance[key]*math.Abs(want)) {
		t.Errorf("%s for %s L, %s: got %v, want %v\nsource: %s\nmethod: %s",
			r["component"], r["medium_volume_L"], column, got, want, r["source"], r["method"])
	}
}

func readMediumRows(t *testing.T) []mediumRow {
	t.Helper()
	var rows []mediumRow
	for _, r := range referencetest.Read(t, "medium_f2.csv") {
		rows = append(rows, r.Cells)
	}
	return rows
}

func TestMediumReference(t *testing.T) {
	ran := 0
	for _, row := range readMediumRows(t) {
		mediumL := row.number(t, "medium_volume_L")
		r, err := MediumF2Silicate(mediumL, 1)
		if err != nil {
			t.Fatal(err)
		}
		stock, salt := find(t, r, row["component"])
		checkStockText(t, row, salt)
		row.compare(t, "stock_mL_for_volume", "stock_mL_for_volume", stock.VolumeML)
		row.compare(t, "stock_mL_per_L_medium", "stock_mL_for_volume", stock.VolumeML/mediumL)
		row.compare(t, "salt_g_for_volume", "salt_g_for_volume", salt.SaltG)
		row.compare(t, "salt_mg_per_L_medium", "salt_mg_per_L_medium", salt.SaltG*1000/mediumL)
		row.compare(t, "iupac_formula_weight", "iupac_formula_weight", salt.FormulaWeight)
		row.compare(t, "formula_weight", "formula_weight", salt.FormulaWeight)
		for _, column := range []string{"iupac_final_mol_per_L", "recomputed_final_mol_per_L", "published_final_mol_per_L"} {
			row.compare(t, column, column, salt.FinalUM/1e6)
		}
		if row["formula"] != salt.Formula {
			t.Errorf("%s: formula %s, want %s", row["component"], salt.Formula, row["formula"])
		}
		ran++
	}
	// Counted in the file by hand: 13 components for 1 L, 5 for 20 L; none skipped.
	if ran != 18 {
		t.Errorf("%d rows ran, want 18", ran)
	}
}

// checkStockText compares the strength written in the stock column with the table's.
func checkStockText(t *testing.T, row mediumRow, salt SaltAmount) {
	t.Helper()
	number, rest, _ := strings.Cut(row["stock"], " ")
	want, err := strconv.ParseFloat(number, 64)
	if err != nil {
		t.Fatalf("%s: stock %q: %v", row["component"], row["stock"], err)
	}
	got := salt.StockGPerL
	if strings.Contains(rest, "1 mL per L of") {
		got = salt.PrimaryGPerL
	}
	if strings.HasPrefix(rest, "mg") {
		got *= 1000
	}
	if math.Abs(got-want) > 1e-9*want {
		t.Errorf("%s: stock strength %v, want %v (%s)", row["component"], got, want, row["stock"])
	}
}

func find(t *testing.T, r MediumRecipe, name string) (StockAmount, SaltAmount) {
	t.Helper()
	for _, stock := range r.Stocks {
		for _, salt := range stock.Salts {
			if salt.Name == name {
				return stock, salt
			}
		}
	}
	t.Fatalf("no salt %q in the recipe", name)
	return StockAmount{}, SaltAmount{}
}
