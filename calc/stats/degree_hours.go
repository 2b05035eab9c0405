package stats

import (
	"fmt"
	"math"
	"slices"

	"spatsheet/calc/limits"
)

const (
	// coldestC and warmestC (°C on ITS-90, our choice): water that freezes and water no
	// animal of a hatchery lives in; outside them a reading is in °F or mistyped.
	coldestC = -2
	warmestC = 40
)

// TemperatureReading is a water temperature and how long it stands for.
type TemperatureReading struct {
	TempC float64 // °C on ITS-90
	Hours float64 // from this reading to the next, 0 or more
}

// DegreeHours adds up the warmth above a development threshold.
//
// readings in °C and hours, thresholdC in °C; the result is in °C x hours. A reading below
// the threshold adds nothing and takes nothing away.
// Range: one reading or more, temperatures and threshold from -2 to 40 °C, hours 0 or more;
// otherwise an error that wraps limits.ErrRange or ErrTooFew.
// Source: sum of max(0, T - T0) x hours, arithmetic; the threshold is per species and site
// (H. discus hannai 7.6 °C and H. laevigata 6.9 °C for conditioning, from abstracts only).
// Divide by 24 for degree-days.
func DegreeHours(readings []TemperatureReading, thresholdC float64) (float64, error) {
	if err := limits.Between("threshold", thresholdC, coldestC, warmestC, "°C"); err != nil {
		return 0, err
	}
	if len(readings) == 0 {
		return 0, fmt.Errorf("degree-hours: there is no temperature reading; give at least one: %w", ErrTooFew)
	}
	sum := 0.0
	for i, r := range readings {
		if err := limits.Between("temperature", r.TempC, coldestC, warmestC, "°C"); err != nil {
			return 0, fmt.Errorf("reading %d: %w", i+1, err)
		}
		if err := limits.AtLeast("hours", r.Hours, 0, "h"); err != nil {
			return 0, fmt.Errorf("reading %d: %w", i+1, err)
		}
		sum += math.Max(0, r.TempC-thresholdC) * r.Hours
	}
	return limits.Result("degree-hours", sum)
}

// DevelopmentFit is the line 1/t = (T - T0)/DH through the site's own batches.
type DevelopmentFit struct {
	ThresholdC  float64 // T0, °C
	DegreeHours float64 // DH, °C x hours, to reach the stage
	ColdestC    float64 // least and greatest temperature tried: the line is unknown outside
	WarmestC    float64
	Batches     int
}

// leastBatches (number, our choice): two points always lie on a line.
const leastBatches = 3

// FitDevelopment finds threshold and degree-hours to a stage from batches at different
// temperatures.
//
// tempsC in °C and hours from fertilisation to the stage, one pair a batch; the result in
// °C and °C x hours.
// Range: three batches or more at two temperatures at least, -2 to 40 °C, hours above 0;
// otherwise an error that wraps limits.ErrRange or ErrTooFew. When development isn't
// faster in warmer water the error wraps ErrNoFit.
// Source: least squares of 1/t on T; common practice, no source.
func FitDevelopment(tempsC, hours []float64) (DevelopmentFit, error) {
	if len(tempsC) != len(hours) {
		return DevelopmentFit{}, fmt.Errorf("degree-hours: %d temperatures but %d times; give one of each for every batch: %w",
			len(tempsC), len(hours), limits.ErrRange)
	}
	if len(tempsC) < leastBatches {
		return DevelopmentFit{}, fmt.Errorf("degree-hours: %d batches; give at least %d: %w", len(tempsC), leastBatches, ErrTooFew)
	}
	if err := checkAll(tempsC, func(x float64) error { return limits.Between("temperature", x, coldestC, warmestC, "°C") }); err != nil {
		return DevelopmentFit{}, err
	}
	if err := checkAll(hours, func(x float64) error { return limits.Above("hours", x, 0, "h") }); err != nil {
		return DevelopmentFit{}, err
	}
	perHour := make([]float64, len(hours))
	for i, h := range hours {
		perHour[i] = 1 / h
	}
	coldest, warmest := slices.Min(tempsC), slices.Max(tempsC)
	if coldest == warmest {
		return DevelopmentFit{}, fmt.Errorf("degree-hours: all batches had one temperature; take at least two different ones: %w", ErrTooFew)
	}
	slope, intercept := line(tempsC, perHour)
	fit := DevelopmentFit{ThresholdC: -intercept / slope, DegreeHours: 1 / slope, ColdestC: coldest, WarmestC: warmest, Batches: len(hours)}
	// A threshold above the coldest batch would say that this batch never develops; a line
	// that falls crosses zero above it, one that is level has no threshold at all.
	if !(slope > 0 && fit.ThresholdC < coldest) {
		return DevelopmentFit{}, fmt.Errorf("degree-hours: the batches don't show faster development in warmer water; "+
			"check hours and temperatures or add batches: %w", ErrNoFit)
	}
	for _, x := range []float64{fit.ThresholdC, fit.DegreeHours} {
		if _, err := limits.Result("degree-hours", x); err != nil {
			return DevelopmentFit{}, err
		}
	}
	return fit, nil
}

// line is the least squares line through points that do not share one x.
func line(x, y []float64) (slope, intercept float64) {
	meanX, squaresX := momentsAbout(x)
	meanY, _ := momentsAbout(y)
	for i := range x {
		slope += (x[i] - meanX) * (y[i] - meanY) / squaresX
	}
	return slope, meanY - slope*meanX
}

// HoursAt gives the hours to the stage at a steady temperature.
//
// tempC in °C; the result in hours.
// Range: the coldest to the warmest batch fitted, since the line is unknown outside;
// otherwise an error that wraps limits.ErrRange.
// Source: DH / (T - T0); arithmetic.
func (f DevelopmentFit) HoursAt(tempC float64) (float64, error) {
	if err := limits.Between("temperature", tempC, f.ColdestC, f.WarmestC, "°C"); err != nil {
		return 0, err
	}
	return limits.Result("hours to the stage", f.DegreeHours/(tempC-f.ThresholdC))
}
