package seawater

import (
	"errors"
	"maps"
	"testing"
)

const (
	printed      = "the digits printed in the source"
	roundedInput = "the digits printed, and 4e-7 kg/m3 for the row's absolute salinity, rounded to 1e-6 g/kg"
)

var seawaterTolerances = map[string]tolerance{
	"density_teos10_exact":                        {6e-6, roundedInput},
	"density_teos10_exact_at_location":            {6e-6, roundedInput},
	"density_pure_water":                          {lastDigit, printed},
	"conductivity_from_practical_salinity":        {lastDigit, printed},
	"practical_salinity_from_conductivity":        {lastDigit, printed},
	"specific_gravity":                            {lastDigit, printed},
	"density_teos10_exact (from the practical)":   {1e-5, "the row's absolute salinity is rounded to 1e-6 g/kg"},
	"practical salinity back from gravity":        {1e-3, "the row's gravity is rounded to 5e-7, 0.0007 in salinity"},
	"practical salinity back from a conductivity": {1e-5, "the row's conductivity is rounded to 5e-6 mS/cm"},
}

func TestSeawaterReference(t *testing.T) {
	ran := map[string]int{}
	for _, r := range readReference(t, "seawater.csv") {
		quantity := r.cells["quantity"]
		tol, known := seawaterTolerances[quantity]
		if !known {
			t.Errorf("line %d: no tolerance for %q", r.line, quantity)
			continue
		}
		got, err := seawaterValue(t, r)
		tol.compare(t, r, "value", got, err)
		seawaterBack(t, r)
		ran[quantity]++
	}
	wantRan := map[string]int{
		"density_teos10_exact": 80, "density_teos10_exact_at_location": 9, "density_pure_water": 6,
		"conductivity_from_practical_salinity": 28, "practical_salinity_from_conductivity": 18,
		"specific_gravity": 15,
	}
	if !maps.Equal(ran, wantRan) {
		t.Errorf("rows that ran: %v, want %v", ran, wantRan)
	}
}

// seawaterValue computes what the row's quantity names.
func seawaterValue(t *testing.T, r row) (float64, error) {
	t.Helper()
	sp := func() float64 { return r.number(t, "practical_salinity") }
	sa := func() float64 { return r.number(t, "absolute_salinity_g_per_kg") }
	switch r.cells["quantity"] {
	case "density_teos10_exact", "density_teos10_exact_at_location":
		return densityFeistel2008(sa(), r.tempITS90(t)), nil
	case "density_pure_water":
		return PureWaterDensity(r.tempITS90(t))
	case "conductivity_from_practical_salinity":
		return Conductivity(sp(), r.tempITS90(t))
	case "practical_salinity_from_conductivity":
		return SalinityFromConductivity(r.number(t, "conductivity_mS_cm"), r.tempITS90(t))
	case "specific_gravity":
		density, errDensity := Density(sp(), r.tempITS90(t))
		pure, errPure := PureWaterDensity(r.number(t, "reference_temperature_C"))
		return density / pure, errors.Join(errDensity, errPure)
	}
	t.Fatalf("line %d: no calculation for %q", r.line, r.cells["quantity"])
	return 0, nil
}

// seawaterBack reads some rows the other way round.
func seawaterBack(t *testing.T, r row) {
	t.Helper()
	switch r.cells["quantity"] {
	case "density_teos10_exact":
		got, err := Density(r.number(t, "practical_salinity"), r.tempITS90(t))
		seawaterTolerances["density_teos10_exact (from the practical)"].compare(t, r, "value", got, err)
	case "specific_gravity":
		got, err := SalinityFromSpecificGravity(r.number(t, "value"), r.tempITS90(t), r.number(t, "reference_temperature_C"))
		seawaterTolerances["practical salinity back from gravity"].compare(t, r, "practical_salinity", got, err)
	case "conductivity_from_practical_salinity":
		got, err := SalinityFromConductivity(r.number(t, "value"), r.tempITS90(t))
		seawaterTolerances["practical salinity back from a conductivity"].compare(t, r, "practical_salinity", got, err)
	}
}
