package functions

import (
	"spatsheet/calc/culture"
	"spatsheet/protocols/formula"
)

// algae are cultures, films and the plates that they grow on.
func algae() []formula.Function { return append(films(), plates()...) }

func films() []formula.Function {
	film := []formula.Argument{above("film", "cells/cm2"), above("area", "cm2"), share("attaching")}
	return []formula.Function{
		{
			Name: "cells_for_film", Says: "Cells to pour over an area so that a film attaches", Arguments: film,
			Result: "cells", Source: "arithmetic, cells/cm2 × cm2 / share attaching", Working: "film * area / attaching",
			Call: func(x []float64) (float64, error) { return culture.SeedingCells(x[0], x[1], x[2]) },
		},
		{
			Name: "culture_for_film", Says: "Culture to pour over an area so that a film attaches",
			Arguments: append(film[:len(film):len(film)], above("density", "cells/mL")),
			Result:    "mL", Source: "arithmetic, cells/cm2 × cm2 / share attaching / cells per mL", Working: "film * area / attaching / density",
			Call: func(x []float64) (float64, error) { return culture.SeedingVolume(x[0], x[1], x[2], x[3]) },
		},
		{
			Name: "volume_holding", Says: "Culture that holds a number of cells",
			Arguments: []formula.Argument{atLeast("cells", "cells", 0), above("density", "cells/mL")},
			Result:    "mL", Source: "arithmetic, cells / cells per mL", Working: "cells / density",
			Call: func(x []float64) (float64, error) { return culture.CultureVolume(x[0], x[1]) },
		},
		{
			Name: "film_counted", Says: "Film on a plate, counted back from a scraped patch",
			Arguments: []formula.Argument{atLeast("count", "cells/mL", 0), above("suspension", "mL"), above("scraped", "cm2")},
			Result:    "cells/cm2", Source: "arithmetic, cells/mL × mL / cm2", Working: "count * suspension / scraped",
			Call: func(x []float64) (float64, error) { return culture.FilmDensity(x[0], x[1], x[2]) },
		},
		{
			Name: "days_to_reach", Says: "Days until a growing culture or film is so many times denser",
			Arguments: []formula.Argument{atLeast("times", "1", 1), above("divisions", "1/d"), atLeast("lag", "d", 0)},
			Result:    "d", Source: "arithmetic, exponential growth: lag + ln(times) / (divisions × ln 2)", Working: "lag + ln(times) / ln(2) / divisions",
			Call: func(x []float64) (float64, error) {
				rate, err := culture.RateFromDivisions(x[1])
				if err != nil {
					return 0, err
				}
				return culture.DaysToGrow(x[0], rate, x[2])
			},
		},
	}
}

func plates() []formula.Function {
	return []formula.Function{
		{
			Name: "area_of_plate", Says: "Area of a plate that a film grows on, edges not counted",
			Arguments: []formula.Argument{above("length", "cm"), above("wetted_height", "cm"), whole("sides", "1/plate", 1, 2)},
			Result:    "cm2/plate", Source: "geometry", Working: "length * wetted_height * sides",
			Call: func(x []float64) (float64, error) { return culture.PlateArea(x[0], x[1], int(x[2])) },
		},
		{
			Name: "plates_for", Says: "Plates for a number of animals, rounded up, spare ones included",
			Arguments: []formula.Argument{above("animals", formula.Thing), above("density", "thing/cm2"), above("plate_area", "cm2/plate"), between("spare", "1", 0, 1)},
			Result:    "plates", Source: "arithmetic, rounded up once", Working: "up(animals / density / plate_area * (1 + spare))",
			Call: func(x []float64) (float64, error) {
				plates, err := culture.PlatesNeeded(x[0], x[1], x[2], x[3])
				return float64(plates), err
			},
		},
	}
}
