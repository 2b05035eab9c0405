package functions

import (
	"spatsheet/calc/counts"
	"spatsheet/calc/culture"
	"spatsheet/calc/seawater"
	"spatsheet/protocols/formula"
)

// toCome are the functions that protocols now written will call.
func toCome() []formula.Function { return append(chemistry(), feeding()...) }

func chemistry() []formula.Function {
	salinity := between("salinity", "PSU", 0, 40)
	return []formula.Function{
		{
			Name: "unionised_ammonia", Says: "Nitrogen of poisonous ammonia in total ammonia nitrogen; pH on the total scale",
			Arguments: []formula.Argument{between("total", "mg/L", 0, 1000), between("ph", "pH", 4, 11), salinity, between("temperature", "°C", -2, 40)},
			Result:    "mg/L", Source: "Clegg and Whitfield (1995)",
			Call: func(x []float64) (float64, error) {
				return seawater.UnionisedAmmoniaMGPerL(x[0], x[1], seawater.TotalScale, x[2], x[3])
			},
		},
		{
			Name: "oxygen_saturation", Says: "Oxygen measured as a share of what the water holds at 1 atm",
			Arguments: []formula.Argument{between("oxygen", "mg/L", 0, 70), between("salinity", "PSU", 0, 42), between("temperature", "°C", -2, 40)},
			Result:    "%", Source: "Garcia and Gordon (1992), constants of Benson and Krause",
			Call: func(x []float64) (float64, error) { return seawater.OxygenSaturationPercent(x[0], x[1], x[2]) },
		},
		{
			Name: "base_for_bath", Says: "Strong base for a kg of seawater that brings it to a higher pH, both as read on a meter set with bottled buffers (NBS)",
			Arguments: []formula.Argument{
				between("start_ph", "pH", 7, 10), between("target_ph", "pH", 7, 10), between("alkalinity", "mmol/kg", 0.5, 5),
				between("salinity", "PSU", 19, 43), between("temperature", "°C", 2, 35),
			},
			Result: "mmol/kg", Source: "Lueker et al. (2000), Dickson (1990), Millero (1995)",
			Call: func(x []float64) (float64, error) {
				return seawater.BaseForPH(x[0], x[1], seawater.NBSScale, x[2], x[3], x[4])
			},
		},
	}
}

func feeding() []formula.Function {
	return []formula.Function{
		{
			Name: "film_carries", Says: "Grazing animals that a growing film carries; grazing is that of an animal of 1 mm",
			Arguments: []formula.Argument{
				{Name: "rate", Unit: "1/d", High: 5, Open: true}, between("film", "cells/cm2", 1, 1e8),
				between("grazing", "cells/thing/h", 1, 1e6), between("length", "mm", 0.1, 50),
			},
			Result: "thing/cm2", Source: "growth of the film = grazing, mu C / (24 q L^3); Roberts et al. (1999), abstract read",
			Call: func(x []float64) (float64, error) { return culture.FilmAnimals(x[0], x[1], x[2], x[3]) },
		},
		{
			Name: "eggs_in_layer", Says: "Eggs in one loose layer on a floor, half of it covered",
			Arguments: []formula.Argument{between("diameter", "µm", 30, 1000)},
			Result:    "eggs/cm2", Source: "arithmetic, 0.5 × 4 / (pi d^2); the half is common practice",
			Call: func(x []float64) (float64, error) { return counts.EggsPerCM2(x[0]) },
		},
	}
}
