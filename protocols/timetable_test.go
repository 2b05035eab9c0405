package protocols_test

import (
	"strings"
	"testing"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/document"
)

// timed is the small protocol with a timetable.
const timed = small + `lasts: 2 d
needs_ready:
  - {protocol: other-one, by: fill, spare: 12 h, keeps: 3 * day, sets: {water_wanted: water}, brings: [cells], why: water to fill with}
  - {protocol: small-one, by: fill, rounds: 2, why: scaled up from the flask}
follows:
  - {protocol: next-one, after: fill, wait: 1 d, sets: {cells_in: cells}}
uses:
  - {what: beakers, needs: beakers, unit: beakers, has: beaker.count, from: fill, to: fill}
  - {what: seawater in a day, needs: water / day, unit: L/d, has: seawater_a_day, from: fill}
`

func TestTimetableLoads(t *testing.T) {
	p, err := protocols.Load("p.yaml", []byte(strings.Replace(timed, "    at: 0 h\n", "    at: 0 h\n    every: 1 d\n", 1)), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	table := p.Timetable
	if table.Lasts.String() != "48 * hour" || len(table.Needs) != 2 || len(table.Follows) != 1 || len(table.Uses) != 2 || p.Steps[0].Every == nil {
		t.Fatalf("read wrongly: %+v", table)
	}
	need := table.Needs[0]
	if need.Protocol != "other-one" || need.By != "fill" || need.Spare == nil || need.Keeps == nil ||
		need.Rounds != 1 || need.Brings[0] != "cells" || need.Why == "" {
		t.Errorf("the need was read wrongly: %+v", need)
	}
	if need.Sets[0] != (protocols.Given{Setting: "water_wanted", Value: "water"}) || table.Needs[1].Rounds != 2 {
		t.Errorf("the needs were read wrongly: %+v", table.Needs)
	}
	if use := table.Uses[1]; use.Has != "seawater_a_day" || use.From != "fill" || use.To != "" || use.Needs == nil {
		t.Errorf("the use was read wrongly: %+v", use)
	}
}

func TestTimetableFaults(t *testing.T) {
	cases := []struct{ name, from, to, want string }{
		{"lasts a volume", "lasts: 2 d", "lasts: water", "the formula comes out as volume"},
		{"lasts litres", "lasts: 2 d", "lasts: 2 L", "cannot turn 2 L"},
		{"spare without unit", "spare: 12 h", "spare: 12", "cannot turn 12"},
		{"a step that is not there", "by: fill, spare", "by: fil, spare", `there is no step "fil"; there are: fill`},
		{"a step without a time", "    at: 0 h\n", "", `step "fill" has no time; give it at:`},
		{"a setting that is not there", "brings: [cells]", "brings: [density]", `there is no setting "density"`},
		{"a value that is not there", "cells_in: cells", "cells_in: cels", `there is no setting or amount "cels"; did you mean "cells"?`},
		{"needed twice", "protocol: small-one, by", "protocol: other-one, by", `"need of other-one" is already declared`},
		{"rounds of another", "spare: 12 h", "rounds: 2", "rounds: belongs to a protocol that needs batches of its own"},
		{"no rounds", "rounds: 2", "rounds: 0", "rounds must be a whole number from 1 to 12"},
		{"volume of beakers", "needs: water / day", "needs: water", `the formula comes out as volume, but the declared unit "L/d"`},
		{"beakers in litres", "has: beaker.count, from", "has: beaker.volume, from", `"beaker.volume" is a`},
		{"why left out", ", why: water to fill with", "", `"why" is missing; add it`},
		{"every without a time", "    at: 0 h\n", "    every: 1 d\n", "every: belongs to a step with a time and a table"},
		{"until without every", "    at: 0 h\n", "    at: 0 h\n    until: fill\n", "until: goes with every:"},
		{"until a step that is not there", "    at: 0 h\n", "    at: 0 h\n    every: 1 d\n    until: fil\n", `there is no step "fil"`},
		{"unknown key", "wait: 1 d", "weight: 1 d", `unknown key "weight"`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			broken := strings.Replace(timed, c.from, c.to, 1)
			if broken == timed {
				t.Fatal("the change did not apply")
			}
			_, err := protocols.Load("p.yaml", []byte(broken), functions.All())
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("got %v\nwant it to contain %q", err, c.want)
			}
			if _, ok := err.(document.Faults); !ok {
				t.Errorf("%T has no places", err)
			}
		})
	}
}

func TestTimetableIsCompared(t *testing.T) {
	load := func(text string) *protocols.Protocol {
		p, err := protocols.Load("p.yaml", []byte(text), functions.All())
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	before := load(timed)
	for _, c := range []struct {
		from, to, part, what string
		bump                 protocols.Bump
	}{
		{"lasts: 2 d", "lasts: 3 d", "protocol", "lasts", protocols.Optional},
		{"spare: 12 h", "spare: 1 d", "need", "spare", protocols.Optional},
		{"why: water to fill with", "why: to fill with", "need", "why", protocols.Wording},
		{"wait: 1 d", "wait: 2 d", "follower", "wait", protocols.Optional},
		{"needs: water / day", "needs: 2 * water / day", "use", "needs", protocols.Optional},
		{"    at: 0 h\n", "    at: 0 h\n    every: 1 d\n", "step", "every", protocols.Optional},
	} {
		list := protocols.Compare(before, load(strings.Replace(timed, c.from, c.to, 1)))
		if len(list) != 1 || list[0].Part != c.part || list[0].What != c.what || list[0].Bump != c.bump {
			t.Errorf("%s: got %+v", c.to, list)
		}
	}
}
