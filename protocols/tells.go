package protocols

import (
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// Tells is what a protocol tells the season, by declaration: the season knows no entry of
// any protocol by its name. What is not declared stands in no report.
//
// There are four shapes: a number is a formula over settings, amounts and readings; words
// are an entry, or several whose words are joined by commas; a time is an entry; a series
// is columns of entry tables that are read row by row beside each other. Nil, or an empty
// list, is a part that is not declared.
type Tells struct {
	Collection *TellsCollection
	Release    *TellsRelease
	Deaths     *TellsDeaths
	Larvae     []TellsLarvae
	Lengths    *TellsLengths
	Water      TellsWater
	Spawning   *TellsSpawning
	GonadIndex *TellsNumber // %, mean of the females looked at
	Register   *TellsRegister
	Fates      *TellsFates
	Crosses    *TellsCrosses
	Closing    *TellsClosing
	Declared   []Declaration // every part, in the order of the topics
}

// Declaration is one part as it was written.
type Declaration struct {
	Part string // with its topic: release.lost
	By   string // died_marking + died_transport
}

// TellsNumber is a number by formula, and the unit that it is told in.
type TellsNumber struct {
	Formula *formula.Formula
	Unit    quantity.Unit
}

// Field is an entry, or a column of an entry table.
type Field struct {
	Name  string // in formulas: the entry's id, or table.column
	Entry *Entry
	Table *Table // nil for a single entry
}

// TellsCollection is a day on the shore; numbers in animals.
type TellsCollection struct {
	Shore, Permit                                []Field
	Taken, Returned, Kept, Injured, Dead, Landed *TellsNumber
	Bags                                         *TellsPlaces
}

// TellsRelease is a planting out; numbers in animals.
type TellsRelease struct {
	Shore, Permit, Parents, Mark []Field
	Released, Lost, Shells       *TellsNumber
	Plots                        *TellsPlaces
	VisitDate, VisitLive         *Field // columns, one row for a visit
}

// TellsPlaces are animals by place, a row for each.
type TellsPlaces struct{ Place, Animals *Field }

// TellsDeaths are losses over time: of all animals by a row a day, of classes one loss a
// row, or of classes as counted on some days.
type TellsDeaths struct {
	Dead, Removed, Alive                     *Field // a row a day
	Class, ClassDay, ClassDead, ClassRemoved *Field // a row for each loss
	ClassIn                                  *Field // came in, a row for each class, which its label names
	ClassCounts                              []TellsCount
}

// TellsCount is a column that counts the classes alive at a time after the start, in
// hours; At is nil for the last day that is counted.
type TellsCount struct {
	Alive *Field
	At    *formula.Formula
}

// TellsLarvae are larvae counted over time, a row for each count, by its time or its age
// from fertilisation; before it a first count of all.
type TellsLarvae struct {
	Fertilised *Field
	First      *TellsNumber // larvae
	FirstAt    *Field
	Alive      *Field // a column of larvae
	At, Age    *Field // columns; at least one
}

// TellsLengths are samples of lengths.
type TellsLengths struct {
	Cohort  []Field
	Samples []TellsSample
}

// TellsSample is one sample: columns of animals measured one by one, or a mean.
type TellsSample struct {
	At   *Field
	Of   []Field      // columns in mm
	Mean *TellsNumber // mm
}

// TellsWater is what was read of the water that the animals live in, in °C, PSU and pH.
type TellsWater struct{ Temperature, Salinity, PH []Field }

// TellsSpawning is a spawning; numbers in animals.
type TellsSpawning struct {
	Females          *TellsNumber // put to spawn
	Mothers, Fathers *TellsNumber // that gave offspring
	On               *Field
	InducedBy        []Field
	Animals          []Field // columns with the codes of animals put to spawn
}

// TellsRegister is a register of animals with codes, a row for each.
type TellsRegister struct{ Animal, Cohort, Sex *Field }

// TellsFates is what became of animals of a register, a row for each.
type TellsFates struct{ Animal, Fate *Field }

// TellsCrosses are crosses of known parents, a row for each, with counts of their offspring.
type TellsCrosses struct{ Mother, Father, Eggs, Larvae, Kept *Field }

// TellsClosing is the closed life cycle: a choice whose first word says yes, whose eggs
// cleaved, and when.
type TellsClosing struct{ Closed, By, On *Field }
