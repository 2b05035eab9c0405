package lineage

import (
	"spatsheet/calc/pedigree"
	"spatsheet/render/page"
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
func legend(x, y float64) []page.Mark {
	var marks []page.Mark
	for i, g := range groups {
		left := x + float64(i)*sampleStep
		shape := page.Path{Points: sample(g.group, left, y), Closed: true, Pen: page.Pen{Width: boxLine}}
		switch g.group {
		case pedigree.Supply:
			shape.Pen.Dash = []float64{1.5, 1}
		case "":
			shape.Pen.Dash = []float64{0.4, 1}
		}
		marks = append(marks, shape, page.Words{X: left + sampleWidth + 1.2, Y: y + sampleHeight/2 + 0.36*textPt*style.PointMM,
			Font: page.Font{SizePt: textPt}, Text: g.says})
	}
	y += sampleHeight + 5
	for i, s := range []struct {
		carries pedigree.Carry
		says    string
	}{{pedigree.CarriesLine, "offspring, or the animals themselves"}, {pedigree.CarriesStock, "broodstock after a spawning"},
		{pedigree.CarriesOther, "plates, feed, figures: no animals"}} {
		left := x + float64(i)*2*sampleStep
		marks = append(marks, page.Path{Points: []page.Point{page.At(left, y), page.At(left+sampleWidth, y)},
			Pen: page.Pen{Width: linkLine, Dash: strokes[s.carries]}},
			page.Words{X: left + sampleWidth + 1.2, Y: y + 0.36*textPt*style.PointMM, Font: page.Font{SizePt: textPt}, Text: s.says})
	}
	marks = append(marks, page.Words{X: x + 6*sampleStep, Y: y + 0.36*textPt*style.PointMM, Font: page.Font{SizePt: textPt},
		Text: "F × M: mothers × fathers; Ne: effective size"})
	y += 4.5
	return append(marks, page.Words{X: x, Y: y + 0.36*textPt*style.PointMM, Font: page.Font{SizePt: textPt},
		Text: "number on a line: what the parent had left, not what was taken of it"})
}

// sample is a group's shape, small: points in proportion.
func sample(group pedigree.Group, x, y float64) []page.Point {
	scale := sampleHeight / 15 // of a box 15 mm high
	points := outline(group, 0, 0, sampleWidth/scale, 15)
	for i, p := range points {
		points[i] = page.At(round(x+p.X*scale), round(y+p.Y*scale))
	}
	return points
}
