package functions

import (
	"spatsheet/calc/dose"
	"spatsheet/protocols/formula"
)

// water are drips, dilutions, reagents and rinses.
func water() []formula.Function {
	return []formula.Function{
		{
			Name: "flow_for_drip", Says: "Fastest drip that keeps a rate of change of temperature or salinity",
			Arguments: []formula.Argument{above("change", formula.Any), above("rate", "any/h"), above("water", "L")},
			Result:    "L/h", Source: "arithmetic, Q = r V / |T0 − Tn|, well mixed", Working: "rate * water / change",
			Call: func(x []float64) (float64, error) { return dose.DripFlow(x[0], 0, x[1], x[2]) },
		},
		{
			Name: "hours_for_drip", Says: "Time until a drip has brought temperature or salinity close enough; 0 when it is already",
			Arguments: []formula.Argument{atLeast("change", formula.Any, 0), above("close", formula.Any), above("flow", "L/h"), above("water", "L")},
			Result:    "h", Source: "arithmetic, t = V/Q ln(|T0 − Tn| / d), well mixed", Working: "water / flow * ln(greatest(change / close, 1))",
			Call: func(x []float64) (float64, error) { return dose.DripHours(x[0], 0, x[1], x[2], x[3]) },
		},
		{
			Name: "stock_in_total", Says: "Stock to make up with water to a total volume",
			Arguments: []formula.Argument{above("stock", "any/mL"), atLeast("wanted", "any/mL", 0), above("total", "mL")},
			Result:    "mL", Source: "arithmetic, V1 = C2 V2 / C1", Working: "wanted * total / stock",
			Call: func(x []float64) (float64, error) { return dose.StockVolume(x[0], x[1], x[2]) },
		},
		{
			Name: "stock_on_top", Says: "Stock to pour on top of water already there, which it makes more",
			Arguments: []formula.Argument{above("stock", "any/mL"), atLeast("wanted", "any/mL", 0), above("water", "mL")},
			Result:    "mL", Source: "arithmetic, V1 = V C2 / (C1 − C2)", Working: "water * wanted / (stock - wanted)",
			Call: func(x []float64) (float64, error) { return dose.StockVolumeOnTop(x[0], x[1], x[2]) },
		},
		{
			Name: "reagent_mass", Says: "Mass of a reagent for a molarity in a volume",
			Arguments: []formula.Argument{atLeast("molarity", "mmol/L", 0), above("water", "L"), above("molar_mass", "g/mol")},
			Result:    "g", Source: "arithmetic, mmol/L × g/mol / 1000 × L", Working: "molarity * water * molar_mass",
			Call: func(x []float64) (float64, error) { return dose.GramsForMolarity(x[0], x[1], x[2]) },
		},
		{
			Name: "left_after", Says: "Share left after part changes with clean water",
			Arguments: []formula.Argument{share("changed"), whole("changes", "1", 0, 1e6)},
			Result:    "1", Source: "arithmetic, (1 − f)^n, well mixed before each change", Working: "(1 - changed) ^ changes",
			Call: func(x []float64) (float64, error) { return dose.AfterChanges(1, x[0], int(x[1])) },
		},
	}
}
