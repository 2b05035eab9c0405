package pedigree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spatsheet/calc/stats"
	"spatsheet/protocols/quantity"
)

// cohort is a lot, or the broodstock that it spawned.
type cohort struct {
	lot   *Lot
	stock bool
}

// spawned says whether the animals here hatched in this lot.
func (p cohort) spawned() bool { return p.lot.Spawning != nil && !p.stock }

// before lists the cohorts that animals came from, each with its link.
func (p cohort) before() []before {
	var out []before
	for _, link := range p.lot.line() {
		out = append(out, before{cohort{link.Parent, link.Carries == CarriesStock}, link})
	}
	return out
}

type before struct {
	cohort
	link *Link
}

// Generation counts from the shore: 0 is wild, 1 is F1.
type Generation struct {
	Number  int
	AtLeast bool // a line back ends at a batch that is no collection from the shore
}

// Says gives a generation in the trade's words.
func (g Generation) Says() string {
	switch {
	case g.AtLeast && g.Number == 0:
		return "of unknown origin"
	case g.AtLeast:
		return fmt.Sprintf("F%d if the first parents were wild", g.Number)
	case g.Number == 0:
		return "wild"
	}
	return fmt.Sprintf("F%d", g.Number)
}

// generation is that of the animals at a place: one more than the oldest line of its
// parents has, where it spawned.
func (l *Lineage) generation(p cohort) Generation {
	return l.generations(p, map[cohort]Generation{})
}

func (l *Lineage) generations(p cohort, known map[cohort]Generation) Generation {
	if g, ok := known[p]; ok {
		return g
	}
	var g Generation
	parents := p.before()
	g.AtLeast = len(parents) == 0 && p.lot.Founding == nil
	for _, b := range parents {
		of := l.generations(b.cohort, known)
		g.Number, g.AtLeast = max(g.Number, of.Number), g.AtLeast || of.AtLeast
	}
	if p.spawned() || len(parents) == 0 && (p.lot.Group == Larvae || p.lot.Group == Spat) { // hatched somewhere
		g.Number++
	}
	known[p] = g
	return g
}

// Heritage is what a cohort carries on: its generation, where its founders came from, and
// how many parents stood behind each generation.
type Heritage struct {
	Generation  Generation
	Founders    []Founder
	Generations []GenerationSize // from F1 on
	// Over all generations: the harmonic mean of the sizes, and the share of the founders'
	// diversity lost by drift. 0 where a size is missing.
	Size, Lost float64
	Notes      []string // what was taken for granted
}

// Founder is a founding collection's share in a cohort.
type Founder struct {
	Lot   *Lot
	Known bool // a collection from the shore; else a batch whose parents are not recorded
	Share float64
}

// GenerationSize is the effective size of the parents of one generation, and what one
// generation of this size adds to inbreeding.
type GenerationSize struct {
	Number int
	Lots   []*Lot
	Shares []float64 // of each lot in the cohort
	Size   float64   // 0: not known
	Rise   float64
	Note   string
}

// Heritage works out what a lot's offspring carry, or, of a lot that did not spawn, its
// animals.
//
// The sizes are numbers of animals, the shares lie between 0 and 1.
// Source: shares by arithmetic; size of several spawnings in one generation 1/Ne = sum of
// x^2/Ne, x the share of each, which takes their parents for different animals (Ryman and
// Laikre 1991, from memory); over generations harmonic mean, and lost 1 - product of
// (1 - 1/(2 Ne)) (Wright 1931, from memory). A cohort where one mother in a pool gave most
// has a smaller size than counts of parents tell.
func (l *Lineage) Heritage(lot *Lot) Heritage { return l.heritage(cohort{lot, false}) }

// HeritageOfStock is Heritage of the parents that a lot spawned, or of a register's animals.
func (l *Lineage) HeritageOfStock(lot *Lot) Heritage { return l.heritage(cohort{lot, true}) }

func (l *Lineage) heritage(p cohort) Heritage {
	known := map[cohort]Generation{}
	h := Heritage{Generation: l.generations(p, known)}
	s := sharing{l: l, generations: known}
	founders := s.of(p, func(q cohort) bool { return len(q.before()) == 0 })
	for _, lot := range l.inOrder(founders) {
		h.Founders = append(h.Founders, Founder{lot, lot.Founding != nil, founders[lot]})
	}
	for g := 1; g <= h.Generation.Number; g++ {
		h.Generations = append(h.Generations, l.sizeOf(g, s.of(p, func(q cohort) bool { return q.spawned() && l.generations(q, known).Number == g })))
	}
	h.overGenerations()
	h.Notes = append(h.Notes, s.notes...)
	return h
}

func (l *Lineage) inOrder(shares map[*Lot]float64) []*Lot {
	var lots []*Lot
	for _, lot := range l.Lots {
		if _, ok := shares[lot]; ok {
			lots = append(lots, lot)
		}
	}
	return lots
}

// sizeOf puts the spawnings of one generation together.
func (l *Lineage) sizeOf(number int, shares map[*Lot]float64) GenerationSize {
	g := GenerationSize{Number: number, Lots: l.inOrder(shares)}
	all := 0.0
	for _, lot := range g.Lots {
		all += shares[lot]
	}
	if all == 0 {
		g.Note = "no spawning of this generation is collected"
		return g
	}
	rate := 0.0
	for _, lot := range g.Lots {
		x := shares[lot] / all
		g.Shares = append(g.Shares, x)
		if lot.Spawning.Best() <= 0 {
			g.Note = lot.Batch + ": " + lot.Spawning.Note
			continue
		}
		rate += x * x / lot.Spawning.Best()
	}
	if g.Note != "" {
		return g
	}
	if all < 1-1e-9 {
		g.Note = "for the " + quantity.FormatNumber(all*100, 3) + " % of the line that was reared in this generation"
	}
	g.Size = 1 / rate
	if rise, err := stats.InbreedingPerGeneration(g.Size); err == nil {
		g.Rise = rise
	}
	return g
}

func (h *Heritage) overGenerations() {
	var sizes []float64
	kept := 1.0
	for _, g := range h.Generations {
		if g.Size <= 0 {
			return
		}
		sizes = append(sizes, g.Size)
		kept *= 1 - g.Rise
	}
	size, err := stats.EffectiveSizeOverGenerations(sizes)
	if err != nil || math.IsNaN(size) {
		return
	}
	h.Size, h.Lost = size, 1-kept
}

// sharing works out how much of a cohort goes back to each of some lots.
type sharing struct {
	l           *Lineage
	generations map[cohort]Generation
	notes       []string
}

// of gives the share of every lot that wanted accepts, on the way back from p.
func (s *sharing) of(p cohort, wanted func(cohort) bool) map[*Lot]float64 {
	return s.shares(p, wanted, map[cohort]map[*Lot]float64{})
}

func (s *sharing) shares(p cohort, wanted func(cohort) bool, known map[cohort]map[*Lot]float64) map[*Lot]float64 {
	if wanted(p) {
		return map[*Lot]float64{p.lot: 1}
	}
	if out, ok := known[p]; ok {
		return out
	}
	out := map[*Lot]float64{}
	for _, w := range s.weights(p) {
		for lot, share := range s.shares(w.cohort, wanted, known) {
			out[lot] += w.weight * share
		}
	}
	known[p] = out
	return out
}

type weighted struct {
	cohort
	weight float64
}

// weights says how much of the animals of a cohort came from each cohort before: by the
// crosses, by the numbers handed over, or else in equal parts, and says so.
func (s *sharing) weights(p cohort) []weighted {
	if p.spawned() {
		if out := s.byCrosses(p); out != nil {
			return out
		}
	}
	parents := s.nearest(p.before())
	if len(parents) == 0 {
		return nil
	}
	if out := byNumbers(p, parents); out != nil {
		s.note("%s: shares in proportion to what each parent batch handed over", p.lot.Batch)
		return out
	}
	out := make([]weighted, len(parents))
	for i, b := range parents {
		out[i] = weighted{b.cohort, 1 / float64(len(parents))}
	}
	if len(parents) > 1 {
		s.note("%s: equal shares of its %d parent batches, since nobody recorded who gave how much", p.lot.Batch, len(parents))
	}
	return out
}

func (s *sharing) note(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(s.notes, text) {
		s.notes = append(s.notes, text)
	}
}

// nearest leaves out a parent that is an ancestor of another one with no spawning between:
// the same animals by way of, say, a gonad check.
func (s *sharing) nearest(parents []before) []before {
	var out []before
	for i, b := range parents {
		same := func(j int, other before) bool {
			return i != j && s.l.generations(b.cohort, s.generations) == s.l.generations(other.cohort,
				s.generations) && (b.cohort != other.cohort && descends(other.lot, b.lot) || b.cohort == other.cohort && j < i)
		}
		if !slices.ContainsFunc(indexes(parents), func(j int) bool { return same(j, parents[j]) }) {
			out = append(out, b)
		}
	}
	return out
}

func indexes[T any](list []T) []int {
	out := make([]int, len(list))
	for i := range out {
		out[i] = i
	}
	return out
}

// byNumbers goes by numbers handed over, where every parent hands over the same count
// that this batch takes, and nothing spawned: numbers present say little of parents.
func byNumbers(p cohort, parents []before) []weighted {
	if len(parents) < 2 || p.lot.Spawning != nil {
		return nil
	}
	for _, setting := range p.lot.of.Sheet.Protocol.Settings {
		if setting.Handed == "" {
			continue
		}
		out, all := []weighted{}, 0.0
		for _, b := range parents {
			i := slices.IndexFunc(b.lot.Counts, func(c Count) bool { return c.ID == setting.Handed && c.Number > 0 })
			if _, counted := setting.Unit.Dimension().CountOf(); i < 0 || !counted {
				break
			}
			out, all = append(out, weighted{b.cohort, b.lot.Counts[i].Number}), all+b.lot.Counts[i].Number
		}
		if len(out) == len(parents) {
			for i := range out {
				out[i].weight /= all
			}
			return out
		}
	}
	return nil
}

// byCrosses goes by the crosses: half to the mother's cohort, half to the father's, each
// cross by its offspring; nil where a cohort names no batch that this one starts from.
func (s *sharing) byCrosses(p cohort) []weighted {
	var out tallies
	lots, all := map[string]*Lot{}, 0.0
	for _, c := range p.lot.Crosses {
		n := 1.0
		if c.HasOffspring {
			n = c.Offspring
		}
		for _, code := range []string{c.Mother, c.Father} {
			a := s.l.byAnimal[code]
			if a == nil || a.From == nil || a.From == p.lot || !descends(p.lot, a.From) {
				return nil
			}
			lots[a.From.Batch] = a.From
			out.add(a.From.Batch, n/2)
			all += n / 2
		}
	}
	if all <= 0 {
		return nil
	}
	var shares []weighted
	var words []string
	for i, batch := range out.names {
		share := out.numbers[i] / all
		shares = append(shares, weighted{cohort{lots[batch], false}, share})
		words = append(words, batch+" "+quantity.FormatNumber(share*100, 3)+" %")
	}
	s.note("%s: shares by the crosses and their offspring: %s", p.lot.Batch, strings.Join(words, ", "))
	return shares
}
