package season

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/stats"
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
// Readings it goes by: for all animals, a table with columns dead, removed and alive, a
// row a day. By class, exactly: a table with columns class, day, dead, removed, with the
// numbers at the start in table classes, column came_in. By class, by intervals: table
// classes with came_in, day_N and at_end, where deaths are dated at the end of the
// interval in which they fell, so that the curve is an upper bound between the counts.
// Source: stats.KaplanMeier, log-log limits; stats.LogRank over classes.
func losses(all []Batch) []LossGroup {
	index := map[[2]string]int{}
	var out []LossGroup
	for _, b := range all {
		fates := b.asked().fates
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
	last := 0 // the last day of which there is a count
	for _, t := range f.tables {
		if t.hasAll("dead", "removed", "alive") && !t.hasAll("class") {
			out.all, last = dailyFates(f, t, &out.notes)
			break
		}
	}
	for _, t := range f.tables {
		if t.hasAll("class", "day", "dead", "removed") {
			out.classes = exactFates(f, t, last, &out.notes)
			return out
		}
	}
	out.classes = intervalFates(f, last, &out.notes)
	return out
}

// dailyFates reads a row a day. Deaths of a day that was not looked at are not known, so
// that a batch with a gap is left out.
func dailyFates(f filled, t filledTable, notes *[]string) (list []stats.Observation, last int) {
	dead, removed, alive := f.column(t, "dead"), f.column(t, "removed"), f.column(t, "alive")
	if len(dead) == 0 || len(alive) == 0 {
		return nil, 0
	}
	last = dead[len(dead)-1].row
	if len(dead) != last || len(removed) != last || alive[len(alive)-1].row != last {
		*notes = append(*notes, fmt.Sprintf("%s is left out of the curve of all animals: a day's dead, removed or alive is not written down", f.batch.Sheet.Plan.Batch))
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
func exactFates(f filled, t filledTable, last int, notes *[]string) []classFates {
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
	started := classStarts(f)
	for _, s := range started {
		of(s.class)
	}
	lost, end := map[string]float64{}, float64(last)
	for row := range t.labels {
		key := func(column string) calc.Key { return calc.RowKey(t.definition.ID, row+1, column) }
		day, ok := f.number(string(key("day")))
		if !ok {
			continue
		}
		class := f.text(string(key("class")))
		c := of(class)
		dead, _ := f.number(string(key("dead")))
		removed, _ := f.number(string(key("removed")))
		c.observations = observe(c.observations, day, true, dead)
		c.observations = observe(c.observations, day, false, removed)
		lost[class] += dead + removed
		end = math.Max(end, day)
	}
	for _, s := range started {
		if lost[s.class] > s.number {
			*notes = append(*notes, fmt.Sprintf("%s, class %s: more were lost than came in", f.batch.Sheet.Plan.Batch, s.class))
			continue
		}
		c := of(s.class)
		c.observations = observe(c.observations, end, false, s.number-lost[s.class])
	}
	return out
}

type classStart struct {
	class  string
	number float64
}

// classStarts reads how many animals of each class came in.
func classStarts(f filled) []classStart {
	t, ok := f.table("classes")
	if !ok || !t.hasAll("came_in") {
		return nil
	}
	var out []classStart
	for _, c := range f.column(t, "came_in") {
		out = append(out, classStart{t.labels[c.row-1], c.number})
	}
	return out
}

// intervalFates reads the numbers of each class alive at given days.
func intervalFates(f filled, last int, notes *[]string) []classFates {
	t, ok := f.table("classes")
	if !ok || last == 0 {
		return nil
	}
	looks := classLooks(t, last)
	if len(looks) == 0 {
		return nil
	}
	var out []classFates
	for _, start := range f.column(t, "came_in") {
		c, ok := oneClass(f, t, start, looks)
		if !ok {
			*notes = append(*notes, fmt.Sprintf("%s, class %s: a count is missing or rises; left out", f.batch.Sheet.Plan.Batch, t.labels[start.row-1]))
			continue
		}
		out = append(out, c)
	}
	if len(out) > 0 {
		*notes = append(*notes, "classes were counted on some days only: deaths are dated on the day of the count that missed them")
	}
	removed := 0.0
	if daily, ok := f.tableWith("dead", "removed", "alive"); ok {
		for _, c := range f.column(daily, "removed") {
			removed += c.number
		}
	}
	if removed > 0 {
		*notes = append(*notes, fmt.Sprintf("%s: %g animals were taken out alive; their class is not written down, so they count among the losses of their class", f.batch.Sheet.Plan.Batch, removed))
	}
	return out
}

func (f filled) tableWith(columns ...string) (filledTable, bool) {
	for _, t := range f.tables {
		if t.hasAll(columns...) {
			return t, true
		}
	}
	return filledTable{}, false
}

// look is a column of the table of classes and its day.
type look struct {
	column string
	day    float64
}

// classLooks are the columns day_N and at_end, by day; at_end is the last day counted.
func classLooks(t filledTable, last int) []look {
	var out []look
	for _, c := range t.definition.Columns {
		if digits, ok := strings.CutPrefix(c.ID, "day_"); ok {
			if day, err := strconv.ParseFloat(digits, 64); err == nil && day < float64(last) {
				out = append(out, look{c.ID, day})
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].day < out[j].day })
	if _, ok := t.has("at_end"); ok {
		out = append(out, look{"at_end", float64(last)})
	}
	return out
}

func oneClass(f filled, t filledTable, start cell, looks []look) (classFates, bool) {
	c := classFates{class: t.labels[start.row-1]}
	left := start.number
	for _, l := range looks {
		now, ok := f.number(string(calc.RowKey(t.definition.ID, start.row, l.column)))
		if !ok || now > left {
			return c, false
		}
		c.observations = observe(c.observations, l.day, true, left-now)
		left = now
	}
	c.observations = observe(c.observations, looks[len(looks)-1].day, false, left)
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
