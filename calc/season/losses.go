package season

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

// LossCurve is the survival over time of the animals of one class, all batches together.
type LossCurve struct {
	Class        string
	Batches      int
	Number       int // animals at the start
	Died         int // the others were last known alive: at the end, or taken out
	Observations []stats.Observation
	Curve        stats.SurvivalCurve
}

// LossGroup is what one protocol's batches of one species say about deaths over time.
type LossGroup struct {
	Protocol, Species string // Protocol without version
	All               LossCurve
	HasAll            bool
	Classes           []LossCurve
	Test              stats.LogRankResult
	HasTest           bool
	TestNote          string   // why there is no test
	Notes             []string // what the reader must know about these curves
}

// losses estimates survival over time from daily deaths, and by class.
//
// For all animals there is a row a day. Classes are counted exactly, a row for each loss;
// or by intervals, where deaths are dated at the end of the interval in which they fell, so
// that the curve is an upper bound between the counts.
// Source: stats.KaplanMeier, log-log limits; stats.LogRank over classes.
func losses(all []Batch) []LossGroup {
	index := map[[2]string]int{}
	var out []LossGroup
	for _, b := range all {
		fates := b.Told().fates
		if len(fates.all) == 0 && len(fates.classes) == 0 && len(fates.notes) == 0 {
			continue
		}
		key := [2]string{b.Sheet.Protocol.ID, b.Sheet.Plan.Species}
		g, ok := index[key]
		if !ok {
			g = len(out)
			index[key] = g
			out = append(out, LossGroup{Protocol: key[0], Species: key[1], All: LossCurve{Class: "all animals"}})
		}
		out[g].add(fates)
	}
	for i := range out {
		out[i].estimate()
	}
	return out
}

// fates is what became of the animals of one batch.
type fates struct {
	all     []stats.Observation
	classes []classFates // in the order of the sheet
	notes   []string
}

type classFates struct {
	class        string
	observations []stats.Observation
}

func fatesOf(f filled) fates {
	var out fates
	d := f.tells.Deaths
	if d == nil {
		return out
	}
	last := 0 // the last day of which there is a count
	if d.Dead != nil {
		out.all, last = dailyFates(f, d, &out.notes)
	}
	if d.Class != nil {
		out.classes = exactFates(f, d, last, &out.notes)
	} else {
		out.classes = intervalFates(f, d, last, &out.notes)
	}
	return out
}

// dailyFates reads a row a day. Deaths of a day that was not looked at are not known, so
// that a batch with a gap is left out.
func dailyFates(f filled, d *protocols.TellsDeaths, notes *[]string) (list []stats.Observation, last int) {
	dead, removed, alive := f.column(d.Dead), f.column(d.Removed), f.column(d.Alive)
	if len(dead) == 0 || len(alive) == 0 {
		return nil, 0
	}
	last = dead[len(dead)-1].row
	if len(dead) != last || len(removed) != last || alive[len(alive)-1].row != last {
		*notes = append(*notes, fmt.Sprintf("%s is left out of the curve of all animals: a day's dead, removed or alive "+
			"is not written down", f.batch.Sheet.Plan.Batch))
		return nil, last
	}
	for day := 1; day <= last; day++ {
		list = observe(list, float64(day), true, dead[day-1].number)
		list = observe(list, float64(day), false, removed[day-1].number)
	}
	return observe(list, float64(last), false, alive[len(alive)-1].number), last
}

func observe(list []stats.Observation, time float64, died bool, number float64) []stats.Observation {
	if number < 1 || time < 0 || number != math.Trunc(number) {
		return list
	}
	return append(list, stats.Observation{Time: time, Died: died, Number: int(number)})
}

// exactFates reads one row for each day, class and kind of loss.
func exactFates(f filled, d *protocols.TellsDeaths, last int, notes *[]string) []classFates {
	var out []classFates
	index := map[string]int{}
	of := func(class string) *classFates {
		i, ok := index[class]
		if !ok {
			i = len(out)
			index[class] = i
			out = append(out, classFates{class: class})
		}
		return &out[i]
	}
	started := f.column(d.ClassIn)
	for _, s := range started {
		of(f.label(d.ClassIn, s.row))
	}
	lost, end := map[string]float64{}, float64(last)
	for _, day := range f.column(d.ClassDay) {
		written, _ := f.reading(d.Class, day.row)
		class := wordsOf(written)
		c := of(class)
		dead, _ := f.reading(d.ClassDead, day.row)
		removed, _ := f.reading(d.ClassRemoved, day.row)
		c.observations = observe(c.observations, day.number, true, dead.Number)
		c.observations = observe(c.observations, day.number, false, removed.Number)
		lost[class] += dead.Number + removed.Number
		end = math.Max(end, day.number)
	}
	for _, s := range started {
		class := f.label(d.ClassIn, s.row)
		if lost[class] > s.number {
			*notes = append(*notes, fmt.Sprintf("%s, class %s: more were lost than came in", f.batch.Sheet.Plan.Batch, class))
			continue
		}
		c := of(class)
		c.observations = observe(c.observations, end, false, s.number-lost[class])
	}
	return out
}

// intervalFates reads the numbers of each class alive at given days.
func intervalFates(f filled, d *protocols.TellsDeaths, last int, notes *[]string) []classFates {
	counts := classCounts(f, d, last)
	if len(counts) == 0 || last == 0 {
		return nil
	}
	var out []classFates
	for _, start := range f.column(d.ClassIn) {
		c, ok := oneClass(f, f.label(d.ClassIn, start.row), start, counts)
		if !ok {
			*notes = append(*notes, fmt.Sprintf("%s, class %s: a count is missing or rises; left out", f.batch.Sheet.Plan.Batch, c.class))
			continue
		}
		out = append(out, c)
	}
	if len(out) > 0 {
		*notes = append(*notes, "classes were counted on some days only: deaths are dated on the day of the count that missed them")
	}
	removed := 0.0
	for _, c := range f.column(d.Removed) {
		removed += c.number
	}
	if removed > 0 {
		*notes = append(*notes, fmt.Sprintf("%s: %g animals were taken out alive; their class is not written down, so "+
			"they count among the losses of their class", f.batch.Sheet.Plan.Batch, removed))
	}
	return out
}

// classCount is a column of the table of classes and its day.
type classCount struct {
	alive *protocols.Field
	day   float64
}

// classCounts are the counts of classes by day, before the last day counted or on it.
func classCounts(f filled, d *protocols.TellsDeaths, last int) []classCount {
	var out []classCount
	for _, c := range d.ClassCounts {
		if c.At == nil {
			out = append(out, classCount{c.Alive, float64(last)})
			continue
		}
		after, err := f.batch.Sheet.Duration(c.At)
		if day := after.Hours() / 24; err == nil && day < float64(last) {
			out = append(out, classCount{c.Alive, day})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].day < out[j].day })
	return out
}

func oneClass(f filled, class string, start cell, counts []classCount) (classFates, bool) {
	c := classFates{class: class}
	left := start.number
	for _, l := range counts {
		now, ok := f.reading(l.alive, start.row)
		if !ok || now.Number > left {
			return c, false
		}
		c.observations = observe(c.observations, l.day, true, left-now.Number)
		left = now.Number
	}
	c.observations = observe(c.observations, counts[len(counts)-1].day, false, left)
	return c, true
}

func (g *LossGroup) add(f fates) {
	if len(f.all) > 0 {
		g.All.add(f.all)
	}
	for _, c := range f.classes {
		if len(c.observations) == 0 {
			continue
		}
		i := 0
		for i < len(g.Classes) && g.Classes[i].Class != c.class {
			i++
		}
		if i == len(g.Classes) {
			g.Classes = append(g.Classes, LossCurve{Class: c.class})
		}
		g.Classes[i].add(c.observations)
	}
	for _, note := range f.notes {
		if !slices.Contains(g.Notes, note) {
			g.Notes = append(g.Notes, note)
		}
	}
}

func (c *LossCurve) add(list []stats.Observation) {
	c.Batches++
	for _, o := range list {
		c.Number += o.Number
		if o.Died {
			c.Died += o.Number
		}
	}
	c.Observations = append(c.Observations, list...)
}

// estimate works out the curves and, over two classes or more, the log-rank test.
func (g *LossGroup) estimate() {
	g.HasAll = g.All.estimate(&g.Notes)
	var groups []stats.SurvivalGroup
	kept := g.Classes[:0]
	for _, c := range g.Classes {
		if c.estimate(&g.Notes) {
			kept = append(kept, c)
			groups = append(groups, stats.SurvivalGroup{Name: c.Class, Observations: c.Observations})
		}
	}
	g.Classes = kept
	if len(groups) < 2 {
		g.TestNote = "fewer than two classes have animals: there is nothing to compare"
		return
	}
	test, err := stats.LogRank(groups)
	if err != nil {
		g.TestNote = err.Error()
		return
	}
	g.Test, g.HasTest = test, true
}

func (c *LossCurve) estimate(notes *[]string) bool {
	if len(c.Observations) == 0 {
		return false
	}
	curve, err := stats.KaplanMeier(c.Observations, Confidence, stats.LimitsLogLog)
	if err != nil {
		*notes = append(*notes, fmt.Sprintf("%s: %v", c.Class, err))
		return false
	}
	c.Curve = curve
	return true
}
