package season

import (
	"slices"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// Water is what was measured of a batch's water.
type Water struct {
	Batch, Protocol, Species string
	Temperature              Spread // °C
	Salinity                 Spread // PSU
	PH                       Spread
}

// Spread is the least, mean and largest of some readings; Number 0 means none.
type Spread struct {
	Number          int
	Low, Mean, High float64
}

// Water the animals live in: not the air, a box, the bath that induces, or the sea on the
// shore. A name counts that is one of these.
var (
	temperatureNames = []string{"temperature", "water_temperature", "start_temperature", "fill_temperature"}
	salinityNames    = []string{"salinity", "water_salinity", "start_salinity", "fill_salinity"}
	phNames          = []string{"ph", "water_ph"}
)

// water lists least, mean and largest temperature, salinity and pH of each batch.
//
// Source: plain means of the readings, whenever they were taken; a mean of pH is a mean
// of readings, not of acidity.
func water(all []filled) []Water {
	var out []Water
	for _, f := range all {
		w := Water{Batch: f.batch.Sheet.Plan.Batch, Protocol: f.batch.Sheet.Protocol.Ref(), Species: f.batch.Sheet.Plan.Species}
		for i, box := range f.batch.Sheet.Boxes() {
			if i >= len(f.batch.Readings) || f.batch.Readings[i].State != calc.Given || box.Entry.Kind != protocols.KindNumber {
				continue
			}
			x := f.batch.Readings[i].Number
			switch unit := box.Entry.Unit.Symbol(); {
			case slices.Contains(temperatureNames, box.Entry.ID) && box.Entry.Unit.Print() == "°C":
				w.Temperature.add(x)
			case slices.Contains(salinityNames, box.Entry.ID) && unit == "PSU":
				w.Salinity.add(x)
			case slices.Contains(phNames, box.Entry.ID) && unit == "pH":
				w.PH.add(x)
			}
		}
		if w.Temperature.Number+w.Salinity.Number+w.PH.Number > 0 {
			out = append(out, w)
		}
	}
	return out
}

func (s *Spread) add(x float64) {
	if s.Number == 0 {
		s.Low, s.High = x, x
	}
	s.Low, s.High = min(s.Low, x), max(s.High, x)
	s.Mean += (x - s.Mean) / float64(s.Number+1)
	s.Number++
}
