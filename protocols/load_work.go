package protocols

import (
	"maps"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

func (l *loader) step(n document.Node, index int) Step {
	f := n.Fields(keysOf["step"]...)
	s := Step{
		ID:    l.matching(f.Need("id"), idPattern, "small letters, digits and hyphens"),
		Title: f.Need("title").Text(), Do: f.Need("do").Text(),
	}
	l.declare(f.Get("id"), "step "+s.ID)
	if f.Has("at") {
		l.timed[index] = true
		l.formulas = append(l.formulas, pendingFormula{at: l.hours(f.Get("at")), unit: quantity.MustUnit("h"), over: &l.times,
			put: func(x *formula.Formula) { l.p.Steps[index].At = x }})
	}
	s.Until, s.DoneAt = f.Get("until").Text(), f.Get("done_at").Text()
	if f.Has("every") {
		l.formulas = append(l.formulas, pendingFormula{at: l.hours(f.Get("every")), unit: quantity.MustUnit("h"), over: &l.times,
			put: func(x *formula.Formula) { l.p.Steps[index].Every = x }})
	}
	s.Signed = map[string]int{"no": 0, "one": 1, "two": 2}[f.OneOf("signed", "no", "one", "two")]
	if f.Has("amounts") {
		s.Amounts = f.Get("amounts").Texts()
	}
	for _, e := range f.Get("entries").List() {
		at := len(s.Entries)
		s.Entries = append(s.Entries, l.entry(e, "", func() *Entry { return &l.p.Steps[index].Entries[at] }))
	}
	for _, t := range f.Get("tables").List() {
		s.Tables = append(s.Tables, l.table(t, index, len(s.Tables)))
	}
	return s
}

// hours lets a step's time be a plain quantity, such as 2 h or -30 min, which becomes the
// formula 2 * hour; anything else is a formula over settings, amounts and units of time.
func (l *loader) hours(n document.Node) document.Node {
	q, err := quantity.Parse(n.Text())
	if err != nil {
		return n
	}
	inHours, err := q.In(quantity.MustUnit("h"))
	if err != nil {
		n.Fault("%s; write a time after the start, such as \"2 h\" or \"-1 h\"", err)
		return document.Node{}
	}
	return n.WithText(strconv.FormatFloat(inHours.Value(), 'f', -1, 64) + " * hour")
}

func (l *loader) table(n document.Node, step, index int) Table {
	f := n.Fields(keysOf["table"]...)
	t := Table{
		ID:    l.matching(f.Need("id"), entryPattern, "small letters, digits and _"),
		Title: f.Need("title").Text(), RowLabel: f.Get("row").Text(), RowCount: f.Get("count").Text(),
		Partial: l.truth(f, "partial"), Shows: f.Get("shows").Texts(),
		Labels: Labels(f.OneOf("labels", string(LabelsByCount), string(Labelled), string(NoLabels))),
	}
	l.declare(f.Get("id"), t.ID)
	if f.Has("rows") {
		t.Rows = f.Get("rows").Texts()
	}
	switch {
	case f.Has("rows") == f.Has("count"):
		f.At().Fault("a table has either rows: [names] or count: an amount or setting, with row: the word before the number")
	case f.Has("count"):
		f.Need("row")
	case t.Labels == Labelled:
		f.Get("labels").Fault("labels are made for rows that are counted; give count: and row: instead of rows:")
	}
	for _, c := range f.Need("columns").List() {
		at := len(t.Columns)
		t.Columns = append(t.Columns, l.entry(c, t.ID+".", func() *Entry { return &l.p.Steps[step].Tables[index].Columns[at] }))
	}
	return t
}

func (l *loader) check(n document.Node, index int) Check {
	f := n.Fields(keysOf["check"]...)
	c := Check{
		ID:    l.matching(f.Need("id"), idPattern, "small letters, digits and hyphens"),
		Level: Level(f.OneOf("level", string(Error), string(Warning), string(Note))),
		At:    f.Need("at").Text(), Says: f.Need("says").Text(), Remedy: f.Need("remedy").Text(),
	}
	l.declare(f.Get("id"), "check "+c.ID)
	c.Each = f.Get("each").Text()
	l.formulas = append(l.formulas, pendingFormula{at: f.Need("rule"), truth: true, over: &l.readings, each: c.Each,
		put: func(x *formula.Formula) { l.p.Checks[index].Rule = x }})
	return c
}

func (l *loader) stage(n document.Node, index int) StageCount {
	f := n.Fields(keysOf["stage"]...)
	s := StageCount{
		ID:    l.matching(f.Need("id"), idPattern, "small letters, digits and hyphens"),
		Label: f.Need("label").Text(), InUnit: l.unit(f.Need("in_unit"), "in of "+f.Get("id").Text()),
		OutUnit: l.unit(f.Need("out_unit"), "out of "+f.Get("id").Text()),
	}
	l.declare(f.Get("id"), "stage "+s.ID)
	l.formulas = append(l.formulas,
		pendingFormula{at: f.Need("in"), name: "in of " + s.ID, unit: s.InUnit, over: &l.readings, put: func(x *formula.Formula) { l.p.Stages[index].In = x }},
		pendingFormula{at: f.Need("out"), name: "out of " + s.ID, unit: s.OutUnit, over: &l.readings, put: func(x *formula.Formula) { l.p.Stages[index].Out = x }})
	return s
}

// ExampleUnits are the names that formulas of examples know besides settings, amounts and
// readings: the number of the row, and units of time.
var ExampleUnits = map[string]quantity.Unit{
	"row": {}, "hour": quantity.MustUnit("h"), "day": quantity.MustUnit("d"), "minute": quantity.MustUnit("min"),
}

// compile compiles every formula, now that all names are known, and holds its dimension
// against the declared unit.
func (l *loader) compile() {
	for name, n := range l.scope {
		l.readings[name] = n
	}
	for name, n := range l.readings {
		l.examples[name] = n
	}
	for name, n := range l.scope {
		l.times[name] = n
	}
	for i := range l.p.Steps {
		if s := &l.p.Steps[i]; l.timed[i] {
			l.times[s.TimeName()] = formula.Name{Dimension: quantity.MustUnit("h").Dimension()}
			l.examples[s.TimeName()] = l.times[s.TimeName()]
		}
	}
	for name, unit := range ExampleUnits {
		l.examples[name] = formula.Name{Dimension: unit.Dimension()}
		if name != "row" {
			l.times[name] = l.examples[name]
		}
	}
	for _, pending := range l.formulas {
		if pending.at.Present() && !l.isDoubtful(pending) {
			l.compileOne(pending)
		}
	}
}

func (l *loader) compileOne(pending pendingFormula) {
	scope := *pending.over
	if pending.each != "" {
		scope = rowScope(scope, pending.each)
	}
	f, err := formula.Compile(pending.at.Text(), scope, l.functions)
	switch {
	case err != nil:
		faultInside(pending.at, err)
	case pending.truth && !f.IsTruth():
		pending.at.Fault("a rule must be a comparison, such as settled <= stocked")
	case !pending.truth && f.IsTruth():
		pending.at.Fault("this gives true or false; a number in %s is wanted", pending.unit.Symbol())
	case pending.loose && f.Dimension() == quantity.None: // a bare number in the entry's unit
		pending.put(f)
	case !pending.truth && f.Dimension() != pending.unit.Dimension():
		pending.at.Fault("the formula comes out as %s, but the declared unit %q is %s", f.Dimension(), pending.unit.Symbol(), pending.unit.Dimension())
	default:
		pending.put(f)
	}
}

// rowScope is a scope in which the columns of a table stand for one row of it.
func rowScope(scope formula.Scope, table string) formula.Scope {
	out := maps.Clone(scope)
	for name, n := range out {
		if strings.HasPrefix(name, table+".") {
			n.Column = false
			out[name] = n
		}
	}
	return out
}

// placeEntries marks the entries that are worked out from tables of their step, also by
// way of other such entries.
func (l *loader) placeEntries() {
	for i := range l.p.Steps {
		step := &l.p.Steps[i]
		after := map[string]bool{}
		for _, t := range step.Tables {
			for _, c := range t.Columns {
				after[t.ID+"."+c.ID] = true
			}
		}
		for again := true; again; {
			again = false
			for e := range step.Entries {
				entry := &step.Entries[e]
				if entry.FromTables || entry.WorksOut == nil || !slices.ContainsFunc(entry.WorksOut.Names(), func(name string) bool { return after[name] }) {
					continue
				}
				entry.FromTables, after[entry.ID], again = true, true, true
			}
		}
	}
}

// word finds the names in a formula's text.
var word = regexp.MustCompile(`[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?`)

// isDoubtful says whether a formula hangs on a unit that could not be read.
func (l *loader) isDoubtful(pending pendingFormula) bool {
	if l.doubtful[pending.name] {
		return true
	}
	return slices.ContainsFunc(word.FindAllString(pending.at.Text(), -1), func(name string) bool { return l.doubtful[name] })
}

func faultInside(n document.Node, err error) {
	if fe, ok := err.(*formula.Error); ok {
		n.FaultInside(fe.Line, fe.Column, "%s", fe.Says)
		return
	}
	n.Fault("%s", err)
}

// orderAmounts sorts the amounts so that each comes after those it needs, and refuses
// circles, naming every amount in the circle.
func (l *loader) orderAmounts() {
	index := map[string]int{}
	for i, a := range l.p.Amounts {
		if _, taken := l.p.Setting(a.ID); !taken { // told already
			index[a.ID] = i
		}
	}
	state := make([]int, len(l.p.Amounts)) // 0 new, 1 being visited, 2 done
	var path []string
	var visit func(i int) bool
	visit = func(i int) bool {
		a := l.p.Amounts[i]
		if state[i] == 2 {
			return true
		}
		if state[i] == 1 {
			l.nodes[a.ID].Fault("amounts need each other in a circle: %s; break it with a setting", circle(path, a.ID))
			return false
		}
		state[i] = 1
		path = append(path, a.ID)
		for _, need := range needs(a) {
			if j, ok := index[need]; ok && !visit(j) {
				return false
			}
		}
		path = path[:len(path)-1]
		state[i] = 2
		l.p.Order = append(l.p.Order, i)
		return true
	}
	for i := range l.p.Amounts {
		if !visit(i) {
			return
		}
	}
}

func needs(a Amount) []string {
	var out []string
	if a.Formula != nil {
		out = append(out, a.Formula.Names()...)
	}
	if a.Split != "" {
		out = append(out, a.Split)
	}
	sort.Strings(out)
	return out
}

func circle(path []string, again string) string {
	s, inside := "", false
	for _, id := range path {
		inside = inside || id == again
		if inside {
			s += id + " → "
		}
	}
	return s + again
}
