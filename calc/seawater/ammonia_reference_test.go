package seawater

import (
	"maps"
	"testing"
)

var ammoniaTolerances = map[string]tolerance{
	"pKa":                {lastDigit, printed},
	"unionised_fraction": {lastDigit, printed},
}

var ammoniaSkipped = map[string]string{
	"bell_2007_linear": "for comparison only; the row says its coefficients were never read, and its pH is on the NBS " +
		"scale, which in seawater depends on the electrode",
	"yao_millero_1995": "for comparison only, as the row says: on the seawater scale, which no meter in a hatchery is set to",
}

func TestAmmoniaReference(t *testing.T) {
	ran, skipped := map[string]int{}, map[string]int{}
	for _, r := range readReference(t, "ammonia.csv") {
		equation := r.cells["equation"]
		if _, skip := ammoniaSkipped[equation]; skip {
			skipped[equation]++
			continue
		}
		pk, errPK, fraction, err := ammoniaValue(t, r)
		if r.cells["pKa"] != "" {
			ammoniaTolerances["pKa"].compare(t, r, "pKa", pk, errPK)
		}
		ammoniaTolerances["unionised_fraction"].compare(t, r, "unionised_fraction", fraction, err)
		ran[equation]++
	}
	wantRan := map[string]int{"clegg_whitfield_1995_total": 77, "clegg_whitfield_1995_free": 14,
		"emerson_1975": 27, "emerson_1975_T273.15": 3}
	if !maps.Equal(ran, wantRan) {
		t.Errorf("rows that ran: %v, want %v", ran, wantRan)
	}
	if want := map[string]int{"bell_2007_linear": 3, "yao_millero_1995": 3}; !maps.Equal(skipped, want) {
		t.Errorf("rows skipped: %v, want %v", skipped, want)
	}
	for equation, n := range skipped {
		t.Logf("skipped %d rows of %s: %s", n, equation, ammoniaSkipped[equation])
	}
}

// ammoniaValue computes pKa and share by the row's equation.
func ammoniaValue(t *testing.T, r row) (pk float64, errPK error, fraction float64, err error) {
	t.Helper()
	pH, s, temp := r.number(t, "pH"), r.number(t, "practical_salinity"), r.tempITS90(t)
	scale := map[string]PHScale{"total": TotalScale, "free": FreeScale, "NBS": NBSScale}[r.cells["pH_scale"]]
	switch r.cells["equation"] {
	case "clegg_whitfield_1995_total":
		pk, errPK = AmmoniumPKTotalClegg1995(s, temp)
	case "clegg_whitfield_1995_free":
		pk, errPK = AmmoniumPKFreeClegg1995(s, temp)
	case "emerson_1975_T273.15":
		// 273.2 + (t - 0.05) is 273.15 + t: the same equation with the kelvins of most programs.
		temp -= 0.05
		pk, errPK = AmmoniumPKEmerson1975(temp)
	case "emerson_1975":
		pk, errPK = AmmoniumPKEmerson1975(temp)
	default:
		t.Fatalf("line %d: no calculation for %q; test it or list it as skipped", r.line, r.cells["equation"])
	}
	fraction, err = UnionisedAmmoniaFraction(pH, scale, s, temp)
	return pk, errPK, fraction, err
}
