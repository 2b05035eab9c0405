package report

import (
	"fmt"
	"time"

	"spatsheet/calc/season"
	"spatsheet/protocols/quantity"
)

// spawning is the share of females that spawned, by date and by gonad index.
func spawning(r season.Report) section {
	s := section{title: "Spawning"}
	if len(r.Spawnings) == 0 {
		return s
	}
	figures := pictures{spawningByDate(r)}
	if byIndex := spawningByIndex(r); len(byIndex.series) > 0 {
		figures = append(figures, byIndex)
	}
	s.put(figures)
	g := grid{columns: []column{{"Batch", false}, {"Date", false}, {"Species", false}, {"Induced by", false}, {"Females", true},
		{"Spawned", true}, {"Share", true}, {"95 % limits", true}, {"Gonad index", false}}}
	for _, x := range r.Spawnings {
		index := "no check in 28 days before"
		if x.HasIndex {
			index = quantity.FormatNumber(x.GonadIndex, 3) + " % (" + x.IndexFrom + ")"
		}
		g.rows = append(g.rows, []string{x.Batch, x.Start.Format(dayForm), x.Species, dash(x.InducedBy),
			count(float64(x.Females)), count(float64(x.Spawned)), percent(x.Share.Estimate), between(x.Share.Low, x.Share.High), index})
	}
	s.put(g)
	s.note("Points with Wilson's 95 % interval. No line is drawn through them: date, ripeness and the way of inducing change " +
		"together, and few spawnings cannot tell them apart.")
	return s
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func spawningByDate(r season.Report) *figure {
	from, to := r.Spawnings[0].Start, r.Spawnings[0].Start
	for _, x := range r.Spawnings {
		if x.Start.After(to) {
			to = x.Start
		}
	}
	f := &figure{x: dateAxis(from, from, to, 3), y: shareAxis("females that spawned, %"), height: 52, caption: "Females that spawned, by date."}
	f.series = bySpecies(r, func(x season.SpawningShare) (float64, bool) { return dayOf(from, x.Start), true })
	return f
}

func spawningByIndex(r season.Report) *figure {
	highest := 10.0
	for _, x := range r.Spawnings {
		highest = max(highest, x.GonadIndex)
	}
	f := &figure{x: niceAxis("mean gonad index of the check before, %", 0, highest, 5), y: shareAxis("females that spawned, %"),
		height: 52, caption: "The same by gonad index."}
	f.series = bySpecies(r, func(x season.SpawningShare) (float64, bool) { return x.GonadIndex, x.HasIndex })
	return f
}

// bySpecies makes a series of points for each species.
func bySpecies(r season.Report, x func(season.SpawningShare) (float64, bool)) []series {
	var out []series
	look := map[string]int{}
	index := map[string]int{}
	for _, s := range r.Spawnings {
		if _, ok := look[s.Species]; !ok {
			look[s.Species] = len(look)
		}
		at, ok := x(s)
		if !ok {
			continue
		}
		i, ok := index[s.Species]
		if !ok {
			i = len(out)
			index[s.Species] = i
			out = append(out, series{look: look[s.Species], marker: true, label: s.Species})
		}
		out[i].points = append(out[i].points, point{x: at, y: 100 * s.Share.Estimate, yLow: 100 * s.Share.Low, yTop: 100 * s.Share.High, hasY: true})
	}
	return out
}

// larvae is the larvae alive at the changes of water, a figure for each species.
func larvae(r season.Report) section {
	s := section{title: "Larvae"}
	var order []string
	bySpecies := map[string][]season.LarvalCurve{}
	for _, c := range r.Larvae {
		if bySpecies[c.Species] == nil {
			order = append(order, c.Species)
		}
		bySpecies[c.Species] = append(bySpecies[c.Species], c)
	}
	var row pictures
	for _, species := range order {
		row = append(row, larvalFigure(species, bySpecies[species]))
		if len(row) == 2 {
			s.put(row)
			row = nil
		}
	}
	if len(row) > 0 {
		s.put(row)
	}
	if len(order) > 0 {
		s.note("Larvae alive as a share of the first count of the batch. Every count is an estimate from subsamples; differences " +
			"of a tenth are often no more than the counting.")
	}
	return s
}

func larvalFigure(species string, list []season.LarvalCurve) *figure {
	last, highest, label := 1.0, 1.0, "days from fertilisation"
	for _, c := range list {
		for _, p := range c.Points {
			last, highest = max(last, p.Days), max(highest, p.Share)
		}
		if !c.FromFertilised {
			label = "days from fertilisation or, where not known, from the start"
		}
	}
	f := &figure{x: daysAxis(label, last), y: shareAxis("larvae alive, % of the first count"), height: heightNamed(len(list)),
		caption: species + ": larvae alive by age, one curve a batch."}
	if highest > 1.001 {
		f.y = niceAxis(f.y.label, 0, 100*highest, 6)
	}
	for i, c := range list {
		x := series{label: c.Batch, look: i, line: true, marker: true}
		for _, p := range c.Points {
			x.points = append(x.points, point{x: p.Days, y: 100 * p.Share})
		}
		f.series = append(f.series, x)
	}
	f.nameFew(120)
	return f
}

// growth is mean lengths over time.
func growth(r season.Report) section {
	s := section{title: "Growth"}
	var rows [][]string
	f := &figure{beside: true, caption: "Mean shell length by date of the batches measured more than once, one line a batch; bars " +
		"are Student's 95 % limits of the sample."}
	var from, to time.Time
	for _, g := range r.Growth {
		rows = append(rows, growthRow(g))
		if len(g.Samples) < 2 {
			continue
		}
		for _, x := range g.Samples {
			if from.IsZero() || x.At.Before(from) {
				from = x.At
			}
			if x.At.After(to) {
				to = x.At
			}
		}
	}
	highest := 1.0
	for _, g := range r.Growth {
		if len(g.Samples) < 2 {
			continue
		}
		line := series{label: g.Batch, look: len(f.series), line: true, marker: true}
		for _, x := range g.Samples {
			p := point{x: dayOf(from, x.At), y: x.Mean.Estimate, yLow: x.Mean.Low, yTop: x.Mean.High, hasY: x.HasLimits}
			line.points = append(line.points, p)
			highest = max(highest, p.y, p.yTop)
		}
		f.series = append(f.series, line)
	}
	if len(rows) == 0 {
		return s
	}
	f.x, f.y = dateAxis(from, from, to, 8), niceAxis("shell length, mm", 0, highest, 5)
	f.height = heightNamed(len(f.series))
	f.nameFew(heightNamed(0))
	if len(f.series) > 0 {
		s.put(pictures{f})
	}
	s.put(grid{columns: []column{{"Batch", false}, {"Cohort", false}, {"First sample", false}, {"Last sample", false},
		{"Growth, µm a day", true}}, rows: rows})
	s.note("Growth is the difference of the means over the days between. A mean is of the animals alive and in the sample then: " +
		"when small ones die or are taken out, the mean rises without growth.")
	return s
}

func growthRow(g season.Growth) []string {
	first, last := g.Samples[0], g.Samples[len(g.Samples)-1]
	rate, end := "-", "-"
	if len(g.Samples) > 1 {
		end = sampleText(last)
	}
	if g.HasRate {
		rate = quantity.FormatNumber(g.RateUMPerDay, 3)
	}
	return []string{g.Batch, dash(g.Cohort), sampleText(first), end, rate}
}

func sampleText(x season.LengthSample) string {
	say := x.At.Format(dayForm) + ": " + quantity.FormatNumber(x.Mean.Estimate, 3) + " mm"
	switch {
	case x.HasLimits:
		say += fmt.Sprintf(" (%s to %s; n = %d)", quantity.FormatNumber(x.Mean.Low, 3), quantity.FormatNumber(x.Mean.High, 3), x.Number)
	case x.Number == 0:
		say += " (mean as written)"
	}
	return say
}

// waterDecimals of temperature, salinity and pH, as meters at a hatchery are good for.
var waterDecimals = []int{1, 1, 2}

// water is temperature, salinity and pH of each batch.
func water(r season.Report) section {
	s := section{title: "Water"}
	if len(r.Water) == 0 {
		return s
	}
	g := grid{caption: "Lowest / mean / highest reading of each batch, and how many readings",
		columns: []column{{"Batch", false}, {"Protocol", false}, {"Temperature, °C", true}, {"n", true}, {"Salinity, PSU", true},
			{"n", true}, {"pH", true}, {"n", true}}}
	for _, w := range r.Water {
		row := []string{w.Batch, w.Protocol}
		for i, x := range []season.Spread{w.Temperature, w.Salinity, w.PH} {
			if x.Number == 0 {
				row = append(row, "-", "0")
				continue
			}
			row = append(row, fmt.Sprintf("%.*f / %.*f / %.*f", waterDecimals[i], x.Low, waterDecimals[i], x.Mean,
				waterDecimals[i], x.High), count(float64(x.Number)))
		}
		g.rows = append(g.rows, row)
	}
	s.put(g)
	return s
}
