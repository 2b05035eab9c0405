package protocols_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/document"
)

// small is a protocol with a bit of everything.
const small = `protocol: small-one
version: 1.0.0
title: A small protocol
stage: test
purpose: To be broken in tests.
applies_to: [Patella]
sources:
  - {id: S1, text: "an invented source"}
changes:
  - {version: 1.0.0, note: first release}
cautions:
  - {id: wet, text: "Wet floor.", steps: [fill]}
settings:
  - {id: water, label: Water, unit: L, given_by: plan, range: [1, 100], scales: yes, source: site choice, example: 5 L}
  - {id: cells, label: Cells, unit: cells, default: 300 cells, range: [1, 1e9], source: S1}
  - {id: beaker.volume, label: Beaker, unit: L/beaker, given_by: site, range: [0.1, 5], source: site choice}
amounts:
  - {id: beakers, label: Beakers, unit: beakers, formula: water / beaker.volume, round: {to: whole, direction: up}}
  - {id: dealt, label: Dealt, unit: L, formula: water, round: {to: measure}, split: beakers}
  - {id: density, label: Density, unit: cells/mL, formula: cells / water, scales: no}
limits: []
steps:
  - id: fill
    title: Fill
    at: 0 h
    do: Fill {beakers} with {dealt}.
    amounts: [beakers]
    signed: two
    entries:
      - {id: seen, label: Seen, kind: count, unit: cells, range: [0, 1000], required: yes}
      - {id: total, label: Total, kind: number, unit: cells, range: [0, 1e9], works_out: sum(rows.n) + seen, how: sum}
    tables:
      - id: rows
        title: Rows
        row: Beaker
        count: beakers
        shows: [dealt]
        columns:
          - {id: n, label: N, kind: count, unit: cells, range: [0, 10]}
checks:
  - {id: few, rule: seen <= cells, at: seen, says: too many, remedy: count again}
stages:
  - {id: st, label: A stage, in: seen, in_unit: cells, out: total, out_unit: cells}
`

func TestSmallProtocolLoads(t *testing.T) {
	p, err := protocols.Load("p.yaml", []byte(small), functions.All())
	if err != nil {
		t.Fatal(err)
	}
	if p.Ref() != "small-one@1.0.0" || len(p.Amounts) != 3 || len(p.Order) != 3 || len(p.Digest) != 64 || p.Steps[0].Cautions[0] != "wet" {
		t.Errorf("read wrongly: %+v", p)
	}
	if p.Steps[0].Entries[1].WorksOut == nil || p.Checks[0].Rule == nil || p.Stages[0].Out == nil {
		t.Error("a formula was not compiled")
	}
}

func TestFaultsAreRefusedWithTheirPlace(t *testing.T) {
	cases := []struct {
		name, from, to, want string
		faults               int // 1 when not given
	}{
		{"litres added to cells", "formula: water / beaker.volume", "formula: water + cells", "p.yaml:18:65: cannot add volume and cell count", 0},
		{"amount of another kind", "unit: cells/mL, formula: cells / water", "unit: mL, formula: cells / water",
			`p.yaml:20:54: the formula comes out as cell count per volume, but the declared unit "mL" is volume`, 0},
		{"unknown key", "label: Dealt,", "labell: Dealt,", `p.yaml:19:17: unknown key "labell"; did you mean "label"?`, 2},
		{"missing unit", "label: Water, unit: L,", "label: Water,", `p.yaml:14:5: "unit" is missing; add it`, 0},
		{"unknown unit", "unit: L, given_by", "unit: litters, given_by", "p.yaml:14:37:", 0},
		{"circle", "formula: water / beaker.volume", "formula: dealt / beaker.volume",
			"p.yaml:18:10: amounts need each other in a circle: beakers → dealt → beakers; break it with a setting", 0},
		{"missing range", "range: [1, 100], ", "", `p.yaml:14:5: "range" is missing; add it`, 0},
		{"backward range", "range: [1, 100]", "range: [100, 1]", "p.yaml:14:63: the range runs backwards: 100 is above 1", 0},
		{"default out of range", "default: 300 cells", "default: 0.5 cells", "p.yaml:15:53: 0.5 cells lies outside the range 1 to 1\u202f000\u202f000\u202f000", 0},
		{"default in another unit", "default: 300 cells", "default: 300 mL", "p.yaml:15:53: cannot turn 300 mL (volume) into cells", 0},
		{"unknown source", "source: S1}", "source: S9}", `p.yaml:15:89: source "S9" is not in the list of sources`, 0},
		{"same id twice", "{id: density,", "{id: water,", `p.yaml:20:10: "water" is already declared at p.yaml:14:10`, 0},
		{"unknown name in the text", "with {dealt}.", "with {delt}.", `p.yaml:26:9: there is no setting or amount "delt"; did you mean "dealt"?`, 0},
		{"unknown amount in a step", "amounts: [beakers]", "amounts: [bekers]", `there is no setting or amount "bekers"; did you mean "beakers"?`, 0},
		{"split over a volume", "split: beakers", "split: density", `p.yaml:19:85: split: "density" must be a whole count`, 2},
		{"split without rounding", "round: {to: measure}, split", "split", "a split amount must be rounded", 0},
		{"rows counted by a volume", "count: beakers", "count: water", `count: "water" must be a whole count`, 2},
		{"shown but not split so", "shows: [dealt]", "shows: [density]", `"density" must be an amount split over "beakers"`, 0},
		{"caution for no step", "steps: [fill]", "steps: [fil]", `there is no step "fil"`, 0},
		{"rule that is no comparison", "rule: seen <= cells", "rule: seen + cells", "a rule must be a comparison", 0},
		{"check at nothing", "at: seen,", "at: sen,", `there is no entry "sen"`, 0},
		{"choices missing", "kind: count, unit: cells, range: [0, 1000]", "kind: choice", "choices: [a, b] belong to kind: choice", 4},
		{"number with a text's kind", "kind: number, unit: cells, range: [0, 1e9], works_out", "kind: text, works_out",
			"works_out belongs to kind: number or count", 2},
		{"version", "version: 1.0.0\ntitle", "version: 1.0\ntitle", `p.yaml:2:10: "1.0" does not do; use three numbers with dots`, 2},
		{"change note missing", "{version: 1.0.0, note", "{version: 0.9.0, note", "the first change note is for version 0.9.0", 0},
		{"wrong word", "given_by: plan", "given_by: plam", `given_by cannot be "plam"; it is one of: protocol, species, site, plan`, 2},
		{"stage in another unit", "in: seen, in_unit: cells", "in: seen, in_unit: eggs", "the formula comes out as cell count, but the declared unit", 0},
		{"unfinished formula", "formula: cells / water", "formula: cells /", "p.yaml:20:", 0},
		{"at without unit of time", "at: 0 h", "at: 2 mL", "p.yaml:25:9: cannot turn 2 mL", 0},
		{"at a volume", "at: 0 h", "at: water", "p.yaml:25:9: the formula comes out as volume", 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			broken := strings.Replace(small, c.from, c.to, 1)
			if broken == small {
				t.Fatal("the change did not apply")
			}
			_, err := protocols.Load("p.yaml", []byte(broken), functions.All())
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("got %v\nwant it to contain %q", err, c.want)
			}
			if n := len(err.(document.Faults)); n != max(c.faults, 1) {
				t.Errorf("%d faults told, want %d:\n%v", n, max(c.faults, 1), err)
			}
			if !strings.Contains(err.Error(), "^") {
				t.Error("the excerpt with a caret is missing")
			}
		})
	}
}

func TestManyFaultsAreAllTold(t *testing.T) {
	broken := strings.NewReplacer("label: Water, unit: L,", "label: Water,", "label: Dealt,", "labell: Dealt,",
		"rule: seen <= cells", "rule: seen + cells").Replace(small)
	_, err := protocols.Load("p.yaml", []byte(broken), functions.All())
	for _, want := range []string{"p.yaml:14:5:", "p.yaml:19:17:", "a rule must be"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing in:\n%v", want, err)
		}
	}
}

func TestNoBytesPanic(t *testing.T) {
	lines := strings.SplitAfter(small, "\n")
	rapid.Check(t, func(r *rapid.T) {
		kept := make([]string, 0, len(lines))
		for i, line := range lines {
			switch rapid.IntRange(0, 25).Draw(r, "what") {
			case 0: // leave the line out
			case 1:
				kept = append(kept, line, lines[(i*7)%len(lines)])
			case 2:
				kept = append(kept, strings.Replace(line, ":", rapid.SampledFrom([]string{" ", ": [", ": {", ": -", ":\n", ": |"}).Draw(r, "put"), 1))
			default:
				kept = append(kept, line)
			}
		}
		_, _ = protocols.Load("p.yaml", []byte(strings.Join(kept, "")), functions.All()) // the error is the answer
	})
}

func FuzzLoad(f *testing.F) {
	f.Add([]byte(small))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, _ = protocols.Load("p.yaml", text, functions.All()) // must not panic
	})
}
