package seawater

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/limits"
)

// bathRow is a row of naoh_bath.csv with its inputs read.
type bathRow struct {
	row
	s, tempC, alkalinity, carbon, startNBS, target float64
	scale                                          PHScale
	ammonia                                        bool
}

var inputs = regexp.MustCompile(`S=([\d.]+); T=([\d.]+) degC; TA=([\d.]+) umol/kg; .*DIC=([\d.]+) umol/kg, start pH NBS=([\d.]+)\); ` +
	`target pH=([\d.]+) (total|NBS) scale; base=(NaOH|ammonia solution)`)

func readBathRow(t *testing.T, r row) bathRow {
	t.Helper()
	found := inputs.FindStringSubmatch(r.cells["inputs"])
	if found == nil {
		t.Fatalf("line %d: inputs not understood: %s", r.line, r.cells["inputs"])
	}
	var x [6]float64
	for i := range x {
		var err error
		if x[i], err = strconv.ParseFloat(found[i+1], 64); err != nil {
			t.Fatal(err)
		}
	}
	scale := TotalScale
	if found[7] == "NBS" {
		scale = NBSScale
	}
	return bathRow{r, x[0], x[1], x[2] / 1000, x[3] / 1000, x[4], x[5], scale, found[8] != "NaOH"}
}

// base asks the exported functions, whose start is a pH on the scale of the target.
func (b bathRow) base(t *testing.T) (float64, error) {
	t.Helper()
	w := constantsAt(b.s, b.tempC)
	start := b.startNBS
	if b.scale == TotalScale {
		start = w.total(b.startNBS, NBSScale)
	}
	if b.ammonia {
		return AmmoniaForPH(start, b.target, b.scale, b.alkalinity, b.s, b.tempC)
	}
	return BaseForPH(start, b.target, b.scale, b.alkalinity, b.s, b.tempC)
}

// TestBaseForPHReference holds the dose against PyCO2SYS. Tolerances are those of the rows; the
// start pH is printed to 0.001, worth 0.001 mmol/kg.
func TestBaseForPHReference(t *testing.T) {
	ran := map[string]int{}
	for _, r := range readReference(t, "naoh_bath.csv") {
		what := r.cells["what"]
		if what == "rinse_residual" { // arithmetic of calc/dose
			continue
		}
		b := readBathRow(t, r)
		got, err := b.base(t)
		if strings.HasSuffix(r.cells["unit"], "/L") {
			density, derr := Density(b.s, b.tempC)
			if derr != nil {
				t.Fatal(derr)
			}
			got *= density / 1000
		}
		if what == "naoh_mass" {
			got *= 39.997 // g/mol, as in the row
		}
		tolerance{r.number(t, "tolerance"), "the row's own"}.compare(t, r, "expected", got, err)
		ran[what]++
	}
	if ran["base_needed"] != 32 || ran["naoh_mass"] != 10 {
		t.Errorf("rows that ran: %v, want 32 of base_needed, 10 of naoh_mass", ran)
	}
}

// TestStartPHOfTheBathReference: carbon and alkalinity of the rows give the start pH they print.
func TestStartPHOfTheBathReference(t *testing.T) {
	for _, r := range readReference(t, "naoh_bath.csv") {
		if r.cells["what"] != "base_needed" {
			continue
		}
		b := readBathRow(t, r)
		w := constantsAt(b.s, b.tempC)
		if got := w.carbonAt(w.total(b.startNBS, NBSScale), b.alkalinity); !(math.Abs(got-b.carbon) <= 0.002) {
			t.Errorf("line %d: carbon %v mmol/kg at pH %v NBS, want %v", b.line, got, b.startNBS, b.carbon)
		}
	}
}

func TestBaseForPHRefuses(t *testing.T) {
	at := func(start, target, alkalinity, s, tempC float64) error {
		_, err := BaseForPH(start, target, NBSScale, alkalinity, s, tempC)
		return err
	}
	for name, err := range map[string]error{
		"start too low": at(6.9, 9, 2.3, 35, 16), "target too high": at(8.1, 10.1, 2.3, 35, 16), "not a number": at(8.1, math.NaN(), 2.3, 35, 16),
		"target below start": at(8.1, 8, 2.3, 35, 16), "alkalinity in µmol": at(8.1, 9, 2300, 35, 16),
		"brackish": at(8.1, 9, 2.3, 18.9, 16), "cold": at(8.1, 9, 2.3, 35, 1.9), "hot": at(8.1, 9, 2.3, 35, 35.1), "brine": at(8.1, 9, 2.3, 43.1, 16),
	} {
		if !errors.Is(err, limits.ErrRange) {
			t.Errorf("%s: error %v, want ErrRange", name, err)
		}
	}
	if _, err := BaseForPH(8.1, 9, FreeScale, 2.3, 35, 16); !errors.Is(err, ErrPHScale) {
		t.Errorf("free scale: error %v, want ErrPHScale", err)
	}
}
