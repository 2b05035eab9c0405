package season

import "spatsheet/protocols"

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

// water lists least, mean and largest temperature, salinity and pH of each batch.
//
// Source: plain means of the readings, whenever they were taken; a mean of pH is a mean
// of readings, not of acidity.
func water(all []filled) []Water {
	var out []Water
	for _, f := range all {
		w := Water{Batch: f.batch.Sheet.Plan.Batch, Protocol: f.batch.Sheet.Protocol.Ref(), Species: f.batch.Sheet.Plan.Species}
		w.Temperature, w.Salinity, w.PH = spreadOf(f, f.tells.Water.Temperature), spreadOf(f, f.tells.Water.Salinity), spreadOf(f, f.tells.Water.PH)
		if w.Temperature.Number+w.Salinity.Number+w.PH.Number > 0 {
			out = append(out, w)
		}
	}
	return out
}

func spreadOf(f filled, fields []protocols.Field) Spread {
	var s Spread
	for i := range fields {
		for _, c := range f.column(&fields[i]) {
			s.add(c.number)
		}
	}
	return s
}

func (s *Spread) add(x float64) {
	if s.Number == 0 {
		s.Low, s.High = x, x
	}
	s.Low, s.High = min(s.Low, x), max(s.High, x)
	s.Mean += (x - s.Mean) / float64(s.Number+1)
	s.Number++
}
