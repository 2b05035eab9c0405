package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/templates"
)

// base is the shipped protocol that the season is made with, and twelve what it is called
// with two steps more: none that ships has twelve.
const (
	base   = "limpet-spawning@2.0.0"
	twelve = "limpet-spawning-twelve"
)

// twoMore are the eleventh and twelfth step.
const twoMore = `
  - id: looked-again
    title: Look again after a fortnight
    at: larval_days + day * 14 + hour * 12
    do: Look at the same windows, and write down what has changed.
    signed: one
    entries:
      - {id: looked_at, label: Looked at, kind: time, required: yes}
      - {id: spat_again, label: Spat seen again, kind: count, unit: spat, range: [0, 1e6], required: yes, example: 40}
      - {id: film_now, label: Film, kind: choice, choices: [good, thin, grazed bare], required: yes}
      - {id: tank_temperature, label: Temperature, kind: number, unit: °C, range: [5, 30], required: yes, example: 16.4}
  - id: closed
    title: Close the batch
    at: larval_days + day * 15 + hour * 12
    do: Wash and dry what was used, and put the papers together.
    signed: two
    entries:
      - {id: washed_at, label: All washed at, kind: time, required: yes}
      - {id: beakers_broken, label: Beakers broken, kind: count, unit: beakers, range: [0, 50], required: yes, example: 0}
      - {id: left_over, label: Left over, kind: text, required: yes, example: nothing}
`

// protocolText gives a protocol's text by its short name: twelve steps, or ten as shipped.
func protocolText(steps string) (*protocols.Protocol, error) {
	p, err := library.Load(base, functions.All())
	if err != nil || steps == "ten" {
		return p, err
	}
	if steps != "twelve" {
		return nil, fmt.Errorf("--protocol %q: twelve or ten", steps)
	}
	text := bytes.Replace(p.Text, []byte("protocol: limpet-spawning\n"), []byte("protocol: "+twelve+"\n"), 1)
	text = bytes.Replace(text, []byte("\n\nchecks:\n"), []byte(twoMore+"\nchecks:\n"), 1)
	return protocols.Load(twelve+".yaml", text, functions.All())
}

// kinds are the sizes of batch that a season has: their tables have as many rows, their
// amounts differ.
var kinds = []string{
	"females: 9\n  males: 6\n  eggs_expected: 1.2e6\n  spat_wanted: 20000",
	"females: 9\n  males: 6\n  eggs_expected: 1.3e6\n  spat_wanted: 22000",
	"females: 10\n  males: 5\n  eggs_expected: 1.1e6\n  spat_wanted: 19000",
	"females: 8\n  males: 7\n  eggs_expected: 1.05e6\n  spat_wanted: 18000",
}

// lengths set the rows of the tables by how many boxes a sheet comes to, about.
var lengths = map[string]string{
	"150": "watch_every: 3 h\n  windows: 3\n  egg_subsamples: 3\n  larval_days: 3",
	"260": "watch_every: 1 h\n  windows: 16\n  egg_subsamples: 8\n  larval_days: 6",
	"500": "watch_every: 0.5 h\n  windows: 50\n  egg_subsamples: 14\n  larval_days: 13",
	"660": "watch_every: 0.25 h\n  windows: 60\n  egg_subsamples: 20\n  larval_days: 15",
}

// batch is one batch to be made.
type batch struct {
	code string
	kind int
	plan []byte
	wild *rand.Rand // this batch's own chances
}

// batchOf gives the nth batch of a season, from 1: the same for the same seed. Its size is
// one of kinds, or its own.
func batchOf(protocol *protocols.Protocol, rows string, own bool, seed uint64, n int) batch {
	wild := rand.New(rand.NewPCG(seed, uint64(n)))
	b := batch{code: fmt.Sprintf("KS-26-%05d", n), kind: wild.IntN(len(kinds)), wild: wild}
	day := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, 0, wild.IntN(300))
	size := kinds[b.kind]
	if own {
		size = fmt.Sprintf("females: 9\n  males: 6\n  eggs_expected: %d\n  spat_wanted: %d", 1_000_000+10*n, 18_000+n%4000)
	}
	b.plan = fmt.Appendf(nil, "batch: %s\nprotocol: %s\nspecies: Patella vulgata\ndate: %s\nstart: \"18:00\"\n"+
		"note: invented, to measure with\nsettings:\n  %s\n  %s\n",
		b.code, protocol.Ref(), day.Format("2006-01-02"), size, rows)
	return b
}

// siteText is the invented station of the templates.
func siteText() []byte { return templates.Site }

// scaled is a batch's sheet.
func (b batch) scaled(protocol *protocols.Protocol, site calc.Site) (*calc.Sheet, error) {
	plan, err := calc.ReadPlan(b.code+".yaml", b.plan)
	if err != nil {
		return nil, err
	}
	return calc.Scale(protocol, site, plan)
}

// vary lets batches differ: one chance for each entry, a small one for each box.
func (b batch) vary() func(box calc.Box, plain float64) float64 {
	seed := b.wild.Uint64()
	chance := func(word string) float64 {
		sum := seed
		for _, c := range []byte(word) {
			sum = (sum ^ uint64(c)) * 1099511628211
		}
		return 2*rand.New(rand.NewPCG(seed, sum)).Float64() - 1
	}
	return func(box calc.Box, plain float64) float64 {
		share := spread(box.Entry)
		if share == 0 || strings.HasPrefix(string(box.Key), "looks.") {
			return plain
		}
		return plain * (1 + share*(0.8*chance(box.Entry.ID)+0.2*chance(string(box.Key))))
	}
}

func spread(e *protocols.Entry) float64 {
	switch unit := e.Unit.Symbol(); {
	case unit == "°C":
		return 0.03
	case unit == "PSU" || unit == "pH":
		return 0.008
	case slices.Contains([]string{"eggs", "larvae", "spat", "sperm", "%"}, unit):
		return 0.08
	}
	return 0
}
