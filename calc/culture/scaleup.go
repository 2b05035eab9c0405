package culture

import (
	"cmp"
	"fmt"
	"math"

	"spatsheet/calc/limits"
)

// Starter is the culture that a scale-up begins with, ready on day 0.
type Starter struct {
	Name       string
	CellsPerML float64 // counted
	VolumeML   float64 // all of it
	KeepML     float64 // held back, as a backup
}

// ScaleUpStep is one size of vessel on the way from the flask to the tank.
type ScaleUpStep struct {
	Name              string  // "flask", "carboy", "tank"
	Vessels           int     // alike, run side by side
	VolumeML          float64 // working volume of each, inoculum included
	StartCellsPerML   float64 // density to start at
	HarvestCellsPerML float64 // density to pass on at
	RatePerDay        float64 // specific growth rate in this vessel
	LagDays           float64 // without growth after the split
	KeepML            float64 // culture of this step held back, all vessels together
}

// PlannedStep is a ScaleUpStep with its amounts and days.
type PlannedStep struct {
	ScaleUpStep
	From             string  // name of the culture it is split from
	InoculumML       float64 // into each vessel
	MediumML         float64 // fresh medium in each vessel
	InoculumTotalML  float64 // into all vessels
	InoculumShare    float64 // of the volume
	ParentLeftML     float64 // of the parent culture when the split is done, KeepML in it
	GrowthDays       float64 // exact
	SplitDay         int     // whole day the step begins, 0 for the first
	ReadyDay         int     // whole day the step can be passed on
	HarvestedTotalML float64 // what the step yields, all vessels, KeepML in it
}

// ScaleUp plans a serial culture: each step is split from the one before on the first
// whole day that one has reached its harvest density.
//
// starter and steps with densities in cells/mL, volumes in mL, rates per day, lags in
// days; the result in the same units, one planned step for each step, in order. Inocula
// count on the harvest density of the plan: on the day, count and use InoculumVolume.
// Range: volumes, densities and rates above 0, lags and held-back volumes at least 0,
// vessels from 1 to 1e6, starting density not above the parent's nor above the step's own
// harvest density, and the parent with what it holds back large enough; otherwise an
// error wrapping limits.ErrRange that names the step and says what is short.
// Source: arithmetic, V1 = C2 V2 / C1 and lag + ln(C harvest / C start)/mu. Inocula of 5 to
// 20 % of the volume and two backups at each step are common practice, not enforced here.
func ScaleUp(starter Starter, steps []ScaleUpStep) ([]PlannedStep, error) {
	if len(steps) == 0 {
		return nil, fmt.Errorf("scale-up: no steps; give at least one vessel to grow in: %w", limits.ErrRange)
	}
	if err := cmp.Or(
		limits.Above("starter density", starter.CellsPerML, 0, "cells/mL"),
		limits.Above("starter volume", starter.VolumeML, 0, "mL"),
		limits.AtLeast("starter held back", starter.KeepML, 0, "mL"),
	); err != nil {
		return nil, err
	}
	parent, day := starter, 0
	var planned []PlannedStep
	for i, step := range steps {
		p, err := planStep(parent, step, day)
		if err != nil {
			return nil, fmt.Errorf("scale-up step %d %q: %w", i+1, step.Name, err)
		}
		planned = append(planned, p)
		day = p.ReadyDay
		parent = Starter{Name: step.Name, CellsPerML: step.HarvestCellsPerML, VolumeML: p.HarvestedTotalML, KeepML: step.KeepML}
	}
	return planned, nil
}

// planStep works out one split; parent is what the step before has become.
func planStep(parent Starter, step ScaleUpStep, day int) (PlannedStep, error) {
	if err := cmp.Or(
		limits.Between("vessels", float64(step.Vessels), 1, 1e6, ""),
		limits.Above("vessel volume", step.VolumeML, 0, "mL"),
		limits.AtLeast("held back", step.KeepML, 0, "mL"),
	); err != nil {
		return PlannedStep{}, err
	}
	inoculumML, err := InoculumVolume(step.StartCellsPerML, step.VolumeML, parent.CellsPerML)
	if err != nil {
		return PlannedStep{}, err
	}
	growthDay, err := HarvestDay(step.StartCellsPerML, step.HarvestCellsPerML, step.RatePerDay, step.LagDays)
	if err != nil {
		return PlannedStep{}, err
	}
	growthDays, err := DaysToGrow(step.HarvestCellsPerML/step.StartCellsPerML, step.RatePerDay, step.LagDays)
	if err != nil {
		return PlannedStep{}, err
	}
	total, err := limits.Result("volume of all vessels", step.VolumeML*float64(step.Vessels))
	if err != nil {
		return PlannedStep{}, err
	}
	p := PlannedStep{
		ScaleUpStep: step, From: parent.Name,
		InoculumML: inoculumML, MediumML: step.VolumeML - inoculumML,
		InoculumTotalML: inoculumML * float64(step.Vessels), InoculumShare: inoculumML / step.VolumeML,
		GrowthDays: growthDays, SplitDay: day, ReadyDay: day + growthDay, HarvestedTotalML: total,
	}
	p.ParentLeftML, err = leftOver(parent, p.InoculumTotalML)
	return p, err
}

// leftOver gives what the parent has left after the inoculum, or says what is short.
func leftOver(parent Starter, inoculumTotalML float64) (float64, error) {
	left := parent.VolumeML - inoculumTotalML
	short := parent.KeepML - left
	if short > 1e-9*parent.VolumeML { // beyond the dust of floating-point arithmetic
		return 0, fmt.Errorf("inoculum: %.4g mL are wanted of %q, which has %.4g mL and keeps %.4g mL back, so %.4g mL are short; grow more of it, put a step between, or start thinner: %w",
			inoculumTotalML, parent.Name, parent.VolumeML, parent.KeepML, short, limits.ErrRange)
	}
	return math.Max(left, 0), nil
}
