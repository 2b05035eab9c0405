package report

import (
	"fmt"
	"strings"

	"spatsheet/calc/season"
	"spatsheet/protocols/quantity"
)

// stages is survival by stage: a figure of every batch and a table.
func stages(r season.Report) section {
	s := section{title: "Survival by stage"}
	var shown []season.StageGroup
	for _, g := range r.Stages {
		if g.Batches > 0 {
			shown = append(shown, g)
		}
	}
	if len(shown) == 0 {
		return s
	}
	s.put(pictures{stageFigure(shown)})
	g := grid{caption: "Survival by stage over the season", columns: []column{{"Species, stage", false}, {"Batches", true}, {"In", true}, {"Out", true},
		{"All out / all in", true}, {"Median of batches", true}, {"Lowest to highest batch", true}, {"Counts are", false}}}
	for _, st := range shown {
		kind := "estimates"
		if st.Counted {
			kind = "counts"
		}
		g.rows = append(g.rows, []string{st.Species + ": " + stageName(st, shown), count(float64(st.Batches)),
			number(st.In) + " " + st.InUnit, number(st.Out) + " " + st.OutUnit,
			percent(st.Pooled), percent(st.Median), between(st.Low, st.High), kind})
	}
	s.put(g)
	s.note("Where animals were counted one by one, bars are Wilson's 95 % intervals for each batch, as if its animals lived and " +
		"died independently; animals of one batch share water and hands, so that the truth is wider. " +
		"Where the numbers are estimates from subsamples (eggs, larvae, spat in windows) no interval is given: a binomial " +
		"interval of millions of larvae would be narrow and untrue. The spread between batches is the honest measure there.")
	if left := leftOut(r); left != "" {
		s.note("Left out of the summary: " + left)
	}
	return s
}

// leftOut tells which batches a stage's summary does without, and why; many are counted.
func leftOut(r season.Report) string {
	var why []string
	for _, g := range r.Stages {
		for _, e := range g.Estimates {
			if e.Note != "" {
				why = append(why, fmt.Sprintf("%s %s (%s)", e.Batch, e.Label, e.Note))
			}
		}
	}
	if len(why) > 6 {
		return strings.Join(why[:6], "; ") + fmt.Sprintf("; and %d more, in stages.csv", len(why)-6)
	}
	return strings.Join(why, "; ")
}

// stageFigure has a row for each stage, a point for each batch, a stroke for all together.
func stageFigure(list []season.StageGroup) *figure {
	f := &figure{x: shareAxis("survival, %"), y: axis{category: true}}
	batches, pooled := series{look: 1, marker: true}, series{look: 0}
	row, species := 0.0, ""
	for _, g := range list {
		if g.Species != species {
			species = g.Species
			f.y.ticks = append(f.y.ticks, tick{at: -row - 0.2, label: species, head: true})
			row++
		}
		f.y.ticks = append(f.y.ticks, tick{at: -row, label: stageName(g, list)})
		at := 0
		for _, e := range g.Estimates {
			if !e.HasSurvival || e.Note != "" {
				continue
			}
			p := point{x: 100 * e.Survival, y: -row + aside(at, g.Batches)}
			if e.HasInterval {
				p.xLow, p.xTop, p.hasX = 100*e.Interval.Low, 100*e.Interval.High, true
			}
			batches.points = append(batches.points, p)
			at++
		}
		pooled.points = append(pooled.points, point{x: 100 * g.Pooled, y: -row, tall: true})
		row++
	}
	f.y.low, f.y.high = -row+0.4, 0.5
	f.height = 12 + 6.2*row
	f.series = []series{batches, pooled}
	f.caption = "Survival by stage. Rings: batches, with Wilson's 95 % interval where animals were counted; upright strokes: all out over all in."
	return f
}

// stageName is a stage's label, with its protocol where another has the same.
func stageName(g season.StageGroup, among []season.StageGroup) string {
	for _, other := range among {
		if other.Label == g.Label && other.Protocol != g.Protocol {
			return g.Label + " (" + g.Protocol + ")"
		}
	}
	return g.Label
}

// aside moves the points of one row apart, within a third of it.
func aside(at, of int) float64 {
	if of < 2 {
		return 0
	}
	return 0.3 - 0.6*float64(at)/float64(of-1)
}

// losses is a section for each group of batches with daily deaths.
func losses(r season.Report) []section {
	var out []section
	for _, g := range r.Losses {
		s := section{title: "Survival of broodstock over time: " + g.Species}
		if len(r.Losses) > 0 && g.Protocol != "broodstock-acclimation" {
			s.title = "Survival over time: " + g.Species + ", " + g.Protocol
		}
		curves := g.Classes
		if len(curves) == 0 {
			if !g.HasAll {
				continue
			}
			curves = []season.LossCurve{g.All}
		}
		figures := pictures{lossFigure(curves, "Kaplan-Meier survival by class. Steps: deaths; upright strokes: animals last "+
			"known alive (taken out, or alive at the end).")}
		if g.HasAll && len(g.Classes) > 0 {
			figures = append(figures, lossFigure([]season.LossCurve{g.All}, "All animals, by day, with 95 % limits (log-log)."))
		}
		s.put(figures)
		s.put(lossTable(g))
		s.say(lossTest(g))
		if len(g.Notes) > 0 {
			s.note("Notes: " + strings.Join(g.Notes, "; ") + ".")
		}
		out = append(out, s)
	}
	return out
}

func lossFigure(curves []season.LossCurve, caption string) *figure {
	last := 1.0
	for _, c := range curves {
		last = max(last, c.Curve.LastTime)
	}
	f := &figure{x: daysAxis("days", last), y: shareAxis("alive, %"), height: 62, caption: caption}
	for i, c := range curves {
		s := series{label: fmt.Sprintf("%s (%d)", c.Class, c.Number), look: i, line: true, step: true, points: []point{{x: 0, y: 100}}}
		low, high := series{look: i, line: true, step: true, faint: true}, series{look: i, line: true, step: true, faint: true}
		for _, p := range c.Curve.Points {
			s.points = append(s.points, point{x: p.Time, y: 100 * p.Survival})
			if p.HasLimits {
				low.points = append(low.points, point{x: p.Time, y: 100 * p.Low})
				high.points = append(high.points, point{x: p.Time, y: 100 * p.High})
			}
		}
		end := s.points[len(s.points)-1]
		s.points = append(s.points, point{x: c.Curve.LastTime, y: end.y})
		f.series = append(f.series, s, censored(c, i))
		if len(curves) == 1 && len(low.points) > 0 {
			low.points = append(low.points, point{x: c.Curve.LastTime, y: low.points[len(low.points)-1].y})
			high.points = append(high.points, point{x: c.Curve.LastTime, y: high.points[len(high.points)-1].y})
			f.series = append(f.series, low, high)
		}
	}
	return f
}

// censored are upright strokes where animals were last known alive.
func censored(c season.LossCurve, look int) series {
	s := series{look: look}
	drawn := map[float64]bool{}
	for _, o := range c.Observations {
		if o.Died || drawn[o.Time] {
			continue
		}
		drawn[o.Time] = true
		if p, err := c.Curve.At(o.Time); err == nil {
			s.points = append(s.points, point{x: o.Time, y: 100 * p.Survival, tall: true})
		}
	}
	return s
}

func lossTable(g season.LossGroup) grid {
	t := grid{columns: []column{{"Class", false}, {"Batches", true}, {"Animals", true}, {"Died", true}, {"Alive at end", true},
		{"95 % limits", true}, {"Record to", true}, {"Half dead by", true}}}
	list := g.Classes
	if g.HasAll {
		list = append(append([]season.LossCurve(nil), list...), g.All)
	}
	for _, c := range list {
		end, _ := c.Curve.At(c.Curve.LastTime)
		alive, limits := percent(end.Survival), "-"
		if end.HasLimits {
			limits = between(end.Low, end.High)
		}
		half := "not reached"
		if at, ok := c.Curve.Median(); ok {
			half = "day " + count(at)
		}
		t.rows = append(t.rows, []string{c.Class, count(float64(c.Batches)), count(float64(c.Number)), count(float64(c.Died)),
			alive, limits, "day " + count(c.Curve.LastTime), half})
	}
	return t
}

// lossTest puts the log-rank test into words.
func lossTest(g season.LossGroup) string {
	if !g.HasTest {
		return "Classes were not compared: " + g.TestNote + "."
	}
	var seen []string
	for _, t := range g.Test.Groups {
		seen = append(seen, fmt.Sprintf("%s %d deaths, %s expected", t.Name, t.Observed, quantity.FormatNumber(t.Expected, 4)))
	}
	return fmt.Sprintf("Log-rank test over the classes: chi-square %s, %s, %s (%s). The test takes every animal as independent "+
		"and every class as watched alike; animals of one tank are neither, so a small p is a hint, not a proof.",
		quantity.FormatNumber(g.Test.ChiSquare, 4), quantity.Counted(g.Test.DegreesOfFreedom, "degree of freedom", "degrees of freedom"),
		pText(g.Test.PValue), strings.Join(seen, "; "))
}
