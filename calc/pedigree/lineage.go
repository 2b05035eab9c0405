// Package pedigree follows animals between batches: who descends from whom, which founders
// are left, how many parents count, and what is wrong where one batch takes from another.
//
// What may enter: the batches of a season. What may not: files, printed forms, times to come.
package pedigree

import (
	"errors"
	"time"

	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// ErrCircle is a batch that is its own ancestor.
var ErrCircle = errors.New("a batch is its own ancestor")

// Lineage is who descends from whom, over all collected batches: batches linked by the
// parents that their plans name, with the animals and crosses of registers.
type Lineage struct {
	Lots     []*Lot // by start; of those that start together, parents first
	Animals  []*Animal
	Closings []Closing // reared animals that gave offspring, by date; the first closed the cycle
	Findings []season.Finding
	byCode   map[string]*Lot
	byAnimal map[string]*Animal
}

// Group is what a lot is in the life of the animals: a drawing gives each its own shape.
type Group string

// The groups. A supply gives plates, feed or figures, never animals.
const (
	FromShore Group = "collection"
	Kept      Group = "animals"
	Spawned   Group = "spawning"
	Larvae    Group = "larvae"
	Spat      Group = "spat"
	Released  Group = "release"
	Supply    Group = "supply"
)

// Lot is one collected batch as a member of the lineage.
type Lot struct {
	Batch, Protocol, Title, Species string
	Start                           time.Time
	Revision                        int
	Group                           Group
	Counts                          []Count // what it hands over, where its readings allow
	Parents, Children               []*Link // in the order of the plan; by start of the child
	Founding                        *Founding
	Spawning                        *Spawning
	Release                         *Release
	Animals                         []*Animal // its register
	Crosses                         []Cross
	of                              season.Batch
}

// Count is a number of animals, larvae or the like.
type Count struct {
	ID, Label, Unit string
	Number          float64
}

// Founding is a collection of wild animals.
type Founding struct {
	Site, Permit string
	Bags         []Bag
}

// Bag is a numbered bag of animals taken at one place.
type Bag struct {
	Row     int
	Place   string
	Animals float64
}

// Release is a planting out on the shore.
type Release struct {
	Site, Permit string
	Plots        []Bag
}

// Spawning is a spawning with the parents that gave offspring.
type Spawning struct {
	Mothers, Fathers int // 0 where not recorded
	On               time.Time
	Size             float64 // effective size if all gave alike; 0 where it cannot be told
	BySize           float64 // the same from unequal families; 0 where these are not recorded
	FamiliesBy       string  // what families were counted in: "spat kept"
	Note             string  // why there is no size
}

// Best is the effective size to go by: from families where they are recorded. 0: none.
func (s *Spawning) Best() float64 {
	if s.BySize > 0 {
		return s.BySize
	}
	return s.Size
}

// Animal is one animal of a register.
type Animal struct {
	Code, Cohort, Sex, Fate string
	Lot                     *Lot // whose register it stands in first
	From                    *Lot // the batch that its cohort names; nil when none is named
	Crosses                 []Cross
}

// Cross is one mother with one father.
type Cross struct {
	Lot              *Lot
	Number           int // row, from 1
	Mother, Father   string
	Offspring        float64
	HasOffspring     bool
	OffspringCounted string // "spat kept", "larvae", "eggs"
}

// Closing is a spawning of animals reared here: the life cycle closed.
type Closing struct {
	Lot  *Lot
	On   time.Time // the day the eggs cleaved, where written; else the day of spawning
	By   string    // the mother's code, where written
	Says string    // how it is known
}

// Carry is what a link passes on.
type Carry string

// What links carry: offspring (or the animals themselves, where nothing spawned), the
// broodstock after a spawning, or something that is no animal of the line.
const (
	CarriesLine  Carry = "line"
	CarriesStock Carry = "broodstock"
	CarriesOther Carry = "supply"
)

// Link says that a batch started from another.
type Link struct {
	Code     string // of the parent batch
	Parent   *Lot   // nil when it is not collected
	Child    *Lot
	Revision int // of the parent when the child was planned
	Carries  Carry
	Gave     []Given
}

// Given is a setting of the child that the parent filled.
type Given struct {
	Setting, HandedOver string
	Value               quantity.Quantity
}

// Lot finds a batch by code.
func (l *Lineage) Lot(code string) (*Lot, bool) {
	lot, ok := l.byCode[code]
	return lot, ok
}

// Animal finds a registered animal by code.
func (l *Lineage) Animal(code string) (*Animal, bool) {
	a, ok := l.byAnimal[code]
	return a, ok
}

// line lists the collected parents that animals came from.
func (lot *Lot) line() []*Link {
	var links []*Link
	for _, link := range lot.Parents {
		if link.Parent != nil && link.Carries != CarriesOther {
			links = append(links, link)
		}
	}
	return links
}

// descends says whether a lot has another among its ancestors, or is the same.
func descends(lot, from *Lot) bool {
	seen := map[*Lot]bool{}
	var search func(at *Lot) bool
	search = func(at *Lot) bool {
		if at == from {
			return true
		}
		seen[at] = true
		for _, link := range at.line() {
			if !seen[link.Parent] && search(link.Parent) {
				return true
			}
		}
		return false
	}
	return search(lot)
}

func (l *Lineage) find(at *Lot, level protocols.Level, code, says, remedy string) {
	l.Findings = append(l.Findings, season.Finding{Batch: at.Batch, Finding: check.Finding{Level: level, Code: code, Says: says, Remedy: remedy}})
}

// thingOf is what a hand-over counts; empty for shares and densities.
func thingOf(h protocols.HandOver) string {
	thing, _ := h.Unit.Dimension().CountOf()
	return thing
}

func day(t time.Time) string { return t.Format("2006-01-02") }
