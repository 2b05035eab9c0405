package seawater

import (
	"cmp"
	"math"

	"spatsheet/calc/limits"
)

// Limits of the alkaline bath, exact by convention: Lueker et al. (2000) measured at salinity
// 19 to 43 and 2 to 35 °C; above pH 10 seawater clouds and the dose means nothing.
const (
	minBathSalinity, maxBathSalinity = 19.0, 43.0
	minBathTempC, maxBathTempC       = 2.0, 35.0
	minBathPH, maxBathPH             = 7.0, 10.0
)

// BaseForPH gives the base that brings seawater from one pH to a higher one.
//
// startPH and targetPH have no unit and are both on scale (TotalScale or NBSScale);
// alkalinityMMolPerKg is the total alkalinity of the water in mmol/kg (about 2.3 at
// practicalSalinity 35); tempC in °C. The result is mmol of strong base (NaOH) per kg of
// seawater; times the density in kg/L it is mmol a litre, and mL of 1 mol/L a litre.
// Range: pH 7 to 10, salinity 19 to 43, 2 to 35 °C, alkalinity 0.5 to 5 mmol/kg; a target not
// above the start, or another scale, is refused; otherwise ErrRange or ErrPHScale.
// Source: definition of total alkalinity, with inorganic carbon unchanged; K1 and K2 of Lueker
// et al. (2000), KB of Dickson (1990), KW of Millero (1995) on the total scale, KS of Dickson
// (1990), KF of Dickson and Riley (1979), boron of Uppström (1974); for pH of bottled buffers
// the activity coefficient of Takahashi et al. (1982), which one electrode may miss by 0.05.
// Coefficients from memory; held to PyCO2SYS 1.8.3.4 in testdata/reference/naoh_bath.csv.
// It is a first dose: give four fifths of it, read the pH, and titrate.
func BaseForPH(startPH, targetPH float64, scale PHScale, alkalinityMMolPerKg, practicalSalinity, tempC float64) (float64, error) {
	w, err := bathWater(startPH, targetPH, scale, alkalinityMMolPerKg, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	carbon := w.carbonAt(w.total(startPH, scale), alkalinityMMolPerKg)
	base, err := limits.Result("base", w.alkalinityAt(w.total(targetPH, scale), carbon)-alkalinityMMolPerKg)
	if err != nil {
		return 0, err
	}
	return base, limits.AtLeast("base", base, 0, "mmol/kg")
}

// AmmoniaForPH gives the ammonia solution that does what BaseForPH asks of a strong base.
//
// Arguments, range and errors as BaseForPH; the result is mmol of ammonia per kg of seawater,
// more than of a strong base, since a part of it stays as un-ionised ammonia, which is
// poisonous: rinse without delay.
// Source: base / (1 - share un-ionised at the target), UnionisedAmmoniaFraction; held to
// PyCO2SYS 1.8.3.4 in testdata/reference/naoh_bath.csv.
func AmmoniaForPH(startPH, targetPH float64, scale PHScale, alkalinityMMolPerKg, practicalSalinity, tempC float64) (float64, error) {
	base, err := BaseForPH(startPH, targetPH, scale, alkalinityMMolPerKg, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	w := constantsAt(practicalSalinity, tempC)
	free, err := UnionisedAmmoniaFraction(w.total(targetPH, scale), TotalScale, practicalSalinity, tempC)
	if err != nil {
		return 0, err
	}
	return limits.Result("ammonia", base/(1-free))
}

func bathWater(startPH, targetPH float64, scale PHScale, alkalinity, salinity, tempC float64) (carbonate, error) {
	if scale != TotalScale && scale != NBSScale {
		return carbonate{}, ErrPHScale
	}
	if err := cmp.Or(
		limits.Between("pH of the water", startPH, minBathPH, maxBathPH, ""),
		limits.Between("pH wanted", targetPH, minBathPH, maxBathPH, ""),
		limits.Between("alkalinity", alkalinity, 0.5, 5, "mmol/kg"),
		limits.Between("practical salinity", salinity, minBathSalinity, maxBathSalinity, ""),
		limits.Between("temperature", tempC, minBathTempC, maxBathTempC, "°C"),
		limits.Above("pH wanted", targetPH, startPH, ""),
	); err != nil {
		return carbonate{}, err
	}
	return constantsAt(salinity, tempC), nil
}

// carbonate holds the equilibrium constants of seawater at one salinity and temperature, on
// the total scale, in mol/kg, and what turns the pH of bottled buffers into it.
type carbonate struct {
	k1, k2, kB, kW     float64
	boron              float64 // mol/kg
	freeShare          float64 // of hydrogen ions on the total scale, those not bound to sulphate
	sulphate, kS       float64 // mol/kg
	fluoride, kF       float64 // mol/kg
	totalOverSeawater  float64 // hydrogen ions on the total scale over those on the seawater scale
	activityOfHydrogen float64 // Takahashi et al. (1982), of the seawater scale
}

func constantsAt(salinity, tempC float64) carbonate {
	t, s, root := tempC+zeroCelsiusK, salinity, math.Sqrt(salinity)
	ln := math.Log(t)
	ionic := 19.924 * s / (1000 - 1.005*s)
	chlorinity := s / 1.80655
	perKgSeawater := 1 - 0.001005*s
	w := carbonate{
		k1: math.Pow(10, -(3633.86/t - 61.2172 + 9.6777*ln - 0.011555*s + 0.0001152*s*s)),
		k2: math.Pow(10, -(471.78/t + 25.929 - 3.16967*ln - 0.01781*s + 0.0001122*s*s)),
		kB: math.Exp((-8966.9-2890.53*root-77.942*s+1.728*s*root-0.0996*s*s)/t + 148.0248 + 137.1942*root +
			1.62142*s + (-24.4344-25.085*root-0.2474*s)*ln + 0.053105*root*t),
		kW:       math.Exp(148.9652 - 13847.26/t - 23.6521*ln + (118.67/t-5.977+1.0495*ln)*root - 0.01615*s),
		boron:    0.000232 / 10.811 * chlorinity,
		sulphate: 0.14 / 96.062 * chlorinity,
		kS: perKgSeawater * math.Exp(-4276.1/t+141.328-23.093*ln+(-13856/t+324.57-47.986*ln)*math.Sqrt(ionic)+
			(35474/t-771.54+114.723*ln)*ionic-2698/t*math.Pow(ionic, 1.5)+1776/t*ionic*ionic),
		fluoride:           0.000067 / 18.998 * chlorinity,
		kF:                 perKgSeawater * math.Exp(1590.2/t-12.641+1.525*math.Sqrt(ionic)),
		activityOfHydrogen: 1.2948 - 0.002036*t + (0.0004607-0.000001475*t)*s*s,
	}
	bound := w.sulphate / w.kS
	w.freeShare = 1 / (1 + bound)
	w.totalOverSeawater = (1 + bound) / (1 + bound + w.fluoride/w.kF)
	return w
}

// total brings a pH to the total scale.
func (w carbonate) total(pH float64, scale PHScale) float64 {
	if scale == TotalScale {
		return pH
	}
	return pH + math.Log10(w.activityOfHydrogen) - math.Log10(w.totalOverSeawater)
}

// withoutCarbon is the part of the alkalinity, in mmol/kg, that holds no carbon.
func (w carbonate) withoutCarbon(pH float64) float64 {
	h := math.Pow(10, -pH)
	free := h * w.freeShare
	return 1000 * (w.boron*w.kB/(w.kB+h) + w.kW/h - free - w.sulphate*free/(free+w.kS) - w.fluoride*free/(free+w.kF))
}

// charge is the alkalinity that one mol of inorganic carbon stands for.
func (w carbonate) charge(pH float64) float64 {
	h := math.Pow(10, -pH)
	return (w.k1*h + 2*w.k1*w.k2) / (h*h + w.k1*h + w.k1*w.k2)
}

func (w carbonate) alkalinityAt(pH, carbonMMolPerKg float64) float64 {
	return carbonMMolPerKg*w.charge(pH) + w.withoutCarbon(pH)
}

func (w carbonate) carbonAt(pH, alkalinityMMolPerKg float64) float64 {
	return (alkalinityMMolPerKg - w.withoutCarbon(pH)) / w.charge(pH)
}
