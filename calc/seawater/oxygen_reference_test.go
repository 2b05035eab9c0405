package seawater

import (
	"maps"
	"strings"
	"testing"
)

var oxygenTolerances = map[string]tolerance{
	"oxygen_umol_per_kg":              {lastDigit, printed},
	"oxygen_umol_per_L":               {1e-4, "the digits printed, and the density's rounding in the source"},
	"oxygen_mg_per_L":                 {lastDigit, printed},
	"saturation_percent":              {lastDigit, printed},
	"volumetric fit, per litre":       {0.005, "spread between Garcia and Gordon's fit by mass, times density, and their fit by volume"},
	"volumetric fit, mg/L":            {2e-4, "the same spread, times 31.998 g/mol"},
	"published example to ten places": {1e-9, "the row's method: gsw returns it to 1e-9"},
}

// Every row of oxygen.csv runs; a cell left empty in a row is not a check.
func TestOxygenReference(t *testing.T) {
	ran := map[string]int{}
	for _, r := range readReference(t, "oxygen.csv") {
		quantity := r.cells["quantity"]
		s, temp := r.number(t, "practical_salinity"), r.tempITS90(t)
		perKG, err := OxygenSolubility(s, temp)
		mgPerL, errL := OxygenSolubilityMGPerL(s, temp)
		byMass, byVolume, byMGPerL := oxygenTolerances["oxygen_umol_per_kg"], oxygenTolerances["oxygen_umol_per_L"], oxygenTolerances["oxygen_mg_per_L"]
		switch quantity {
		case "solubility", "percent_saturation":
			if strings.HasPrefix(r.cells["source"], "TEOS-10 website") {
				byMass = oxygenTolerances["published example to ten places"]
			}
		case "solubility_volumetric_equation":
			byVolume, byMGPerL = oxygenTolerances["volumetric fit, per litre"], oxygenTolerances["volumetric fit, mg/L"]
		default:
			t.Errorf("line %d: no test for %q; test it or list it as skipped", r.line, quantity)
			continue
		}
		if r.cells["oxygen_umol_per_kg"] != "" {
			byMass.compare(t, r, "oxygen_umol_per_kg", perKG, err)
			ran["per kg"]++
		}
		if r.cells["oxygen_umol_per_L"] != "" {
			byVolume.compare(t, r, "oxygen_umol_per_L", mgPerL*1000/31.998, errL)
			ran["per L"]++
		}
		if r.cells["oxygen_mg_per_L"] != "" {
			byMGPerL.compare(t, r, "oxygen_mg_per_L", mgPerL, errL)
			ran["mg/L"]++
		}
		if r.cells["saturation_percent"] != "" {
			percent, err := OxygenSaturationPercent(r.number(t, "measured_mg_per_L"), s, temp)
			oxygenTolerances["saturation_percent"].compare(t, r, "saturation_percent", percent, err)
			ran["percent"]++
		}
		ran["rows"]++
	}
	want := map[string]int{"rows": 91, "per kg": 83, "per L": 73, "mg/L": 84, "percent": 4}
	if !maps.Equal(ran, want) {
		t.Errorf("ran %v, want %v", ran, want)
	}
}
