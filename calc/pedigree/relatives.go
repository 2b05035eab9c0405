package pedigree

import (
	"regexp"
	"slices"
	"strconv"

	"spatsheet/calc/season"
)

// Branch is a lot on the way back or on, with what lies beyond it.
type Branch struct {
	Link     *Link // the link followed; its Parent is nil where it is broken
	Lot      *Lot  // nil where the link is broken
	Shown    bool  // the lot stands in the tree before; its branches are not repeated
	Branches []Branch
}

// Ancestors is the tree of what a lot started from, supplies too, back to the shore. A lot
// reached twice is given in full the first time.
func (l *Lineage) Ancestors(lot *Lot) []Branch {
	return grow(lot, map[*Lot]bool{}, func(at *Lot) []*Link { return at.Parents }, func(link *Link) *Lot { return link.Parent })
}

// Descendants is the tree of what started from a lot.
func (l *Lineage) Descendants(lot *Lot) []Branch {
	return grow(lot, map[*Lot]bool{}, func(at *Lot) []*Link { return at.Children }, func(link *Link) *Lot { return link.Child })
}

func grow(lot *Lot, shown map[*Lot]bool, links func(*Lot) []*Link, end func(*Link) *Lot) []Branch {
	var out []Branch
	for _, link := range links(lot) {
		b := Branch{Link: link, Lot: end(link)}
		switch {
		case b.Lot == nil:
		case shown[b.Lot]:
			b.Shown = true
		default:
			shown[b.Lot] = true
			b.Branches = grow(b.Lot, shown, links, end)
		}
		out = append(out, b)
	}
	return out
}

// Relatives lists a lot with all its ancestors and descendants, in the order of Lots.
func (l *Lineage) Relatives(lot *Lot) []*Lot {
	in := map[*Lot]bool{lot: true}
	var take func(branches []Branch)
	take = func(branches []Branch) {
		for _, b := range branches {
			if b.Lot != nil {
				in[b.Lot] = true
			}
			take(b.Branches)
		}
	}
	take(l.Ancestors(lot))
	take(l.Descendants(lot))
	return slices.DeleteFunc(slices.Clone(l.Lots), func(lot *Lot) bool { return !in[lot] })
}

// Parentage is a spawning that an animal may come from, with its possible parents.
type Parentage struct {
	Lot              *Lot
	Mothers, Fathers []string // codes, where the spawning recorded crosses
	Pool             bool     // any of the parents may be the one
}

// crossNamed finds a cross or family that a cohort names: "KS-27-01 cross 3".
var crossNamed = regexp.MustCompile(`(?i)\b(?:cross|family)\s+(\d+)`)

// Parentage lists the spawnings that an animal may come from: those of the batch that its
// cohort names, or else of all that its register started from. A pool keeps all possible
// parents.
func (l *Lineage) Parentage(a *Animal) []Parentage {
	start, number := cohort{a.Lot, true}, ""
	if a.From != nil {
		start = cohort{a.From, false}
		if m := crossNamed.FindStringSubmatch(a.Cohort); m != nil {
			number = m[1]
		}
	}
	var out []Parentage
	seen := map[cohort]bool{}
	var back func(p cohort)
	back = func(p cohort) {
		if seen[p] {
			return
		}
		seen[p] = true
		if p.spawned() {
			out = append(out, parentageIn(p.lot, number))
			return
		}
		for _, b := range p.before() {
			back(b.cohort)
		}
	}
	back(start)
	return out
}

func parentageIn(lot *Lot, number string) Parentage {
	p := Parentage{Lot: lot, Pool: true}
	wanted, err := strconv.Atoi(number)
	for _, c := range lot.Crosses {
		if err == nil && c.Number != wanted {
			continue
		}
		p.Mothers, p.Fathers = season.AppendNew(p.Mothers, c.Mother), season.AppendNew(p.Fathers, c.Father)
		p.Pool = err != nil
	}
	return p
}
