package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc/season"
	"spatsheet/protocols/quantity"
	"spatsheet/render/style"
)

const dayForm = "2006-01-02"

// contents puts a season report into words, tables and figures.
func contents(r season.Report, stamp time.Time) document {
	d := document{
		title:    "Season report",
		subtitle: fmt.Sprintf("%s, batches started %s to %s", strings.Join(sites(r), "; "), r.From.Format(dayForm), r.To.Format(dayForm)),
	}
	d.facts = [][2]string{
		{"Species", strings.Join(unique(r, func(b season.Batch) string { return b.Sheet.Plan.Species }), ", ")},
		{"Batches", count(float64(len(r.Season.Batches)))},
		{"Protocols", strings.Join(unique(r, func(b season.Batch) string { return b.Sheet.Protocol.Ref() }), ", ")},
		{"State", "season log as of " + stamp.UTC().Format("2006-01-02 15:04") + " UTC, the latest revision of every batch"},
		{"Deviations", fmt.Sprintf("%s, %s, %s; %d between batches; %s; %s", quantity.Counted(r.Deviations.Errors, "error", "errors"),
			quantity.Counted(r.Deviations.Warnings, "warning", "warnings"), quantity.Counted(r.Deviations.NotDone, "box not done", "boxes not done"),
			r.Deviations.Between, quantity.Counted(r.Deviations.WithoutAny, "batch without any of its own", "batches without any of their own"),
			quantity.Counted(len(r.Deviations.Corrections), "correction", "corrections"))},
	}
	d.sections = []section{done(r), permits(r), stages(r)}
	d.sections = append(d.sections, losses(r)...)
	for _, s := range []func(season.Report) section{spawning, larvae, growth, comparisons, water, deviations, corrections, method} {
		if section := s(r); len(section.parts) > 0 {
			d.sections = append(d.sections, section)
		}
	}
	d.sections = slices.DeleteFunc(d.sections, func(s section) bool { return len(s.parts) == 0 })
	return d
}

func sites(r season.Report) []string {
	return unique(r, func(b season.Batch) string {
		if b.Sheet.Site.Code == "" {
			return b.Sheet.Site.Name
		}
		return b.Sheet.Site.Name + " (" + b.Sheet.Site.Code + ")"
	})
}

// unique lists what the batches have, sorted, each once.
func unique(r season.Report, of func(season.Batch) string) []string {
	var out []string
	for _, b := range r.Season.Batches {
		out = append(out, of(b))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// done is what was done, and what came of it, by species.
func done(r season.Report) section {
	s := section{title: "What was done"}
	s.put(workTable(r))
	if len(r.Totals) > 0 {
		s.put(totalsTable(r))
		s.note("Eggs, larvae, spat and cells are estimates from subsamples. Batches that hand animals on to one another count " +
			"them again at each stage: lines are not to be added up.")
		for _, a := range r.Apart {
			s.note(fmt.Sprintf("%s, by %s: handed over is %s; the stage \"%s\" counts %s.", a.Label, a.Protocol, a.From, a.Stage, a.OutFrom))
		}
	}
	return s
}

func workTable(r season.Report) grid {
	g := grid{caption: "Batches by species and protocol", columns: []column{{"Species", false}, {"Protocol", false},
		{"Batches", true}, {"First start", true}, {"Last start", true}}}
	type key struct{ species, protocol string }
	starts := map[key][]time.Time{}
	titles := map[key]string{}
	var order []key
	for _, b := range r.Season.Batches {
		k := key{b.Sheet.Plan.Species, b.Sheet.Protocol.Ref()}
		if starts[k] == nil {
			order = append(order, k)
		}
		starts[k] = append(starts[k], b.Sheet.Plan.Start)
		titles[k] = b.Sheet.Protocol.Title
	}
	slices.SortStableFunc(order, func(a, b key) int { return strings.Compare(a.species, b.species) })
	for _, k := range order {
		list := starts[k]
		g.rows = append(g.rows, []string{k.species, titles[k] + " (" + k.protocol + ")", count(float64(len(list))),
			list[0].Format(dayForm), list[len(list)-1].Format(dayForm)})
	}
	return g
}

func totalsTable(r season.Report) grid {
	g := grid{caption: "Handed over by the batches", columns: []column{{"Species", false}, {"What", false},
		{"By protocol", false}, {"Batches", true}, {"Total", true}, {"Unit", false}}}
	list := slices.Clone(r.Totals)
	slices.SortStableFunc(list, func(a, b season.Total) int { return strings.Compare(a.Species, b.Species) })
	for _, t := range list {
		what := t.Label
		if t.Mean {
			what += ", mean of batches"
		}
		g.rows = append(g.rows, []string{t.Species, what, t.Protocol, count(float64(t.Batches)), number(t.Number), t.Unit})
	}
	return g
}

// permits is what permit offices ask for: taken, put back, injured, died, released.
func permits(r season.Report) section {
	s := section{title: "Animals taken and released, by site"}
	if len(r.Collections) > 0 {
		g := grid{caption: "Collections", columns: []column{{"Batch", false}, {"Date", false}, {"Shore", false}, {"Permit", false}, {"Species", false},
			{"Taken", true}, {"Put back", true}, {"Kept", true}, {"Injured", true}, {"Dead on arrival", true}, {"Alive", true}}}
		sums := [6]season.Figure{}
		for _, c := range r.Collections {
			row := []string{c.Batch, c.Start.Format(dayForm), c.Shore, c.Permit, c.Species}
			for i, k := range []season.Figure{c.Taken, c.Returned, c.Kept, c.Injured, c.Dead, c.Landed} {
				row = append(row, figureText(k))
				sums[i] = season.Figure{Number: sums[i].Number + k.Number, Has: sums[i].Has || k.Has}
			}
			g.rows = append(g.rows, row)
		}
		g.sum(sums[:], 5)
		s.put(g)
	}
	if len(r.Outplantings) > 0 {
		s.put(outplantings(r))
		s.note("Seen alive is the least that lives: animals not seen may be alive, dead or gone.")
	}
	return s
}

func outplantings(r season.Report) grid {
	g := grid{caption: "Releases", columns: []column{{"Batch", false}, {"Start", false}, {"Shore", false}, {"Permit", false},
		{"Parents", false}, {"Mark", false}, {"Died before", true}, {"Released", true}, {"Seen alive", true}, {"Shells", true}, {"Last visit", true}}}
	for _, o := range r.Outplantings {
		visit := "-"
		if o.HasVisit {
			visit = o.LastVisit.Format(dayForm)
		}
		g.rows = append(g.rows, []string{o.Batch, o.Start.Format(dayForm), o.Shore, o.Permit, o.Parents, o.Mark,
			figureText(o.Lost), figureText(o.Released), figureText(o.Seen), figureText(o.Shells), visit})
	}
	return g
}

// sum adds a last row of sums from a column on, when there are rows to add up.
func (g *grid) sum(sums []season.Figure, from int) {
	if len(g.rows) < 2 {
		return
	}
	row := make([]string, from)
	row[0] = "all"
	for _, k := range sums {
		row = append(row, figureText(k))
	}
	g.bold = map[int]bool{len(g.rows): true}
	g.rows = append(g.rows, row)
}

func figureText(k season.Figure) string {
	if !k.Has {
		return "-"
	}
	return number(k.Number)
}

// count writes a whole number in full.
func count(x float64) string { return quantity.FormatNumber(x, 0) }

// number writes counts in full below 10 000 and estimates to three figures.
func number(x float64) string {
	if x == float64(int64(x)) && x < 10000 {
		return quantity.FormatNumber(x, 0)
	}
	return style.Powers(quantity.FormatNumber(x, 3))
}

// percent writes a share.
func percent(x float64) string { return quantity.FormatNumber(x*100, 3) + " %" }

// between writes an interval of shares.
func between(low, high float64) string {
	return quantity.FormatNumber(low*100, 3) + " to " + quantity.FormatNumber(high*100, 3) + " %"
}

// pText writes a p value.
func pText(p float64) string {
	if p < 0.0001 {
		return "p < 0.0001"
	}
	return "p = " + quantity.FormatNumber(p, 2)
}
