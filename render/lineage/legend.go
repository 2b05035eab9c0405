package lineage

import (
	"spatsheet/calc/pedigree"
	"spatsheet/render/style"
)

// The legend's measures, mm.
const (
	sampleWidth  = 11.5
	sampleHeight = 6.0
	sampleStep   = 33.0
	legendWidth  = 2*edgeRoom + 8*sampleStep
	legendGap    = 7.0 // between the drawing and the legend
)

// legend tells shapes and strokes apart, with its upper left corner at x, y.
func legend(x, y float64) []mark {
	var marks []mark
	for i, g := range groups {
		left := x + float64(i)*sampleStep
		shape := path{points: sample(g.group, left, y), closed: true, width: boxLine}
		switch g.group {
		case pedigree.Supply:
			shape.dash = []float64{1.5, 1}
		case "":
			shape.dash = []float64{0.4, 1}
		}
		marks = append(marks, shape, text{left + sampleWidth + 1.2, y + sampleHeight/2 + 0.36*textPt*style.PointMM, textPt, false, g.says, false})
	}
	y += sampleHeight + 5
	for i, s := range []struct {
		carries pedigree.Carry
		says    string
	}{{pedigree.CarriesLine, "offspring, or the animals themselves"}, {pedigree.CarriesStock, "broodstock after a spawning"}, {pedigree.CarriesOther, "plates, feed, figures: no animals"}} {
		left := x + float64(i)*2*sampleStep
		marks = append(marks, path{points: []at{{left, y}, {left + sampleWidth, y}}, width: linkLine, dash: strokes[s.carries]},
			text{left + sampleWidth + 1.2, y + 0.36*textPt*style.PointMM, textPt, false, s.says, false})
	}
	marks = append(marks, text{x + 6*sampleStep, y + 0.36*textPt*style.PointMM, textPt, false, "F × M: mothers × fathers; Ne: effective size", false})
	y += 4.5
	return append(marks, text{x, y + 0.36*textPt*style.PointMM, textPt, false, "number on a line: what the parent had left, not what was taken of it", false})
}

// sample is a group's shape, small: points in proportion.
func sample(group pedigree.Group, x, y float64) []at {
	scale := sampleHeight / 15 // of a box 15 mm high
	points := outline(group, 0, 0, sampleWidth/scale, 15)
	for i, p := range points {
		points[i] = at{round(x + p.x*scale), round(y + p.y*scale)}
	}
	return points
}
