package pedigree

import (
	"fmt"
	"math"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/season"
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

// record reads a filled sheet by what its protocol tells of descent.
type record struct {
	tells    *protocols.Tells
	start    time.Time
	readings season.LineageReadings
}

func newRecord(b season.Batch) record {
	return record{&b.Sheet.Protocol.Tells, b.Sheet.Plan.Start, b.Told().Lineage}
}

// row is the reading of a column in one row, from 1, or of a single entry; there is false
// beyond the last row, and where the field is not declared.
func (r record) row(field *protocols.Field, row int) (reading calc.Reading, there bool) {
	if field == nil {
		return calc.Reading{}, false
	}
	key := calc.Key(field.Name)
	if field.Table != nil {
		key = calc.RowKey(field.Table.ID, row, field.Entry.ID)
	}
	reading, there = r.readings.At[key]
	return reading, there
}

func (r record) rowText(field *protocols.Field, row int) string {
	reading, _ := r.row(field, row)
	if reading.State != calc.Given {
		return ""
	}
	return strings.TrimSpace(reading.Text)
}

func (r record) rowNumber(field *protocols.Field, row int) (float64, bool) {
	reading, there := r.row(field, row)
	return reading.Number, there && reading.State == calc.Given
}

// words are what entries say, joined by commas.
func (r record) words(fields []protocols.Field) string {
	var all []string
	for i := range fields {
		if text := r.rowText(&fields[i], 1); text != "" {
			all = append(all, text)
		}
	}
	return strings.Join(all, ", ")
}

func (r record) day(field *protocols.Field) time.Time {
	number, given := r.rowNumber(field, 1)
	if !given {
		return time.Time{}
	}
	return time.Unix(int64(number), 0).UTC()
}

func (r record) bags(t *protocols.TellsPlaces) []Bag {
	var bags []Bag
	for i := 1; t != nil; i++ {
		if _, there := r.row(t.Place, i); !there {
			break
		}
		n, given := r.rowNumber(t.Animals, i)
		if where := r.rowText(t.Place, i); given || where != "" {
			bags = append(bags, Bag{i, where, n})
		}
	}
	return bags
}

func (r record) founding() *Founding {
	c := r.tells.Collection
	if c == nil {
		return nil
	}
	return &Founding{r.words(c.Shore), r.words(c.Permit), r.bags(c.Bags)}
}

func (r record) release() *Release {
	t := r.tells.Release
	if t == nil {
		return nil
	}
	return &Release{r.words(t.Shore), r.words(t.Permit), r.bags(t.Plots)}
}

func (r record) spawning() *Spawning {
	t := r.tells.Spawning
	if t == nil {
		return nil
	}
	s := &Spawning{On: r.day(t.On)}
	if s.On.IsZero() {
		s.On = r.start
	}
	mothers, fathers := r.readings.Mothers, r.readings.Fathers
	switch {
	case !mothers.Has || !fathers.Has:
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
	here := map[string]bool{}
	for i, t := 1, r.tells.Register; t != nil; i++ {
		if _, there := r.row(t.Animal, i); !there {
			break
		}
		a := &Animal{Code: r.rowText(t.Animal, i), Cohort: r.rowText(t.Cohort, i), Sex: r.rowText(t.Sex, i), Lot: lot}
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
	l.fates(r)
}

func (l *Lineage) fates(r record) {
	t := r.tells.Fates
	for i := 1; t != nil; i++ {
		if _, there := r.row(t.Animal, i); !there {
			return
		}
		if a := l.byAnimal[r.rowText(t.Animal, i)]; a != nil {
			a.Fate = r.rowText(t.Fate, i)
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
