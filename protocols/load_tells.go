package protocols

import (
	"slices"
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
	"spatsheet/protocols/spelling"
)

// The kinds of entry that do for words and for times, and for the number of a column.
var (
	wordKinds   = []EntryKind{KindText, KindChoice}
	numberKinds = []EntryKind{KindNumber, KindCount}
	dayKinds    = []EntryKind{KindDate, KindTime}
)

// teller reads one topic of tells, and remembers what it declares.
type teller struct {
	l     *loader
	topic string
	document.Fields
}

// tells reads what a protocol tells the season; every name is known by now.
func (l *loader) tells(f document.Fields) {
	if !f.Has("tells") {
		return
	}
	g, t := f.Get("tells").Fields(keysOf["tells"]...), &l.p.Tells
	l.topic(g, "collection", func(r teller) { t.Collection = r.collection() })
	l.topic(g, "release", func(r teller) { t.Release = r.release() })
	l.topic(g, "deaths", func(r teller) { t.Deaths = r.deaths() })
	l.topic(g, "larvae", func(r teller) { t.Larvae = append(t.Larvae, r.larvae()) })
	l.topic(g, "lengths", func(r teller) { t.Lengths = r.lengths() })
	l.topic(g, "water", func(r teller) {
		t.Water = TellsWater{r.readings("temperature", "°C"), r.readings("salinity", "PSU"), r.readings("ph", "pH")}
	})
	l.topic(g, "spawning", func(r teller) { t.Spawning = r.spawning() })
	l.topic(g, "gonads", func(r teller) { t.GonadIndex = r.need("index").number("index", "%") })
	l.topic(g, "register", func(r teller) {
		t.Register = &TellsRegister{r.need("animal").column("animal", wordKinds), r.column("cohort", wordKinds), r.column("sex", wordKinds)}
		r.beside(t.Register.Animal, t.Register.Cohort, t.Register.Sex)
	})
	l.topic(g, "fates", func(r teller) {
		t.Fates = &TellsFates{r.need("animal").column("animal", wordKinds), r.need("fate").column("fate", wordKinds)}
		r.beside(t.Fates.Animal, t.Fates.Fate)
	})
	l.topic(g, "crosses", func(r teller) { t.Crosses = r.crosses() })
	l.topic(g, "closing", func(r teller) {
		t.Closing = &TellsClosing{r.need("closed").entry("closed", []EntryKind{KindChoice}), r.entry("by", wordKinds), r.entry("on", dayKinds)}
	})
}

// topic reads one topic, or each of a list of them where a protocol has several series.
func (l *loader) topic(g document.Fields, name string, read func(teller)) {
	if !g.Has(name) {
		return
	}
	nodes := []document.Node{g.Get(name)}
	if several[name] && nodes[0].IsList() {
		nodes = nodes[0].List()
	}
	for _, n := range nodes {
		read(teller{l, name, n.Fields(keysOf["tells_"+name]...)})
	}
}

// several are the topics that may be told more than once.
var several = map[string]bool{"larvae": true}

func (r teller) collection() *TellsCollection {
	return &TellsCollection{
		Shore: r.words("shore"), Permit: r.words("permit"),
		Taken: r.need("taken").number("taken", "animals"), Returned: r.number("returned", "animals"), Kept: r.number("kept", "animals"),
		Injured: r.number("injured", "animals"), Dead: r.number("dead", "animals"), Landed: r.number("landed", "animals"),
		Bags: r.places("bags"),
	}
}

func (r teller) release() *TellsRelease {
	out := &TellsRelease{
		Shore: r.words("shore"), Permit: r.words("permit"), Parents: r.words("parents"), Mark: r.words("mark"),
		Released: r.need("released").number("released", "animals"), Lost: r.number("lost", "animals"), Shells: r.number("shells", "animals"),
		Plots: r.places("plots"),
	}
	if v, ok := r.part("visits"); ok {
		out.VisitDate, out.VisitLive = v.need("date").column("date", dayKinds), v.need("live").column("live", numberKinds)
		v.beside(out.VisitDate, out.VisitLive)
	}
	return out
}

func (r teller) places(key string) *TellsPlaces {
	v, ok := r.part(key)
	if !ok {
		return nil
	}
	out := &TellsPlaces{v.need("place").column("place", wordKinds), v.need("animals").column("animals", numberKinds)}
	v.beside(out.Place, out.Animals)
	return out
}

func (r teller) deaths() *TellsDeaths {
	out := &TellsDeaths{}
	daily, hasDaily := r.part("daily")
	if hasDaily {
		out.Dead, out.Removed, out.Alive = daily.need("dead").column("dead", numberKinds),
			daily.need("removed").column("removed", numberKinds), daily.need("alive").column("alive", numberKinds)
		daily.beside(out.Dead, out.Removed, out.Alive)
	}
	lost, hasLost := r.part("by_class")
	if hasLost {
		out.Class, out.ClassDay = lost.need("class").column("class", wordKinds), lost.need("day").column("day", numberKinds, "d")
		out.ClassDead, out.ClassRemoved = lost.need("dead").column("dead", numberKinds), lost.need("removed").column("removed", numberKinds)
		lost.beside(out.Class, out.ClassDay, out.ClassDead, out.ClassRemoved)
	}
	classes, hasClasses := r.part("classes")
	if hasClasses {
		out.ClassIn = classes.need("came_in").column("came_in", numberKinds)
		for _, n := range classes.Get("counts").List() {
			c := teller{r.l, classes.topic + ".counts", n.Fields(keysOf["tells_deaths_count"]...)}
			count := TellsCount{Alive: c.need("alive").column("alive", numberKinds), At: c.hours("at")}
			c.beside(out.ClassIn, count.Alive)
			out.ClassCounts = append(out.ClassCounts, count)
		}
	}
	if !hasDaily && !hasLost && !hasClasses {
		r.At().Fault("deaths tells nothing; give daily, by_class or classes")
	}
	if hasClasses && !hasLost && !hasDaily {
		r.At().Fault("counts of classes end on the last day counted of all animals; give daily too")
	}
	return out
}

func (r teller) larvae() TellsLarvae {
	out := TellsLarvae{
		Fertilised: r.entry("fertilised", dayKinds), First: r.number("first", "larvae"), FirstAt: r.entry("first_at", dayKinds),
		Alive: r.need("alive").column("alive", numberKinds, "larvae"), At: r.column("at", dayKinds), Age: r.column("age", numberKinds, "h", "d"),
	}
	r.beside(out.Alive, out.At, out.Age)
	if !r.Has("at") && !r.Has("age") {
		r.At().Fault("when were the larvae counted? give at, a column of times, or age, a column of hours or days from fertilisation")
	}
	if r.Has("age") && !r.Has("at") && !r.Has("fertilised") {
		r.At().Fault("an age counts from fertilisation; give fertilised, the entry with its time")
	}
	if r.Has("first") != r.Has("first_at") {
		r.At().Fault("first and first_at belong together: a first count, and when it was made")
	}
	return out
}

func (r teller) lengths() *TellsLengths {
	out := &TellsLengths{Cohort: r.words("cohort")}
	for _, n := range r.need("samples").Get("samples").List() {
		s := teller{r.l, r.topic + ".samples", n.Fields(keysOf["tells_sample"]...)}
		sample := TellsSample{At: s.need("at").entry("at", dayKinds), Of: s.readings("of", "mm"), Mean: s.number("mean", "mm")}
		if s.Has("of") == s.Has("mean") {
			s.At().Fault("a sample has either of: columns in mm, or mean: a formula in mm")
		}
		out.Samples = append(out.Samples, sample)
	}
	return out
}

func (r teller) spawning() *TellsSpawning {
	return &TellsSpawning{
		Females: r.number("females", "animals"),
		Mothers: r.need("mothers").number("mothers", "animals"), Fathers: r.need("fathers").number("fathers", "animals"),
		On: r.entry("on", dayKinds), InducedBy: r.words("induced_by"), Animals: r.fields("animals", wordKinds),
	}
}

func (r teller) crosses() *TellsCrosses {
	out := &TellsCrosses{
		Mother: r.need("mother").column("mother", wordKinds), Father: r.need("father").column("father", wordKinds),
		Eggs: r.column("eggs", numberKinds), Larvae: r.column("larvae", numberKinds), Kept: r.column("kept", numberKinds),
	}
	r.beside(out.Mother, out.Father, out.Eggs, out.Larvae, out.Kept)
	return out
}

// need makes the absence of a part a fault.
func (r teller) need(key string) teller {
	r.Need(key)
	return r
}

// part reads a series, whose columns stand in a group of their own.
func (r teller) part(key string) (teller, bool) {
	if !r.Has(key) {
		return teller{}, false
	}
	return teller{r.l, r.topic + "." + key, r.Get(key).Fields(keysOf["tells_"+r.topic+"_"+key]...)}, true
}

func (r teller) declare(key string, by ...string) {
	r.l.p.Tells.Declared = append(r.l.p.Tells.Declared, Declaration{r.topic + "." + key, strings.Join(by, ", ")})
}

// number reads a formula that comes out in a unit.
func (r teller) number(key, unit string) *TellsNumber {
	if !r.Has(key) {
		return nil
	}
	u := quantity.MustUnit(unit)
	return &TellsNumber{r.formula(key, r.Get(key), pendingFormula{unit: u, over: &r.l.readings}), u}
}

// hours reads a time after the start.
func (r teller) hours(key string) *formula.Formula {
	if !r.Has(key) {
		return nil
	}
	return r.formula(key, r.l.hours(r.Get(key)), pendingFormula{unit: quantity.MustUnit("h"), over: &r.l.times})
}

func (r teller) formula(key string, at document.Node, pending pendingFormula) (out *formula.Formula) {
	r.declare(key, r.Get(key).Text())
	pending.at, pending.put = at, func(f *formula.Formula) { out = f }
	if at.Present() && !r.l.isDoubtful(pending) {
		r.l.compileOne(pending)
	}
	return out
}

// words reads an entry or several.
func (r teller) words(key string) []Field {
	out := r.fields(key, wordKinds)
	for i := range out {
		if out[i].Table != nil {
			r.Get(key).Fault("%q is a column; %s wants a single entry", out[i].Name, key)
		}
	}
	return out
}

// readings reads entries and columns of numbers in a unit.
func (r teller) readings(key, unit string) []Field { return r.fields(key, numberKinds, unit) }

// fields reads an entry or column, or a list of them.
func (r teller) fields(key string, kinds []EntryKind, units ...string) []Field {
	if !r.Has(key) {
		return nil
	}
	nodes := []document.Node{r.Get(key)}
	if nodes[0].IsList() {
		nodes = nodes[0].List()
	}
	var out []Field
	var names []string
	for _, n := range nodes {
		names = append(names, n.Text())
		if f := r.field(n, key, kinds, units); f != nil {
			out = append(out, *f)
		}
	}
	r.declare(key, names...)
	return out
}

// entry reads a single entry.
func (r teller) entry(key string, kinds []EntryKind) *Field {
	return r.oneField(key, kinds, nil, false)
}

// column reads a column of an entry table.
func (r teller) column(key string, kinds []EntryKind, units ...string) *Field {
	return r.oneField(key, kinds, units, true)
}

func (r teller) oneField(key string, kinds []EntryKind, units []string, column bool) *Field {
	if !r.Has(key) {
		return nil
	}
	at := r.Get(key)
	r.declare(key, at.Text())
	f := r.field(at, key, kinds, units)
	switch {
	case f == nil:
	case column && f.Table == nil:
		at.Fault("%q is a single entry; %s wants a column, table.column", f.Name, key)
		return nil
	case !column && f.Table != nil:
		at.Fault("%q is a column; %s wants a single entry", f.Name, key)
		return nil
	}
	return f
}

// field finds an entry or column, of one of some kinds and, where they are named, units.
func (r teller) field(at document.Node, key string, kinds []EntryKind, units []string) *Field {
	f := r.l.p.field(at.Text())
	switch {
	case f == nil:
		at.Fault("there is no entry %q, nor a column of that name (table.column)%s", at.Text(), r.l.p.nearField(at.Text()))
	case !slices.Contains(kinds, f.Entry.Kind):
		at.Fault("%q is a %s; %s wants one of: %s", f.Name, f.Entry.Kind, key, joinKinds(kinds))
		return nil
	case len(units) > 0 && !slices.Contains(units, f.Entry.Unit.Symbol()) && !slices.Contains(units, f.Entry.Unit.Print()):
		at.Fault("%q is in %s; %s wants %s", f.Name, f.Entry.Unit.Print(), key, strings.Join(units, " or "))
		return nil
	}
	return f
}

// beside refuses columns that do not stand row by row beside each other.
func (r teller) beside(columns ...*Field) {
	var first *Field
	for _, c := range columns {
		switch {
		case c == nil || c.Table == nil:
		case first == nil:
			first = c
		case c.Table != first.Table && (c.Table.RowCount != first.Table.RowCount || !slices.Equal(c.Table.Rows, first.Table.Rows)):
			r.At().Fault("%s and %s are read row by row beside each other, but their tables have other rows; give them the same count: or rows:", first.Name, c.Name)
		}
	}
}

func joinKinds(kinds []EntryKind) string {
	var names []string
	for _, k := range kinds {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// field finds an entry by id, or a column as table.column; nil when there is none.
func (p *Protocol) field(name string) *Field {
	for s := range p.Steps {
		step := &p.Steps[s]
		for e := range step.Entries {
			if step.Entries[e].ID == name {
				return &Field{name, &step.Entries[e], nil}
			}
		}
		for t := range step.Tables {
			table := &step.Tables[t]
			for c := range table.Columns {
				if table.ID+"."+table.Columns[c].ID == name {
					return &Field{name, &table.Columns[c], table}
				}
			}
		}
	}
	return nil
}

// nearField suggests the entry or column that a name may be meant for.
func (p *Protocol) nearField(name string) string {
	var known []string
	for s := range p.Steps {
		for _, e := range p.Steps[s].Entries {
			known = append(known, e.ID)
		}
		for _, t := range p.Steps[s].Tables {
			for _, c := range t.Columns {
				known = append(known, t.ID+"."+c.ID)
			}
		}
	}
	if near, ok := spelling.Nearest(name, known); ok {
		return "; did you mean \"" + near + "\"?"
	}
	return ""
}
