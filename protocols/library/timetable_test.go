package library

import (
	"testing"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
)

// TestTimetablesFitTogether: every protocol that another needs or is followed by ships, and
// the settings that are filled there are there, in the same dimension.
func TestTimetablesFitTogether(t *testing.T) {
	links := 0
	for _, ref := range Refs() {
		p, err := Load(ref, functions.All())
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range p.Timetable.Needs {
			links++
			fitTogether(t, p, n.Protocol, n.Sets)
		}
		for _, f := range p.Timetable.Follows {
			links++
			fitTogether(t, p, f.Protocol, f.Sets)
		}
	}
	if links < 15 {
		t.Errorf("only %d links between protocols", links)
	}
}

func fitTogether(t *testing.T, p *protocols.Protocol, other string, sets []protocols.Given) {
	t.Helper()
	o, err := Load(other, functions.All())
	if err != nil {
		t.Errorf("%s: %v", p.Ref(), err)
		return
	}
	for _, g := range sets {
		there, ok := o.Setting(g.Setting)
		if !ok {
			t.Errorf("%s fills %s of %s, which has no such setting", p.Ref(), g.Setting, o.Ref())
			continue
		}
		here := p.Settings
		var dimension any
		for i := range here {
			if here[i].ID == g.Value {
				dimension = here[i].Unit.Dimension()
			}
		}
		if a, ok := p.Amount(g.Value); ok {
			dimension = a.Unit.Dimension()
		}
		if dimension != any(there.Unit.Dimension()) {
			t.Errorf("%s fills %s of %s with %s: %v is not %v", p.Ref(), g.Setting, o.Ref(), g.Value, dimension, there.Unit.Dimension())
		}
	}
}

// TestOneNameOneThing: what batches use of the site goes by the same words and dimension in
// every protocol, for it is added up.
func TestOneNameOneThing(t *testing.T) {
	type thing struct {
		what, by  string
		dimension any
	}
	known := map[string]thing{}
	for _, ref := range Refs() {
		p, err := Load(ref, functions.All())
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range p.Timetable.Uses {
			first, ok := known[u.Has]
			if !ok {
				known[u.Has] = thing{u.What, p.Ref(), u.Unit.Dimension()}
				continue
			}
			if first.what != u.What || first.dimension != any(u.Unit.Dimension()) {
				t.Errorf("%s: %s is %q (%s) in %s and %q in %s", u.Has, u.Has, first.what, u.Unit.Symbol(), first.by, u.What, p.Ref())
			}
		}
	}
	if len(known) < 8 {
		t.Errorf("only %d things are used", len(known))
	}
}
