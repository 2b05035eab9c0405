package seawater

import (
	"errors"
	"maps"
	"strconv"
	"strings"
	"testing"

	"spatsheet/calc/limits"
)

// mixingTolerances holds, by case of the topic "mixing" in dilution.csv, how far we may be
// from the row, absolute in the row's unit, and why.
var mixingTolerances = map[string]tolerance{
	"mass fraction of the saltier water":                   {lastDigit, printed},
	"volume of the saltier water":                          {lastDigit, printed},
	"volume of the fresher water":                          {lastDigit, printed},
	"volume of the saltier water, equal densities assumed": {lastDigit, printed},
	"dry sea salt to raise salinity":                       {lastDigit, printed},
	"fresh water to add to the saltier":                    {1e-4, "the row's volume, and that of the saltier water from it, have seven digits"},
}

// mixingInput reads a number such as S_a from "S_a=38; S_b=0; target=33".
func mixingInput(t *testing.T, r row, name string) float64 {
	t.Helper()
	for _, part := range strings.Split(r.cells["inputs"], "; ") {
		key, value, _ := strings.Cut(part, "=")
		if key != name {
			continue
		}
		number, _, _ := strings.Cut(value, " ")
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			t.Fatalf("line %d: %s: %v", r.line, name, err)
		}
		return x
	}
	t.Fatalf("line %d: no input %q in %q", r.line, name, r.cells["inputs"])
	return 0
}

// TestMixingReference runs the rows that calc/dose leaves to this package.
func TestMixingReference(t *testing.T) {
	ran := map[string]int{}
	for _, r := range readReference(t, "dilution.csv") {
		if r.cells["topic"] != "mixing" {
			continue
		}
		name := r.cells["case"]
		tol, known := mixingTolerances[name]
		if !known {
			t.Errorf("line %d: no tolerance for %q", r.line, name)
			continue
		}
		got, err := mixingValue(t, r)
		tol.compare(t, r, "value", got, err)
		freshWaterAgain(t, r)
		ran[name]++
	}
	// Counted in the file by hand: 10 rows of the topic.
	want := map[string]int{
		"mass fraction of the saltier water": 2, "volume of the saltier water": 2,
		"volume of the fresher water":                          2,
		"volume of the saltier water, equal densities assumed": 2,
		"dry sea salt to raise salinity":                       2,
	}
	if !maps.Equal(ran, want) {
		t.Errorf("rows that ran: %v, want %v", ran, want)
	}
}

// mixingValue computes what the row's case names. VolumesToMix gives volumes; times Density
// they are the masses that the mass fractions speak of.
func mixingValue(t *testing.T, r row) (float64, error) {
	t.Helper()
	in := func(name string) float64 { return mixingInput(t, r, name) }
	switch r.cells["case"] {
	case "volume of the saltier water":
		a, _, err := VolumesToMix(in("final volume"), in("target"), in("S_a"), in("S_b"), in("temperature"))
		return a, err
	case "volume of the fresher water":
		_, b, err := VolumesToMix(in("final volume"), in("target"), in("S_a"), in("S_b"), in("temperature"))
		return b, err
	case "dry sea salt to raise salinity":
		return SaltToRaise(in("starting volume"), in("S"), in("target"), in("temperature"), 1)
	case "mass fraction of the saltier water":
		return massShare(in("target"), in("S_a"), in("S_b"))
	case "volume of the saltier water, equal densities assumed":
		share, err := massShare(in("target"), in("S_a"), in("S_b"))
		return share * in("final volume"), err // litres are kilograms when densities are equal
	}
	return 0, errors.New("no calculation for this case")
}

// massShare is the share of the first water in the mass of a mix, taken from VolumesToMix.
func massShare(target, salinityA, salinityB float64) (float64, error) {
	const tempC = 18 // any: the share by mass does not depend on it
	volumeAL, volumeBL, err := VolumesToMix(100, target, salinityA, salinityB, tempC)
	if err != nil {
		return 0, err
	}
	massA, errA := massKG("first", volumeAL, salinityA, tempC)
	massB, errB := massKG("second", volumeBL, salinityB, tempC)
	if err := errors.Join(errA, errB); err != nil {
		return 0, err
	}
	return limits.Result("share", massA/(massA+massB))
}

// freshWaterAgain asks FreshWaterToLower for the fresh water of a row whose second water has no
// salt; the saltier water is 865.1856 L, the row before it in dilution.csv.
func freshWaterAgain(t *testing.T, r row) {
	t.Helper()
	if r.cells["case"] != "volume of the fresher water" || mixingInput(t, r, "S_b") != 0 {
		return
	}
	const saltierL = 865.1856
	got, err := FreshWaterToLower(saltierL, mixingInput(t, r, "S_a"), mixingInput(t, r, "target"), mixingInput(t, r, "temperature"))
	mixingTolerances["fresh water to add to the saltier"].compare(t, r, "value", got, err)
}
