package main

import (
	"fmt"

	"spatsheet/calc/counts"
	"spatsheet/protocols/quantity"
)

// What all counts of subsamples share: how they spread, the limits, and whether the water was
// well mixed.

func spatQuestion() question {
	return question{
		name: "spat", asks: "spat on plates or a floor from counted windows",
		example: "--counts 4,7,3,6,5,2 --window '4 cm2' --area '48000 cm2'",
		note:    "Draw the places of the windows by lot, on all plates and both sides if both were settled.",
		inputs: []input{
			countsInput("spat in each window", "4,7,3"),
			{name: "window", says: "one window", unit: "cm2", like: "4 cm2"},
			{name: "area", says: "whole area, all sides that count", unit: "cm2", like: "48000 cm2"},
			confidenceInput(),
		},
		work: func(b *bench) error {
			window, area := b.in("window"), b.in("area")
			estimate, err := counts.EstimateOnArea(b.values["counts"].list, window, area, b.in("confidence"))
			if err != nil {
				return err
			}
			s := estimate.Spread
			b.line("mean of a window: %d / %d = %s", s.Total, s.Subsamples, of(s.Mean, ""))
			b.line("on the area: %s × %s / %s = %s", of(s.Mean, ""), of(area, "cm2"), of(window, "cm2"), of(estimate.Estimate, ""))
			scale := scaling{area / window, fmt.Sprintf("%s / %s", of(area, "cm2"), of(window, "cm2"))}
			return b.estimate(estimate, scale, "spat")
		},
	}
}

// scaling is what a mean count is multiplied by, and how the working prints that.
type scaling struct {
	factor float64
	words  string
}

// estimate adds the limits, what they stand on, the mixing warning and the results.
func (b *bench) estimate(e counts.Estimate, scale scaling, unit string) error {
	b.spreadLines(e.Spread)
	if e.Basis == counts.BasisReplicates {
		b.studentLines(e, scale)
	} else {
		b.garwoodLines(e, scale)
	}
	b.source("counting theory, Poisson CV = 1/sqrt(total); Garwood (1936), Biometrika 28:437; Student (1908), Biometrika 6:1; " +
		"index of dispersion, Fisher, Thornton and Mackenzie (1922)")
	if e.Spread.BadlyMixed && unit == "spat" {
		b.caution(fmt.Sprintf("the windows differ more than twice what even settlement shows (CV %s, counting alone %s): "+
			"the spat sit in clumps; count more windows",
			printed(e.Spread.CVPercent, "%", 3), printed(e.Spread.PoissonCVPercent, "%", 3)))
	} else if e.Spread.BadlyMixed {
		b.caution(fmt.Sprintf("the subsamples differ more than twice what a well mixed vessel shows (CV %s, counting alone %s): stir, and draw them again",
			printed(e.Spread.CVPercent, "%", 3), printed(e.Spread.PoissonCVPercent, "%", 3)))
	}
	if single, known := e.Spread.SingleCVPercent(); known {
		more, err := counts.SubsamplesForPrecision(single, wantedCVPercent)
		if err != nil {
			return err
		}
		b.line("counts for a CV of %d %%: (%s / %d %%) ^ 2, rounded up, is %d", wantedCVPercent, of(single, "%"), wantedCVPercent, more)
	}
	b.result("lower limit", e.Low, unit)
	b.result("upper limit", e.High, unit)
	b.result("best estimate", e.Estimate, unit)
	return nil
}

// wantedCVPercent is the precision that the count is held against, %, our choice.
const wantedCVPercent = 5

func (b *bench) spreadLines(s counts.Spread) {
	if s.Total > 0 {
		b.line("CV that counting alone gives: 100 / sqrt(%s) = %s", of(s.Mean, ""), of(s.PoissonCVPercent, "%"))
	}
	if s.HasCV {
		b.line("CV seen: 100 × %s / %s = %s", of(s.SD, ""), of(s.Mean, ""), of(s.CVPercent, "%"))
		b.line("chance of such a spread in a well mixed vessel (chi-square %s, %s): %s", of(s.Index, ""), degrees(s.Subsamples-1), of(s.PValue, ""))
	}
}

// studentLines works the limits from the spread between the counts.
func (b *bench) studentLines(e counts.Estimate, scale scaling) {
	s, percent := e.Spread, of(100*e.Confidence, "%")
	standardError := e.Replicates.StandardError / scale.factor
	t := (e.High - e.Estimate) / e.Replicates.StandardError
	b.line("the counts spread more than counting alone gives, so %s limits by Student's t", percent)
	b.line("standard error of the mean: %s / sqrt(%d) = %s", finely(s.SD, ""), s.Subsamples, finely(standardError, ""))
	b.line("Student's t for %s, %s: %s", percent, degrees(s.Subsamples-1), finely(t, ""))
	if e.Low > 0 {
		b.line("lower limit: (%s - %s × %s) × %s = %s", finely(s.Mean, ""), finely(t, ""), finely(standardError, ""), scale.words, of(e.Low, ""))
	} else {
		b.line("lower limit: %s less %s × %s is not above 0, so it is 0", finely(s.Mean, ""), finely(t, ""), finely(standardError, ""))
	}
	b.line("upper limit: (%s + %s × %s) × %s = %s", finely(s.Mean, ""), finely(t, ""), finely(standardError, ""), scale.words, of(e.High, ""))
}

// garwoodLines works the exact limits from the quantiles of chi-square.
func (b *bench) garwoodLines(e counts.Estimate, scale scaling) {
	s, percent := e.Spread, of(100*e.Confidence, "%")
	perCount := scale.factor / float64(s.Subsamples)
	tail := 50 * (1 - e.Confidence)
	b.line("the counts spread no more than counting alone gives, so %s limits by Garwood, exact for the total counted", percent)
	if s.Total == 0 {
		b.line("lower limit: nothing was counted, so it is 0")
	} else {
		low := 2 * e.Low / perCount
		b.line("chi-square with %s of chance below, %s: %s", of(tail, "%"), degrees(2*s.Total), of(low, ""))
		b.line("lower limit: %s / 2 / %d × %s = %s", of(low, ""), s.Subsamples, scale.words, of(e.Low, ""))
	}
	high := 2 * e.High / perCount
	b.line("chi-square with %s of chance above, %s: %s", of(tail, "%"), degrees(2*s.Total+2), of(high, ""))
	b.line("upper limit: %s / 2 / %d × %s = %s", of(high, ""), s.Subsamples, scale.words, of(e.High, ""))
}

func degrees(n int) string {
	return quantity.Counted(n, "degree of freedom", "degrees of freedom")
}
