package counts

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
	"spatsheet/calc/stats"
)

// SpermStockML is how much sperm stock to add to a vessel of eggs.
//
// targetPerML and stockPerML in sperm/mL, vesselML the water with eggs before adding, in mL;
// the result in mL.
// Range: targetPerML above 0, stockPerML above targetPerML, vesselML above 0; otherwise an
// error that wraps limits.ErrRange.
// Source: target x vessel / (stock - target), which allows for the volume added;
// arithmetic. Published targets run from 1e3 to 1e6 sperm/mL for abalone (abstracts only);
// watch sources that print sperm per LITRE.
func SpermStockML(targetPerML, vesselML, stockPerML float64) (float64, error) {
	if err := cmp.Or(
		limits.Above("target", targetPerML, 0, "sperm/mL"),
		limits.Above("vessel volume", vesselML, 0, "mL"),
		limits.Above("sperm stock", stockPerML, targetPerML, "sperm/mL"),
	); err != nil {
		return 0, err
	}
	return limits.Result("sperm stock to add", targetPerML/(stockPerML-targetPerML)*vesselML)
}

// SpermPerEgg is the number of sperm for each egg in a vessel.
//
// spermPerML in sperm/mL and waterML in mL of the vessel after adding sperm, eggs a number;
// the result is sperm per egg.
// Range: spermPerML 0 or more, waterML and eggs above 0; otherwise an error that wraps
// limits.ErrRange.
// Source: sperm/mL x mL / eggs; arithmetic. Over 100 sperm per egg adds little in Haliotis
// tuberculata: Baker and Tyler (2001), Mar. Ecol. Prog. Ser. 211:205 (abstract only).
func SpermPerEgg(spermPerML, waterML, eggs float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("sperm density", spermPerML, 0, "sperm/mL"),
		limits.Above("volume", waterML, 0, "mL"),
		limits.Above("eggs", eggs, 0, ""),
	); err != nil {
		return 0, err
	}
	return limits.Result("sperm per egg", spermPerML*waterML/eggs)
}

// usualScored (eggs, common practice, no source): score at least so many per vessel.
const usualScored = 100

// Fertilisation is the outcome of scoring eggs at the 2 to 4 cell stage; shares are of all
// eggs scored, from 0 to 1.
type Fertilisation struct {
	Scored    int
	Cleaved   stats.Interval // regular and irregular together
	Regular   stats.Interval // the eggs to count on
	Irregular stats.Interval // likely more than one sperm
	FewScored bool           // fewer than 100: the limits are wide
}

// FertilisationRate gives the shares of cleaved, regular and irregular eggs with Wilson
// limits.
//
// regular, irregular and uncleaved are eggs scored in one vessel, confidence such as 0.95;
// the result holds shares of all eggs scored.
// Range: none negative, one egg or more in all, confidence 0.5 to 0.9999; otherwise an
// error that wraps limits.ErrRange.
// Source: stats.ShareWilson1927. Irregular eggs were reached by sperm but seldom develop
// (common practice, no source), so both shares are given; a site warns above 10 %
// irregular. The limits hold for the eggs scored, if they were drawn from a stirred vessel.
func FertilisationRate(regular, irregular, uncleaved int, confidence float64) (Fertilisation, error) {
	scored := 0
	for _, class := range []struct {
		name   string
		number int
	}{{"regular eggs", regular}, {"irregular eggs", irregular}, {"uncleaved eggs", uncleaved}} {
		if err := limits.Between(class.name, float64(class.number), 0, mostTotal, ""); err != nil {
			return Fertilisation{}, err
		}
		scored += class.number
	}
	result := Fertilisation{Scored: scored, FewScored: scored < usualScored}
	for _, share := range []struct {
		into *stats.Interval
		eggs int
	}{{&result.Cleaved, regular + irregular}, {&result.Regular, regular}, {&result.Irregular, irregular}} {
		interval, err := stats.ShareWilson1927(share.eggs, scored, confidence)
		if err != nil {
			return Fertilisation{}, fmt.Errorf("fertilisation: eggs scored: %w", err)
		}
		*share.into = interval
	}
	return result, nil
}

// closePackedShare (no unit, common practice, no source): share of a full layer that leaves
// eggs room to turn.
const closePackedShare = 0.5

// EggsPerCM2 is how many eggs lie in one loose layer on a floor.
//
// diameterUM is the egg's diameter with its jelly, in µm; the result is eggs per cm2: half
// of the floor covered.
// Range: 30 to 1000 µm, the eggs of broadcast spawners with room to spare; otherwise an
// error that wraps limits.ErrRange.
// Source: 0.5 x 4/(pi d^2), arithmetic; the half is common practice. 100 to 500 per cm2 is
// usual for hatching (from memory), far below one layer.
func EggsPerCM2(diameterUM float64) (float64, error) {
	if err := limits.Between("egg diameter", diameterUM, 30, 1000, "µm"); err != nil {
		return 0, err
	}
	const micrometresPerCM = 1e4 // exact
	diameterCM := diameterUM / micrometresPerCM
	return limits.Result("eggs per cm2", closePackedShare*4/(math.Pi*diameterCM*diameterCM))
}
