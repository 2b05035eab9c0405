package season

import (
	"fmt"
	"math"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

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

// record reads a filled sheet by the parts of lineage that its protocol declares.
type record struct {
	protocol *protocols.Protocol
	start    time.Time
	readings lineageReadings
}

func newRecord(b Batch) record {
	return record{b.Sheet.Protocol, b.Sheet.Plan.Start, b.asked().lineage}
}

func (r record) declares(part protocols.LineagePart) bool { return r.protocol.Lineage[part] != "" }

// one is the reading of a single entry; ok is false when it is not given.
func (r record) one(part protocols.LineagePart) (calc.Reading, bool) {
	reading, there := r.readings[calc.Key(r.protocol.Lineage[part])]
	return reading, there && reading.State == calc.Given
}

func (r record) text(part protocols.LineagePart) string {
	reading, _ := r.one(part)
	return strings.TrimSpace(reading.Text)
}

func (r record) day(part protocols.LineagePart) time.Time {
	reading, ok := r.one(part)
	if !ok {
		return time.Time{}
	}
	return time.Unix(int64(reading.Number), 0).UTC()
}

// row is the reading of a column in one row, from 1; there is false beyond the last row.
func (r record) row(part protocols.LineagePart, row int) (reading calc.Reading, there bool) {
	table, column, _ := strings.Cut(r.protocol.Lineage[part], ".")
	reading, there = r.readings[calc.RowKey(table, row, column)]
	return reading, there
}

func (r record) rowText(part protocols.LineagePart, row int) string {
	reading, _ := r.row(part, row)
	if reading.State != calc.Given {
		return ""
	}
	return strings.TrimSpace(reading.Text)
}

func (r record) rowNumber(part protocols.LineagePart, row int) (float64, bool) {
	reading, there := r.row(part, row)
	return reading.Number, there && reading.State == calc.Given
}

func (r record) bags(place, animals protocols.LineagePart) []Bag {
	var bags []Bag
	for i := 1; ; i++ {
		if _, there := r.row(place, i); !there {
			return bags
		}
		n, given := r.rowNumber(animals, i)
		if where := r.rowText(place, i); given || where != "" {
			bags = append(bags, Bag{i, where, n})
		}
	}
}

func (r record) founding() *Founding {
	if !r.declares(protocols.FoundSite) {
		return nil
	}
	return &Founding{r.text(protocols.FoundSite), r.text(protocols.FoundPermit), r.bags(protocols.BagPlace, protocols.BagAnimals)}
}

func (r record) release() *Release {
	if !r.declares(protocols.ReleaseSite) {
		return nil
	}
	return &Release{r.text(protocols.ReleaseSite), r.text(protocols.ReleasePermit), r.bags(protocols.Plot, protocols.PlotAnimals)}
}

func (r record) spawning() *Spawning {
	if !r.declares(protocols.Mothers) || !r.declares(protocols.Fathers) {
		return nil
	}
	s := &Spawning{On: r.day(protocols.SpawnedOn)}
	if s.On.IsZero() {
		s.On = r.start
	}
	mothers, hasMothers := r.one(protocols.Mothers)
	fathers, hasFathers := r.one(protocols.Fathers)
	switch {
	case !hasMothers || !hasFathers:
		s.Note = "mothers or fathers that gave offspring are not recorded"
		return s
	case mothers.Number != math.Trunc(mothers.Number) || fathers.Number != math.Trunc(fathers.Number):
		s.Note = "mothers or fathers that gave offspring are not whole numbers: see the findings"
		return s
	}
	s.Mothers, s.Fathers = int(mothers.Number), int(fathers.Number)
	size, err := stats.EffectiveSize(s.Fathers, s.Mothers)
	if err != nil {
		s.Note = "no effective size: " + err.Error()
		return s
	}
	s.Size = size
	return s
}

// register takes in the animals of a lot's register. An animal may stand in a later
// register again; two animals of one code may not.
func (l *Lineage) register(lot *Lot) {
	r := newRecord(lot.of)
	if !r.declares(protocols.AnimalCode) {
		return
	}
	here := map[string]bool{}
	for i := 1; ; i++ {
		if _, there := r.row(protocols.AnimalCode, i); !there {
			break
		}
		a := &Animal{Code: r.rowText(protocols.AnimalCode, i), Cohort: r.rowText(protocols.AnimalCohort, i), Sex: r.rowText(protocols.AnimalSex, i), Lot: lot}
		if a.Code == "" {
			continue
		}
		if here[a.Code] {
			l.find(lot, protocols.Error, "code-twice", fmt.Sprintf("the code %s stands twice in the register", a.Code), "give each animal a code of its own, and say which crosses were whose")
			continue
		}
		here[a.Code] = true
		lot.Animals = append(lot.Animals, l.enter(lot, a))
	}
	for i := 1; ; i++ {
		if _, there := r.row(protocols.FateOf, i); !there {
			return
		}
		if a := l.byAnimal[r.rowText(protocols.FateOf, i)]; a != nil {
			a.Fate = r.rowText(protocols.Fate, i)
		}
	}
}

// enter makes an animal known, or finds it known already.
func (l *Lineage) enter(lot *Lot, a *Animal) *Animal {
	before, known := l.byAnimal[a.Code]
	if !known {
		if a.From = l.lotNamedIn(a.Cohort); a.From != nil && !descends(lot, a.From) {
			l.find(lot, protocols.Warning, "cohort-not-ancestor", fmt.Sprintf("animal %s is of cohort %q, but this batch does not start from %s", a.Code, a.Cohort, a.From.Batch),
				fmt.Sprintf("plan it with --parent %s, or correct the cohort", a.From.Batch))
		}
		l.byAnimal[a.Code] = a
		l.Animals = append(l.Animals, a)
		return a
	}
	if before.Cohort != a.Cohort || !sexesAgree(before.Sex, a.Sex) {
		l.find(lot, protocols.Error, "code-twice", fmt.Sprintf("the code %s is that of an animal of %s (%s, %s) and of another here (%s, %s)", a.Code, before.Lot.Batch, before.Cohort, before.Sex, a.Cohort, a.Sex),
			"a code is never used again; give the new animal another")
		return before
	}
	if before.Sex != "F" && before.Sex != "M" {
		before.Sex = a.Sex
	}
	return before
}

// sexesAgree lets a sex not yet seen go with either.
func sexesAgree(a, b string) bool {
	seen := func(s string) bool { return s == "F" || s == "M" }
	return a == b || !seen(a) || !seen(b)
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
