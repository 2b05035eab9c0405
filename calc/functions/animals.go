package functions

import (
	"spatsheet/calc/culture"
	"spatsheet/calc/stats"
	"spatsheet/protocols/formula"
)

// animals are numbers to begin with, parents, gonads and growth.
func animals() []formula.Function { return append(parents(), bodies()...) }

func parents() []formula.Function {
	const wright = "Wright (1931), Genetics 16:97"
	return []formula.Function{
		{
			Name: "to_start", Says: "Animals to begin with so that a number is left after every share, rounded up", Rest: true,
			Arguments: []formula.Argument{atLeast("target", formula.Thing, 0), share("share")},
			Result:    formula.Thing, Source: "arithmetic, target / (S1 S2 ...), rounded up", Working: "up(target / share)",
			Call: func(x []float64) (float64, error) { return stats.AnimalsToStart(x[0], x[1:]) },
		},
		{
			Name: "effective_size_of", Says: "Effective size if all parents give alike; the rarer sex counts most",
			Arguments: []formula.Argument{whole("fathers", "animals", 1, mostCount), whole("mothers", "animals", 1, mostCount)},
			Result:    "animals", Source: wright, Working: "4 * fathers * mothers / (fathers + mothers)",
			Call: func(x []float64) (float64, error) { return stats.EffectiveSize(int(x[0]), int(x[1])) },
		},
		{
			Name: "inbreeding_rise_of", Says: "Rise of inbreeding in one generation",
			Arguments: []formula.Argument{atLeast("effective_size", "animals", 1)},
			Result:    "1", Source: wright, Working: `as(1, "animal") / (2 * effective_size)`,
			Call: func(x []float64) (float64, error) { return stats.InbreedingPerGeneration(x[0]) },
		},
		{
			Name: "inbreeding_after", Says: "Inbreeding after generations of one effective size",
			Arguments: []formula.Argument{atLeast("effective_size", "animals", 1), whole("generations", "1", 0, mostCount)},
			Result:    "1", Source: wright, Working: `1 - (1 - as(1, "animal") / (2 * effective_size)) ^ generations`,
			Call: func(x []float64) (float64, error) { return stats.InbreedingAfter(x[0], int(x[1])) },
		},
	}
}

func bodies() []formula.Function {
	return []formula.Function{
		{
			Name: "gonad_index", Says: "Share of the gonad in the soft body, by mass",
			Arguments: []formula.Argument{atLeast("gonad", "g", 0), above("body", "g")},
			Result:    "%", Source: "common practice; so for Cellana in Hua and Ako (2014)", Working: "gonad / body",
			Call: func(x []float64) (float64, error) { return stats.GonadIndexPercent(x[0], x[1]) },
		},
		{
			Name: "mass_at_length", Says: "Live mass of an animal at a length, from its mass in a cubic millimetre of length",
			Arguments: []formula.Argument{
				{Name: "mass_per_cube", Unit: "g/mm3/animal", High: 0.01, Open: true}, {Name: "length", Unit: "mm", High: 300, Open: true},
			},
			Result: "g/animal", Source: "W = a L^3, growth in all directions alike; Searcy-Bernal et al. (2016), abstract read", Working: "mass_per_cube * length ^ 3",
			Call: func(x []float64) (float64, error) { return culture.MassAtLength(x[0], x[1]) },
		},
		{
			Name: "ration", Says: "Feed from one feeding to the next that lets animals grow by a gain of length",
			Arguments: []formula.Argument{
				between("feed_per_gain", "g/g", 0.1, 50), between("animals", "animals", 1, 1e9),
				{Name: "mass_per_cube", Unit: "g/mm3/animal", High: 0.01, Open: true},
				{Name: "length", Unit: "mm", High: 300, Open: true}, {Name: "gain", Unit: "mm", High: 1, Open: true},
			},
			Result: "g", Source: "arithmetic, FCR n a ((L + g)^3 − L^3): all feedings add up to FCR times the gain of mass",
			Working: "feed_per_gain * animals * mass_per_cube * ((length + gain) ^ 3 - length ^ 3)",
			Call:    func(x []float64) (float64, error) { return culture.Ration(x[0], x[1], x[2], x[3], x[4]) },
		},
	}
}
