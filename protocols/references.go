package protocols

import (
	"regexp"
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/quantity"
	"spatsheet/protocols/spelling"
)

// placeholder is {name} in a step's instructions.
var placeholder = regexp.MustCompile(`\{([a-z][a-z0-9_.]*)\}`)

// Placeholders fills every {name} of a step's instructions with what show returns.
func Placeholders(text string, show func(name string) string) string {
	if !strings.Contains(text, "{") { // the pattern costs more
		return text
	}
	return placeholder.ReplaceAllStringFunc(text, func(m string) string { return show(strings.Trim(m, "{}")) })
}

// references checks every name that one part of the protocol uses for another.
func (l *loader) references(f document.Fields) {
	l.stepReferences(f)
	l.timetableReferences(f)
	for i, n := range f.Get("amounts").List() {
		if split := l.p.Amounts[i].Split; split != "" {
			l.wantCount(n.Field("split"), split, "split")
		}
	}
	for i, n := range f.Get("limits").List() {
		limit := l.p.Limits[i]
		needs, has := l.scope[limit.Needs], l.scope[limit.Has]
		if l.wantValue(n.Field("needs"), limit.Needs) && l.wantValue(n.Field("has"), limit.Has) && needs.Dimension != has.Dimension {
			n.Fault("limit %q compares a %s with a %s", limit.What, needs.Dimension, has.Dimension)
		}
	}
	for i, n := range f.Get("materials").List() {
		if id := l.p.Materials[i].Amount; id != "" {
			l.wantValue(n.Field("amount"), id)
		}
	}
	for i, n := range f.Get("checks").List() {
		if c := l.p.Checks[i]; c.Each != "" && !strings.HasPrefix(c.At, c.Each+".") {
			n.Field("at").Fault("a rule for each row of %q shows its finding at a column of it, such as %s.%s", c.Each, c.Each, c.At)
		}
		if _, ok := l.nodes[l.p.Checks[i].At]; !ok {
			n.Field("at").Fault("there is no entry %q to show the finding at", l.p.Checks[i].At)
		}
	}
	l.cautionReferences(f)
	if len(l.p.Changes) > 0 && l.p.Changes[0].Version != l.p.Version {
		f.Get("changes").Fault("the first change note is for version %s; the newest, %s, comes first", l.p.Changes[0].Version, l.p.Version)
	}
}

func (l *loader) cautionReferences(f document.Fields) {
	for i, n := range f.Get("cautions").List() {
		for _, id := range l.p.Cautions[i].Steps {
			found := false
			for s := range l.p.Steps {
				if l.p.Steps[s].ID == id {
					l.p.Steps[s].Cautions = append(l.p.Steps[s].Cautions, l.p.Cautions[i].ID)
					found = true
				}
			}
			if !found {
				n.Field("steps").Fault("there is no step %q", id)
			}
		}
	}
}

func (l *loader) stepReferences(f document.Fields) {
	for i, n := range f.Get("steps").List() {
		step := l.p.Steps[i]
		for _, id := range step.Amounts {
			l.wantValue(n.Field("amounts"), id)
		}
		for _, m := range placeholder.FindAllStringSubmatch(step.Do, -1) {
			l.wantValue(n.Field("do"), m[1])
		}
		for e, en := range n.Field("entries").List() {
			l.entryReferences(en, step.Entries[e])
		}
		for t, tn := range n.Field("tables").List() {
			l.tableReferences(tn, step.Tables[t])
		}
	}
}

func (l *loader) tableReferences(n document.Node, t Table) {
	if t.RowCount != "" {
		l.wantCount(n.Field("count"), t.RowCount, "count")
	}
	for _, id := range t.Shows {
		a, ok := l.p.Amount(id)
		if !ok || a.Split == "" || a.Split != t.RowCount {
			n.Field("shows").Fault("%q must be an amount split over %q, the same that counts the rows", id, t.RowCount)
		}
	}
	for c, cn := range n.Field("columns").List() {
		l.entryReferences(cn, t.Columns[c])
	}
}

func (l *loader) entryReferences(n document.Node, e Entry) {
	if e.Planned == "" {
		return
	}
	a, ok := l.p.Amount(e.Planned)
	switch {
	case !ok:
		n.Field("planned").Fault("there is no amount %q", e.Planned)
	case a.Unit.Dimension() != e.Unit.Dimension():
		n.Field("planned").Fault("the entry is a %s, the amount %q a %s", e.Unit.Dimension(), e.Planned, a.Unit.Dimension())
	}
}

func (l *loader) wantValue(n document.Node, id string) bool {
	if _, ok := l.scope[id]; ok {
		return true
	}
	known := make([]string, 0, len(l.scope))
	for name := range l.scope {
		known = append(known, name)
	}
	if near, ok := spelling.Nearest(id, known); ok {
		n.Fault("there is no setting or amount %q; did you mean %q?", id, near)
		return false
	}
	n.Fault("there is no setting or amount %q", id)
	return false
}

// wantCount refuses a number of rows or vessels that is not certain to be whole. Rows may
// also be counted in days; vessels must be things or a pure number.
func (l *loader) wantCount(n document.Node, id, key string) {
	if !l.wantValue(n, id) {
		return
	}
	whole := false
	if a, ok := l.p.Amount(id); ok {
		whole = a.Round.To == RoundWhole
	} else if s, ok := l.p.Setting(id); ok {
		whole = s.Whole
	}
	_, counted := l.scope[id].Dimension.CountOf()
	if !whole || (key == "split" && !counted && l.scope[id].Dimension != quantity.None) {
		n.Fault("%s: %q must be a whole count (round: {to: whole}, or whole: yes)", key, id)
	}
}
