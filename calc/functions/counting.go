package functions

import (
	"spatsheet/calc/counts"
	"spatsheet/protocols/formula"
)

// counting turns what is seen under the microscope into numbers.
func counting() []formula.Function {
	return []formula.Function{
		{
			Name: "cells_per_ml", Says: "Cells or sperm in a mL behind a chamber count",
			Arguments: []formula.Argument{whole("counted", formula.Thing, 0, mostCount),
				whole("squares", "squares", 1, mostCount), above("square_volume", "mL/square"), atLeast("dilution", "1", 1)},
			Result: "thing/mL", Source: "arithmetic, counted / squares / volume of a square × dilution", Working: "counted / squares / square_volume * dilution",
			Call: func(x []float64) (float64, error) { return counts.CellsPerML(int(x[0]), int(x[1]), x[2], x[3]) },
		},
		{
			Name: "number_per_ml", Says: "Eggs or larvae in a mL behind the counts of subsamples, all together",
			Arguments: []formula.Argument{whole("counted", formula.Thing, 0, mostCount), above("sampled", "mL")},
			Result:    "thing/mL", Source: "arithmetic, counted / volume counted", Working: "counted / sampled",
			Call: func(x []float64) (float64, error) {
				e, err := counts.EstimatePerML([]int{int(x[0])}, x[1], 1, shareConfidence)
				return e.Estimate, err
			},
		},
		{
			Name: "number_on", Says: "Spat or animals on a whole area behind the counts of windows, all together",
			Arguments: []formula.Argument{whole("counted", formula.Thing, 0, mostCount), above("windows", "cm2"), above("area", "cm2")},
			Result:    formula.Thing, Source: "common practice, counted × area / area counted", Working: "counted / windows * area",
			Call: func(x []float64) (float64, error) {
				e, err := counts.EstimateOnArea([]int{int(x[0])}, x[1], x[2], shareConfidence)
				return e.Estimate, err
			},
		},
		{
			Name: "sperm_to_add", Says: "Sperm stock to add to a vessel of eggs, which it makes fuller",
			Arguments: []formula.Argument{above("target", "sperm/mL"), above("water", "mL"), above("stock", "sperm/mL")},
			Result:    "mL", Source: "arithmetic, target × vessel / (stock − target)", Working: "target * water / (stock - target)",
			Call: func(x []float64) (float64, error) { return counts.SpermStockML(x[0], x[1], x[2]) },
		},
	}
}
