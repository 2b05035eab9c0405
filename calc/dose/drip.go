package dose

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// mostDripPoints is the most points a curve is drawn with. A trap for typing errors.
const mostDripPoints = 10_000

// MixedValue gives the temperature or salinity of a vessel that other water drips into.
//
// start and incoming in one unit (°C, salinity, or a strength), flowLPerH in L/h, volumeL
// the filled volume (not the tank's full one) in L, hours since the drip began; the result
// in the unit of start.
// Range: start and incoming finite, flow and hours at least 0, volume above 0; otherwise an
// error wrapping limits.ErrRange.
// Source: arithmetic, T = Tn + (T0 - Tn) exp(-Q t / V): well mixed, constant volume with
// overflow, no heat through the walls.
func MixedValue(start, incoming, flowLPerH, volumeL, hours float64) (float64, error) {
	if err := cmp.Or(
		limits.Finite("start", start, ""),
		limits.Finite("incoming water", incoming, ""),
		limits.AtLeast("flow", flowLPerH, 0, "L/h"),
		limits.Above("filled volume", volumeL, 0, "L"),
		limits.AtLeast("time", hours, 0, "h"),
	); err != nil {
		return 0, err
	}
	return limits.Result("value in the vessel", incoming+(start-incoming)*math.Exp(-(flowLPerH/volumeL)*hours))
}

// DripFlow gives the fastest drip that keeps a rate of change.
//
// start and incoming in one unit (°C or salinity), maxPerHour in that unit per hour,
// volumeL the filled volume in L; the result in L/h. It holds for the first moment, where
// the change is steepest; afterwards the change only slows.
// Range: start and incoming finite and different, maxPerHour and volume above 0; otherwise
// an error wrapping limits.ErrRange.
// Source: arithmetic, Q = r V / |T0 - Tn|. Rates of 1 °C and 1 to 2 PSU an hour are common
// practice, and that a gap of no more than 1 °C and 1 PSU needs no drip.
func DripFlow(start, incoming, maxPerHour, volumeL float64) (float64, error) {
	if err := cmp.Or(
		limits.Finite("start", start, ""),
		limits.Finite("incoming water", incoming, ""),
		limits.Above("greatest change", maxPerHour, 0, "an hour"),
		limits.Above("filled volume", volumeL, 0, "L"),
	); err != nil {
		return 0, err
	}
	if start == incoming {
		return 0, fmt.Errorf("incoming water: %g is what the vessel has; no drip is needed: %w", incoming, limits.ErrRange)
	}
	flow := maxPerHour * volumeL / math.Abs(start-incoming)
	if err := limits.Above("drip flow", flow, 0, "L/h"); err != nil { // a gap beyond all numbers
		return 0, err
	}
	return flow, nil
}

// DripFlowForBoth gives the fastest drip that keeps the rates of temperature and salinity.
//
// tempGapC in °C and salinityGap (PSU) are what the water is to change by, up or down;
// maxTempCPerHour and maxSalinityPerHour per hour; volumeL the filled volume in L; the
// result in L/h, the lower of the two flows.
// Range: gaps finite and not both 0, rates and volume above 0; otherwise an error wrapping
// limits.ErrRange.
// Source: as DripFlow.
func DripFlowForBoth(tempGapC, salinityGap, maxTempCPerHour, maxSalinityPerHour, volumeL float64) (float64, error) {
	if err := cmp.Or(
		limits.Finite("temperature gap", tempGapC, "°C"),
		limits.Finite("salinity gap", salinityGap, ""),
		limits.Above("greatest change of temperature", maxTempCPerHour, 0, "°C an hour"),
		limits.Above("greatest change of salinity", maxSalinityPerHour, 0, "an hour"),
	); err != nil {
		return 0, err
	}
	if tempGapC == 0 {
		return DripFlow(salinityGap, 0, maxSalinityPerHour, volumeL)
	}
	byTemp, err := DripFlow(tempGapC, 0, maxTempCPerHour, volumeL)
	if err != nil || salinityGap == 0 {
		return byTemp, err
	}
	bySalinity, err := DripFlow(salinityGap, 0, maxSalinityPerHour, volumeL)
	if err != nil {
		return 0, err
	}
	return min(byTemp, bySalinity), nil
}

// DripHours gives the time after which a drip has brought a vessel near the incoming water.
//
// start, incoming and within in one unit (°C or salinity), flowLPerH in L/h, volumeL the
// filled volume in L; the result in h, 0 when the vessel is that near already.
// Range: start and incoming finite; within, flow and volume above 0; otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, t = V/Q ln(|T0 - Tn| / d).
func DripHours(start, incoming, within, flowLPerH, volumeL float64) (float64, error) {
	if err := cmp.Or(
		limits.Finite("start", start, ""),
		limits.Finite("incoming water", incoming, ""),
		limits.Above("distance left", within, 0, ""),
		limits.Above("flow", flowLPerH, 0, "L/h"),
		limits.Above("filled volume", volumeL, 0, "L"),
	); err != nil {
		return 0, err
	}
	gap := math.Abs(start - incoming)
	if gap <= within {
		return 0, nil
	}
	return limits.Result("time", math.Log(gap/within)*(volumeL/flowLPerH))
}

// Water is the state of a water for acclimation.
type Water struct {
	TempC    float64 // °C
	Salinity float64 // practical salinity
}

// DripPoint is one point of a drip's curve.
type DripPoint struct {
	Hours float64 // since the drip began
	Water
}

// DripCurve gives the temperature and salinity of a vessel at even times during a drip.
//
// start and incoming waters, flowLPerH in L/h, volumeL the filled volume in L, totalHours
// and everyHours in h; the result begins at 0 h and goes on every everyHours to totalHours,
// which is itself the last point.
// Range: temperatures from -2 to 40 °C, salinities from 0 to 50, flow at least 0, volume,
// totalHours and everyHours above 0, everyHours not above totalHours, at most 10,000 points;
// otherwise an error wrapping limits.ErrRange.
// Source: as MixedValue. Salinity mixes by mass, here by volume: at salinity 30 to 40 the
// two differ by less than 1 % of the gap.
func DripCurve(start, incoming Water, flowLPerH, volumeL, totalHours, everyHours float64) ([]DripPoint, error) {
	if err := cmp.Or(
		inNature("start", start),
		inNature("incoming", incoming),
		limits.Above("length of the drip", totalHours, 0, "h"),
		aboveUpTo("time between points", everyHours, totalHours, "h"),
		limits.Between("points of the curve", totalHours/everyHours, 0, mostDripPoints-1, ""),
	); err != nil {
		return nil, err
	}
	var curve []DripPoint
	for i := 0; ; i++ {
		hours := float64(i) * everyHours
		last := hours > totalHours-everyHours*1e-9 // the dust of floating-point arithmetic
		if last {
			hours = totalHours
		}
		tempC, err := MixedValue(start.TempC, incoming.TempC, flowLPerH, volumeL, hours)
		if err != nil {
			return nil, err
		}
		salinity, err := MixedValue(start.Salinity, incoming.Salinity, flowLPerH, volumeL, hours)
		if err != nil {
			return nil, err
		}
		curve = append(curve, DripPoint{hours, Water{tempC, salinity}})
		if last {
			return curve, nil
		}
	}
}

// inNature refuses a water that no hatchery holds; the limits are site choice.
func inNature(which string, w Water) error {
	return cmp.Or(
		limits.Between(which+" temperature", w.TempC, -2, 40, "°C"),
		limits.Between(which+" salinity", w.Salinity, 0, 50, ""),
	)
}
