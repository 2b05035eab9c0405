package protocols

import (
	"slices"
	"strings"

	"spatsheet/protocols/document"
)

// LineagePart is what an entry or column tells of descent.
type LineagePart string

// The parts of lineage. Those of one group are read row by row beside each other.
const (
	// A collection from the shore: where from, under which permit, and by bag.
	FoundSite   LineagePart = "site"
	FoundPermit LineagePart = "permit"
	BagPlace    LineagePart = "bag_place"
	BagAnimals  LineagePart = "bag_animals"

	// A spawning: parents that gave offspring, not those present.
	Mothers   LineagePart = "mothers"
	Fathers   LineagePart = "fathers"
	SpawnedOn LineagePart = "spawned_on"

	// A register of animals with codes, and what became of them.
	AnimalCode   LineagePart = "animal"
	AnimalCohort LineagePart = "cohort"
	AnimalSex    LineagePart = "sex"
	FateOf       LineagePart = "fate_of"
	Fate         LineagePart = "fate"

	// Crosses of known parents, one a row; offspring counts of the same rows.
	CrossMother LineagePart = "mother"
	CrossFather LineagePart = "father"
	CrossEggs   LineagePart = "eggs"
	CrossLarvae LineagePart = "larvae"
	CrossKept   LineagePart = "kept"

	// The closed life cycle: a choice whose first word says yes, by whom, and when.
	Closed   LineagePart = "closed"
	ClosedBy LineagePart = "closed_by"
	ClosedOn LineagePart = "closed_on"

	// A release: shore, permit, and by plot.
	ReleaseSite   LineagePart = "release_site"
	ReleasePermit LineagePart = "release_permit"
	Plot          LineagePart = "plot"
	PlotAnimals   LineagePart = "plot_animals"
)

// lineageParts says of each part whether it is a column, and which kinds of entry do.
var lineageParts = []struct {
	part   LineagePart
	column bool
	kinds  []EntryKind
}{
	{FoundSite, false, wordKinds}, {FoundPermit, false, wordKinds}, {BagPlace, true, wordKinds}, {BagAnimals, true, numberKinds},
	{Mothers, false, numberKinds}, {Fathers, false, numberKinds}, {SpawnedOn, false, dayKinds},
	{AnimalCode, true, wordKinds}, {AnimalCohort, true, wordKinds}, {AnimalSex, true, wordKinds}, {FateOf, true, wordKinds}, {Fate, true, wordKinds},
	{CrossMother, true, wordKinds}, {CrossFather, true, wordKinds}, {CrossEggs, true, numberKinds}, {CrossLarvae, true, numberKinds}, {CrossKept, true, numberKinds},
	{Closed, false, []EntryKind{KindChoice}}, {ClosedBy, false, wordKinds}, {ClosedOn, false, dayKinds},
	{ReleaseSite, false, wordKinds}, {ReleasePermit, false, wordKinds}, {Plot, true, wordKinds}, {PlotAnimals, true, numberKinds},
}

func lineageKeys() []string {
	var keys []string
	for _, p := range lineageParts {
		keys = append(keys, string(p.part))
	}
	return keys
}

// lineage reads which entries tell of descent; entries and columns are known by now.
func (l *loader) lineage(f document.Fields) {
	if !f.Has("lineage") {
		return
	}
	n := f.Get("lineage")
	g := n.Fields(lineageKeys()...)
	l.p.Lineage = map[LineagePart]string{}
	for _, p := range lineageParts {
		if !g.Has(string(p.part)) {
			continue
		}
		at := g.Get(string(p.part))
		e, column := l.p.entryAt(at.Text())
		switch {
		case e == nil:
			at.Fault("there is no entry %q, nor a column of that name (table.column)", at.Text())
		case column && !p.column:
			at.Fault("%q is a column; %s wants a single entry", at.Text(), p.part)
		case !column && p.column:
			at.Fault("%q is a single entry; %s wants a column, table.column", at.Text(), p.part)
		case !slices.Contains(p.kinds, e.Kind):
			at.Fault("%q is a %s; %s wants one of: %s", at.Text(), e.Kind, p.part, joinKinds(p.kinds))
		}
		l.p.Lineage[p.part] = at.Text()
	}
}

// entryAt finds an entry by id, or a column as table.column; nil when there is none.
func (p *Protocol) entryAt(name string) (entry *Entry, column bool) {
	table, id, column := strings.Cut(name, ".")
	for s := range p.Steps {
		step := &p.Steps[s]
		if !column {
			if i := slices.IndexFunc(step.Entries, func(e Entry) bool { return e.ID == name }); i >= 0 {
				return &step.Entries[i], false
			}
			continue
		}
		for t := range step.Tables {
			columns := step.Tables[t].Columns
			if i := slices.IndexFunc(columns, func(e Entry) bool { return e.ID == id }); i >= 0 && step.Tables[t].ID == table {
				return &columns[i], true
			}
		}
	}
	return nil, column
}
