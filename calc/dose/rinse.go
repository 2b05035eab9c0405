package dose

import (
	"cmp"
	"math"

	"spatsheet/calc/limits"
)

// mostChanges is the most part changes an answer is given for. A trap for typing errors.
const mostChanges = 1_000_000

// AfterChanges gives the strength left after a number of part changes with clean water.
//
// startStrength in any unit, changedShare of the water replaced each time (0.9 leaves a
// tenth), changes made; the result in the unit of startStrength.
// Range: startStrength at least 0, changedShare above 0 and at most 1, changes from 0 to
// 1e6; otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, C = C0 (1-f)^n, well mixed before each change.
func AfterChanges(startStrength, changedShare float64, changes int) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("strength to start from", startStrength, 0, ""),
		partOfOne("changed share", changedShare),
		limits.Between("changes", float64(changes), 0, mostChanges, ""),
	); err != nil {
		return 0, err
	}
	return startStrength * math.Pow(1-changedShare, float64(changes)), nil
}

// ChangesNeeded gives the part changes after which no more than a share of the dose is left.
//
// residueShare allowed of what there was at the start (0.01 for 1 %), changedShare of the
// water replaced each time; the result in changes, rounded up.
// Range: both above 0 and at most 1, the result at most 1e6; otherwise an error wrapping
// limits.ErrRange.
// Source: arithmetic, ln residue / ln(1-f). Below 1 % of the dose is from memory.
func ChangesNeeded(residueShare, changedShare float64) (int, error) {
	if err := cmp.Or(
		partOfOne("residue share", residueShare),
		partOfOne("changed share", changedShare),
	); err != nil {
		return 0, err
	}
	if residueShare == 1 {
		return 0, nil
	}
	if changedShare == 1 {
		return 1, nil
	}
	exact := math.Log(residueShare) / math.Log1p(-changedShare)
	// Two changes of 0.9 leave 0.01 but for the dust of floating-point arithmetic.
	changes := math.Ceil(exact - 1e-9*math.Max(1, exact))
	if err := limits.Between("changes", changes, 0, mostChanges, ""); err != nil {
		return 0, err
	}
	return max(1, int(changes)), nil
}

// FlowHours gives the time after which flow-through leaves no more than a share of the dose.
//
// residueShare allowed, flowLPerH in L/h, volumeL the filled volume in L; the result in h.
// Range: residueShare above 0 and at most 1, flow and volume above 0; otherwise an error
// wrapping limits.ErrRange.
// Source: arithmetic, t = V/Q ln(1/residue), well mixed.
func FlowHours(residueShare, flowLPerH, volumeL float64) (float64, error) {
	if err := cmp.Or(
		partOfOne("residue share", residueShare),
		limits.Above("flow", flowLPerH, 0, "L/h"),
		limits.Above("filled volume", volumeL, 0, "L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("time", math.Abs(math.Log(residueShare))*(volumeL/flowLPerH))
}

// VolumesPerDay gives how many times a day the water of a vessel is replaced by its flow.
//
// flowLPerH in L/h, volumeL the filled volume in L; the result in volumes a day.
// Range: flow at least 0, volume above 0; otherwise an error wrapping limits.ErrRange.
// Source: arithmetic, L/h x 24 / L. Replaced in name: of the old water exp(-1) is left
// after one volume.
func VolumesPerDay(flowLPerH, volumeL float64) (float64, error) {
	if err := cmp.Or(
		limits.AtLeast("flow", flowLPerH, 0, "L/h"),
		limits.Above("filled volume", volumeL, 0, "L"),
	); err != nil {
		return 0, err
	}
	return limits.Result("volumes a day", flowLPerH*24/volumeL)
}
