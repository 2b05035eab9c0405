package protocols

import (
	"slices"
	"strconv"
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// Timetable is how a protocol stands in a season: how long a batch takes, what must be
// ready for it, what comes after it, and what of the site it occupies meanwhile.
type Timetable struct {
	Lasts   *formula.Formula // hours from the start until it can hand over; nil: the last timed step
	Needs   []Need
	Follows []Follow
	Uses    []Use
}

// Need is a batch of another protocol that must have handed over by the time of a step.
type Need struct {
	Protocol string
	By       string           // id of the step
	Spare    *formula.Formula // hours before the step; nil: none
	Keeps    *formula.Formula // hours that what is handed over stays good; nil: any time
	Rounds   int              // of a protocol that needs itself, such as a culture scaled up: batches before this one
	Sets     []Given          // settings of the other batch, from values of this one
	Brings   []string         // settings of this batch that the other fills
	Why      string
}

// Follow is a batch of another protocol that starts from this one.
type Follow struct {
	Protocol string
	After    string           // id of the step
	Wait     *formula.Formula // hours from the step; nil: none
	Sets     []Given
	Optional bool // never proposed; where one is planned, it does the later steps of this batch
}

// Given fills a setting of another batch with a setting or amount of this one.
type Given struct{ Setting, Value string }

// Use is something of the site that a batch occupies, or uses on each day, from one step
// to another.
type Use struct {
	What  string
	Needs *formula.Formula // over settings, amounts and units of time
	Unit  quantity.Unit
	Has   string // the site's value of this name
	From  string // id of a step
	To    string // id of a step; empty: until another batch takes over, or it can hand over
}

// timetable reads lasts, needs_ready, follows and uses.
func (l *loader) timetable(f document.Fields) {
	t := &l.p.Timetable
	if f.Has("lasts") {
		l.duration(f.Get("lasts"), &t.Lasts)
	}
	needs, follows, uses := f.Get("needs_ready").List(), f.Get("follows").List(), f.Get("uses").List()
	t.Needs, t.Follows, t.Uses = make([]Need, len(needs)), make([]Follow, len(follows)), make([]Use, len(uses))
	for i, n := range needs {
		l.need(n, &t.Needs[i])
	}
	for i, n := range follows {
		l.follow(n, &t.Follows[i])
	}
	for i, n := range uses {
		l.use(n, &t.Uses[i])
	}
}

// duration reads a time such as "2 d", or a formula that gives one, into place.
func (l *loader) duration(n document.Node, place **formula.Formula) {
	l.formulas = append(l.formulas, pendingFormula{at: l.hours(n), unit: quantity.MustUnit("h"), over: &l.times,
		put: func(x *formula.Formula) { *place = x }})
}

func (l *loader) need(n document.Node, need *Need) {
	f := n.Fields(keysOf["needs_ready"]...)
	need.Protocol = l.matching(f.Need("protocol"), idPattern, "a protocol's id, such as plate-seeding")
	need.By, need.Why, need.Rounds = f.Need("by").Text(), f.Need("why").Text(), 1
	l.declare(f.Get("protocol"), "need of "+need.Protocol)
	for key, place := range map[string]**formula.Formula{"spare": &need.Spare, "keeps": &need.Keeps} {
		if f.Has(key) {
			l.duration(f.Get(key), place)
		}
	}
	if f.Has("rounds") {
		rounds, err := strconv.Atoi(f.Get("rounds").Text())
		if err != nil || rounds < 1 || rounds > 12 {
			f.Get("rounds").Fault("rounds must be a whole number from 1 to 12")
		}
		need.Rounds = rounds
	}
	need.Sets = given(f.Get("sets"))
	if f.Has("brings") {
		need.Brings = f.Get("brings").Texts()
	}
}

func (l *loader) follow(n document.Node, follow *Follow) {
	f := n.Fields(keysOf["follows"]...)
	follow.Protocol = l.matching(f.Need("protocol"), idPattern, "a protocol's id, such as nursery")
	follow.After, follow.Sets = f.Need("after").Text(), given(f.Get("sets"))
	l.declare(f.Get("protocol"), "follower "+follow.Protocol)
	follow.Optional = l.truth(f, "optional")
	if f.Has("wait") {
		l.duration(f.Get("wait"), &follow.Wait)
	}
}

func given(n document.Node) []Given {
	var out []Given
	for _, pair := range n.Pairs() {
		out = append(out, Given{Setting: pair.Key, Value: pair.Value.Text()})
	}
	return out
}

func (l *loader) use(n document.Node, use *Use) {
	f := n.Fields(keysOf["uses"]...)
	use.What, use.Has = f.Need("what").Text(), l.matching(f.Need("has"), namePattern, "a name in the site file, such as tank.count")
	use.From, use.To = f.Need("from").Text(), f.Get("to").Text()
	use.Unit = l.unit(f.Need("unit"), "use of "+use.Has)
	l.formulas = append(l.formulas, pendingFormula{at: f.Need("needs"), name: "use of " + use.Has, unit: use.Unit, over: &l.times,
		put: func(x *formula.Formula) { use.Needs = x }})
}

// timetableReferences checks the steps, settings and amounts that the timetable names.
func (l *loader) timetableReferences(f document.Fields) {
	for i, n := range f.Get("needs_ready").List() {
		need := l.p.Timetable.Needs[i]
		l.wantTimed(n.Field("by"), need.By)
		l.givenReferences(n, need.Sets)
		for _, id := range need.Brings {
			if _, ok := l.p.Setting(id); !ok {
				n.Field("brings").Fault("there is no setting %q", id)
			}
		}
		if need.Rounds > 1 && need.Protocol != l.p.ID {
			n.Field("rounds").Fault("rounds: belongs to a protocol that needs batches of its own, such as a culture that is scaled up")
		}
	}
	for i, n := range f.Get("follows").List() {
		l.wantTimed(n.Field("after"), l.p.Timetable.Follows[i].After)
		l.givenReferences(n, l.p.Timetable.Follows[i].Sets)
	}
	for i, n := range f.Get("uses").List() {
		use := l.p.Timetable.Uses[i]
		l.wantTimed(n.Field("from"), use.From)
		if use.To != "" {
			l.wantTimed(n.Field("to"), use.To)
		}
		if s, ok := l.p.Setting(use.Has); ok && s.Unit.Dimension() != use.Unit.Dimension() {
			n.Field("has").Fault("%q is a %s, what is used a %s", use.Has, s.Unit.Dimension(), use.Unit.Dimension())
		}
	}
	for i, n := range f.Get("steps").List() {
		s := l.p.Steps[i]
		l.stepTime(n, i)
		if n.Field("every").Present() && (s.At == nil || len(s.Tables) == 0) {
			n.Field("every").Fault("every: belongs to a step with a time and a table: its rows say how often")
		}
		if s.Until != "" {
			l.wantTimed(n.Field("until"), s.Until)
			if s.Every == nil && !n.Field("every").Present() {
				n.Field("until").Fault("until: goes with every:")
			}
		}
	}
}

// timeGroup begins the names under which formulas know the times of steps.
const timeGroup = "time."

// TimeName is the name under which times and examples know when the step is due, in hours
// after the batch's start: time.fertilise.
func (s *Step) TimeName() string { return timeGroup + strings.ReplaceAll(s.ID, "-", "_") }

// HangsOn tells whether the step's time is reckoned from that of another.
func (s *Step) HangsOn(other *Step) bool {
	return s.At != nil && slices.Contains(s.At.Names(), other.TimeName())
}

// stepTime refuses a time that hangs on the step itself or on a later one, and a done_at that is no time.
func (l *loader) stepTime(n document.Node, index int) {
	s := &l.p.Steps[index]
	for k := index; k < len(l.p.Steps); k++ {
		if s.HangsOn(&l.p.Steps[k]) {
			n.Field("at").Fault("%s is not known here; a step's time hangs on steps before it", l.p.Steps[k].TimeName())
		}
	}
	if s.DoneAt == "" {
		return
	}
	if e := slices.IndexFunc(s.Entries, func(e Entry) bool { return e.ID == s.DoneAt }); e < 0 || s.Entries[e].Kind != KindTime {
		n.Field("done_at").Fault("done_at: wants an entry of this step that is a time; %q is none", s.DoneAt)
	}
}

func (l *loader) givenReferences(n document.Node, sets []Given) {
	for _, g := range sets {
		l.wantValue(n.Field("sets"), g.Value)
	}
}

// wantTimed refuses a step that is not there or has no time.
func (l *loader) wantTimed(n document.Node, id string) {
	i := slices.IndexFunc(l.p.Steps, func(s Step) bool { return s.ID == id })
	switch {
	case i < 0:
		var known []string
		for _, s := range l.p.Steps {
			known = append(known, s.ID)
		}
		n.Fault("there is no step %q; there are: %s", id, strings.Join(known, ", "))
	case l.p.Steps[i].At == nil:
		n.Fault("step %q has no time; give it at:", id)
	}
}

// timetableParts are the comparable parts of the timetable.
func timetableParts(t Timetable) []part {
	var out []part
	for _, n := range t.Needs {
		out = append(out, part{"need", n.Protocol, Optional, []field{
			{"by", n.By, Optional}, {"spare", textOf(n.Spare), Optional}, {"keeps", textOf(n.Keeps), Optional}, {"rounds", strconv.Itoa(n.Rounds), Optional},
			{"sets", givenText(n.Sets), Optional}, {"brings", strings.Join(n.Brings, ", "), Optional}, {"why", n.Why, Wording}}})
	}
	for _, f := range t.Follows {
		out = append(out, part{"follower", f.Protocol, Optional,
			[]field{{"after", f.After, Optional}, {"wait", textOf(f.Wait), Optional},
				{"sets", givenText(f.Sets), Optional}, {"optional", strconv.FormatBool(f.Optional), Optional}}})
	}
	for _, u := range t.Uses {
		out = append(out, part{"use", u.Has + " from " + u.From, Optional, []field{
			{"needs", textOf(u.Needs), Optional}, {"unit", u.Unit.Symbol(), Optional}, {"to", u.To, Optional}, {"what", u.What, Wording}}})
	}
	return out
}

func textOf(f *formula.Formula) string {
	if f == nil {
		return ""
	}
	return f.String()
}

func givenText(sets []Given) string {
	var out []string
	for _, g := range sets {
		out = append(out, g.Setting+" = "+g.Value)
	}
	return strings.Join(out, ", ")
}
