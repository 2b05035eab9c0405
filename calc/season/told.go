package season

import (
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
)

// Told is what a season asks of one batch, worked out once from its readings and findings:
// all that is kept of them where only a report is wanted.
type Told struct {
	stages       []Stage
	Handed       []handed // in the protocol's order
	FirstIn      float64  // the count into the first stage, in base units
	HasFirstIn   bool
	collections  []Collection // none or one, as the parts of the report below
	outplantings []Outplanting
	fates        fates
	spawnings    []SpawningShare // without the gonad index, which is another batch's
	checks       []gonadCheck
	larvae       []LarvalCurve
	growth       []Growth
	water        []Water
	deviations   ownDeviations
	Lineage      LineageReadings
	Spawners     []string    // codes of animals put to spawn, each once
	Written      []time.Time // by step: the latest date or time written in it
	Codes        []codeWritten
}

// handed is what the batch leaves, its number in base units, and when the last reading that
// it is worked out from was written.
type handed struct {
	HandedOver
	Base  float64
	Ready time.Time
}

// codeWritten is a text that may be the code of a batch.
type codeWritten struct {
	Step int
	Text string
}

func newTold(b Batch) *Told {
	numbers := check.NewNumbers(b.Sheet, b.Readings)
	f := newFilled(b, numbers)
	all := []filled{f}
	written := writtenIn(b)
	t := &Told{
		stages: stagesOf(b, numbers), Handed: handedBy(b, numbers, written),
		collections: collections(all), outplantings: outplantings(all), fates: fatesOf(f),
		spawnings: spawnedIn(f), checks: gonadChecks(all), larvae: larvalCurves(all), growth: growth(all), water: water(all),
		deviations: deviationsOf(b), Lineage: lineageReadingsOf(f),
		Spawners: spawners(f), Written: written, Codes: codesIn(b),
	}
	if stages := b.Sheet.Protocol.Stages; len(stages) > 0 {
		x, ok, err := numbers.Number(stages[0].In)
		t.FirstIn, t.HasFirstIn = x, ok && err == nil
	}
	return t
}

// spawners are the codes of animals put to spawn in a batch, each once.
func spawners(f filled) []string {
	if f.tells.Spawning == nil {
		return nil
	}
	var list []string
	for i, box := range f.boxes {
		if box.Table == nil || f.batch.Readings[i].State != calc.Given ||
			!slices.ContainsFunc(f.tells.Spawning.Animals, func(x protocols.Field) bool { return x.Entry == box.Entry }) {
			continue
		}
		for _, code := range strings.FieldsFunc(f.batch.Readings[i].Text, func(r rune) bool { return strings.ContainsRune(",; \t\n", r) }) {
			list = AppendNew(list, code)
		}
	}
	return list
}

// writtenIn is the latest date or time written in each step; none where nothing is.
func writtenIn(b Batch) []time.Time {
	out := make([]time.Time, len(b.Sheet.Steps))
	for i, box := range b.Sheet.Boxes() {
		isTime := box.Entry.Kind == protocols.KindTime || box.Entry.Kind == protocols.KindDate
		if !isTime || box.Entry.AnyTime || b.Readings[i].State != calc.Given {
			continue
		}
		if t := time.Unix(int64(b.Readings[i].Number), 0).UTC(); t.After(out[box.Step]) {
			out[box.Step] = t
		}
	}
	return out
}

// codesIn lists the texts written in a batch that may be codes of batches.
func codesIn(b Batch) []codeWritten {
	var list []codeWritten
	for i, box := range b.Sheet.Boxes() {
		if r := b.Readings[i]; box.Entry.Kind == protocols.KindText && r.State == calc.Given {
			if text := strings.TrimSpace(r.Text); mayBeCode(text) {
				list = append(list, codeWritten{box.Step, text})
			}
		}
	}
	return list
}

// mayBeCode leaves out what calc.CheckBatchCode would refuse, or most of it.
func mayBeCode(text string) bool {
	return len(text) >= 3 && len(text) <= 20 && !strings.ContainsFunc(text, func(r rune) bool {
		return !(r == '-' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z')
	})
}

// LineageReadings are those of the entries and columns that tell of descent, blank ones
// too, and the parents that gave offspring.
type LineageReadings struct {
	At               map[calc.Key]calc.Reading
	Mothers, Fathers Figure
}

func lineageReadingsOf(f filled) LineageReadings {
	out := LineageReadings{}
	for _, field := range descentFields(f.tells) {
		for row := 1; ; row++ {
			i, ok := f.box(field, row)
			if !ok {
				break
			}
			if out.At == nil {
				out.At = map[calc.Key]calc.Reading{}
			}
			out.At[f.boxes[i].Key] = f.batch.Readings[i]
		}
	}
	if s := f.tells.Spawning; s != nil {
		out.Mothers, out.Fathers = f.number(s.Mothers), f.number(s.Fathers)
	}
	return out
}

// descentFields are what a protocol tells of descent; some of them may be nil.
func descentFields(t *protocols.Tells) []*protocols.Field {
	var out []*protocols.Field
	places := func(p *protocols.TellsPlaces) {
		if p != nil {
			out = append(out, p.Place, p.Animals)
		}
	}
	words := func(fields ...[]protocols.Field) {
		for _, list := range fields {
			for i := range list {
				out = append(out, &list[i])
			}
		}
	}
	if c := t.Collection; c != nil {
		words(c.Shore, c.Permit)
		places(c.Bags)
	}
	if r := t.Release; r != nil {
		words(r.Shore, r.Permit)
		places(r.Plots)
	}
	if s := t.Spawning; s != nil {
		out = append(out, s.On)
	}
	if r := t.Register; r != nil {
		out = append(out, r.Animal, r.Cohort, r.Sex)
	}
	if f := t.Fates; f != nil {
		out = append(out, f.Animal, f.Fate)
	}
	if c := t.Crosses; c != nil {
		out = append(out, c.Mother, c.Father, c.Eggs, c.Larvae, c.Kept)
	}
	if c := t.Closing; c != nil {
		out = append(out, c.Closed, c.By, c.On)
	}
	return out
}
