package pedigree

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/calc/stats"
	"spatsheet/protocols"
)

// crosses takes in a lot's crosses, holds them against the registers, and works out the
// effective size from unequal families.
func (l *Lineage) crosses(lot *Lot) {
	r := newRecord(lot.of)
	t := r.tells.Crosses
	if t == nil {
		return
	}
	for i := 1; ; i++ {
		if _, there := r.row(t.Mother, i); !there {
			break
		}
		c := Cross{Lot: lot, Number: i, Mother: r.rowText(t.Mother, i), Father: r.rowText(t.Father, i)}
		if c.Mother == "" && c.Father == "" {
			continue
		}
		lot.Crosses = append(lot.Crosses, c)
	}
	countFamilies(r, lot)
	for i := range lot.Crosses {
		c := lot.Crosses[i]
		for _, code := range slices.Compact([]string{c.Mother, c.Father}) {
			if a := l.byAnimal[code]; a != nil {
				a.Crosses = append(a.Crosses, c)
			}
		}
	}
	l.checkCrosses(lot)
	if lot.Spawning != nil {
		lot.Spawning.fromFamilies(lot.Crosses)
	}
}

// countFamilies gives every cross its offspring, all counted in the same: what the most
// crosses have, the latest in life first.
func countFamilies(r record, lot *Lot) {
	t := r.tells.Crosses
	counted := []struct {
		in   *protocols.Field
		says string
	}{{t.Kept, "spat kept"}, {t.Larvae, "larvae"}, {t.Eggs, "eggs"}}
	best, most := 0, 0
	for i, p := range counted {
		n := 0
		for _, c := range lot.Crosses {
			if _, given := r.rowNumber(p.in, c.Number); given {
				n++
			}
		}
		if n > most {
			best, most = i, n
		}
	}
	for i := range lot.Crosses {
		c := &lot.Crosses[i]
		c.Offspring, c.HasOffspring = r.rowNumber(counted[best].in, c.Number)
		c.OffspringCounted = counted[best].says
	}
}

// fromFamilies works out the size when families differ: offspring of each mother and of
// each father, over all crosses with a count.
func (s *Spawning) fromFamilies(crosses []Cross) {
	mothers, fathers := tallies{}, tallies{}
	for _, c := range crosses {
		if !c.HasOffspring || c.Mother == "" || c.Father == "" {
			return // a family not counted would be taken for an empty one
		}
		mothers.add(c.Mother, c.Offspring)
		fathers.add(c.Father, c.Offspring)
		s.FamiliesBy = c.OffspringCounted
	}
	if size, err := stats.EffectiveSizeFromContributions(fathers.numbers, mothers.numbers); err == nil {
		s.BySize = size
	}
}

// tallies adds up by name, in order of first mention.
type tallies struct {
	names   []string
	numbers []float64
}

func (t *tallies) add(name string, n float64) {
	i := slices.Index(t.names, name)
	if i < 0 {
		t.names, t.numbers = append(t.names, name), append(t.numbers, 0)
		i = len(t.names) - 1
	}
	t.numbers[i] += n
}

func (l *Lineage) checkCrosses(lot *Lot) {
	var unknown, wrongSex, sibs []string
	for _, c := range lot.Crosses {
		for _, parent := range []struct{ code, sex string }{{c.Mother, "F"}, {c.Father, "M"}} {
			a := l.byAnimal[parent.code]
			switch {
			case parent.code == "":
			case a == nil:
				unknown = season.AppendNew(unknown, parent.code)
			case !sexesAgree(a.Sex, parent.sex):
				wrongSex = season.AppendNew(wrongSex, fmt.Sprintf("%s (%s)", a.Code, a.Sex))
			}
		}
		if m, f := l.byAnimal[c.Mother], l.byAnimal[c.Father]; m != nil && f != nil && (m == f || m.Cohort != "" && m.Cohort == f.Cohort) {
			sibs = season.AppendNew(sibs, fmt.Sprintf("%s × %s", c.Mother, c.Father))
		}
	}
	if len(unknown) > 0 {
		l.find(lot, protocols.Error, "parent-not-registered",
			"parents of crosses stand in no register: "+some(unknown), "correct the code, or enter the animal in the register")
	}
	if len(wrongSex) > 0 {
		l.find(lot, protocols.Error, "sex-disagrees",
			"parents of crosses are of the other sex in the register: "+some(wrongSex),
			"see whether mother and father are swapped; correct the register if the sex was seen wrongly")
	}
	if len(sibs) > 0 {
		l.find(lot, protocols.Warning, "same-cohort",
			"mother and father are of one cohort, so they may be sibs: "+some(sibs),
			"cross animals of different cohorts; where a pool has many parents, most pairs are no sibs, but nobody can tell which")
	}
}

// some lists a few and counts the rest.
func some(list []string) string {
	const most = 5
	if len(list) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(list[:most], ", "), len(list)-most)
	}
	return strings.Join(list, ", ")
}

// close finds the spawnings whose parents were reared here: as written down, or because
// the parents' line goes through a spawning of ours.
func (l *Lineage) close() {
	for _, lot := range l.Lots {
		if lot.Spawning == nil {
			continue
		}
		r := newRecord(lot.of)
		t := r.tells.Closing
		if t == nil {
			t = &protocols.TellsClosing{}
		}
		reading, there := r.row(t.Closed, 1)
		told := there && reading.State == calc.Given
		parents := l.generation(cohort{lot, true})
		switch {
		case told && reading.Text == t.Closed.Entry.Choices[0]:
			c := Closing{Lot: lot, On: r.day(t.On), By: r.rowText(t.By, 1), Says: "eggs of an animal reared here cleaved, as written on the sheet"}
			if c.On.IsZero() {
				c.On = lot.Spawning.On
				c.Says += "; day of spawning, the day of cleaving is not written"
			}
			l.Closings = append(l.Closings, c)
			if parents.Number == 0 {
				l.find(lot, protocols.Warning, "closed-by-whom",
					"the life cycle is called closed, but the links do not lead to a spawning here: "+parents.Says(),
					"plan it from the batch that its animals were reared in, named as its parent")
			}
		case told:
		case parents.Number >= 1 && lot.Spawning.Mothers >= 1 && lot.Spawning.Fathers >= 1:
			l.Closings = append(l.Closings, Closing{Lot: lot, On: lot.Spawning.On, Says: "its parents are " +
				parents.Says() + " by the links of the plans, and gave offspring"})
		}
	}
	slices.SortStableFunc(l.Closings, func(a, b Closing) int {
		if c := a.On.Compare(b.On); c != 0 {
			return c
		}
		return strings.Compare(a.Lot.Batch, b.Lot.Batch)
	})
}

// ClosedOn is the day on which an animal reared here first gave offspring.
func (l *Lineage) ClosedOn() (day time.Time, closed bool) {
	if len(l.Closings) == 0 {
		return time.Time{}, false
	}
	return l.Closings[0].On, true
}
