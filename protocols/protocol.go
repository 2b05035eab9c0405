// Package protocols knows what a protocol is: the definition of one stage of hatchery
// work, versioned and sourced, with its settings, amounts, steps, entries and checks.
//
// What may enter: protocol text (bytes or an fs.FS handed in), formulas, units. What may
// not: batches, sites, plans, readings; those belong to calc.
package protocols

import (
	"slices"
	"strings"

	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

// Protocol is one released or draft version of a protocol.
type Protocol struct {
	ID        string
	Version   string // three numbers: amount or required entry . optional entry . wording
	Title     string
	Stage     string
	Purpose   string
	AppliesTo []string // genera or species it has been written for
	Roles     []Role
	Cautions  []Caution
	Materials []Material
	Settings  []Setting
	Amounts   []Amount // in the order of the file; Order gives the order of computing
	Order     []int    // indexes into Amounts, each after those it needs
	Limits    []Limit
	Steps     []Step
	Checks    []Check
	Stages    []StageCount
	HandsOver []HandOver
	Timetable Timetable
	Tells     Tells // what the season is told
	Sources   []Source
	Changes   []Change
	Digest    string // SHA-256 of the protocol's text, in hex
	Text      []byte // the text itself, as loaded
}

// Ref names the protocol and version, such as "diatom-culture@1.0.0".
func (p *Protocol) Ref() string { return p.ID + "@" + p.Version }

// IsFor says whether the protocol is written for a species, by its name or its genus.
func (p *Protocol) IsFor(species string) bool {
	return slices.ContainsFunc(p.AppliesTo, func(taxon string) bool { return species == taxon || strings.HasPrefix(species, taxon+" ") })
}

// Role is a person's part in the work.
type Role struct{ ID, Does string }

// Caution is a warning, printed beside the steps it belongs to.
type Caution struct {
	ID    string
	Text  string
	Steps []string // ids of steps
}

// Material is something to have at hand; Amount may name an amount or a setting.
type Material struct {
	Name   string
	Amount string
	Note   string
}

// Giver says who must give a setting its value.
type Giver string

// The givers of settings. A setting given by the protocol has a default; the species
// profile, the site and the plan, in this order, may still overrule it.
const (
	ByProtocol Giver = "protocol"
	BySpecies  Giver = "species"
	BySite     Giver = "site"
	ByPlan     Giver = "plan"
)

// Setting is a value that amounts are computed from.
type Setting struct {
	ID        string
	Label     string
	Unit      quantity.Unit
	GivenBy   Giver
	Default   quantity.Quantity // in Unit; holds only when GivenBy is ByProtocol
	Low, High float64           // allowed range in Unit, both included
	Whole     bool              // a count that has no halves
	Scales    bool              // part of the batch's size: grows when the batch grows
	Source    string            // a source id, "common practice" or "site choice"
	Note      string
	Handed    string            // id of the hand-over that a parent batch fills it from
	Example   quantity.Quantity // a plausible value in Unit, for settings given by the plan
}

// RoundTo is what an amount is rounded to.
type RoundTo string

// The roundings: not at all, to whole things, to a graduation of the site's glassware or
// balance, or to significant figures.
const (
	RoundNone    RoundTo = "none"
	RoundWhole   RoundTo = "whole"
	RoundMeasure RoundTo = "measure"
	RoundFigures RoundTo = "figures"
)

// Direction of a rounding.
type Direction string

// The directions of rounding.
const (
	Nearest Direction = "nearest"
	Up      Direction = "up"
	Down    Direction = "down"
)

// Rounding is an amount's rounding rule.
type Rounding struct {
	To        RoundTo
	Direction Direction
	Figures   int // for RoundFigures
}

// Amount is a quantity computed from settings and other amounts.
type Amount struct {
	ID      string
	Label   string
	Unit    quantity.Unit
	Formula *formula.Formula
	Round   Rounding
	Split   string // id of a whole amount (vessels): the amount is divided over that many
	Scales  bool   // grows with the batch; false for densities and times
	Note    string
}

// Limit compares what a batch needs with what the site has.
type Limit struct {
	What  string // in words: "spawning beakers"
	Needs string // an amount
	Has   string // a setting given by the site
}

// Step is one thing to do, with what is written down while doing it.
type Step struct {
	ID       string
	Title    string
	At       *formula.Formula // time after the batch's start, in hours, from settings and times of earlier steps; nil when not timed
	DoneAt   string           // the entry of this step that says when it was done; empty: none
	Every    *formula.Formula // hours until it is done again, once for each row of its first table; nil: once
	Until    string           // id of the step before which it is done the last time; empty: as often as there are rows
	Do       string           // instructions; {name} stands for a setting's or amount's value
	Amounts  []string
	Signed   int // initials wanted: 0, 1 (who did it) or 2 (and who checked)
	Entries  []Entry
	Tables   []Table
	Cautions []string // ids, from the cautions that name this step
}

// EntryKind is what may be written into an entry.
type EntryKind string

// The kinds of entry.
const (
	KindNumber EntryKind = "number"
	KindCount  EntryKind = "count" // a whole number
	KindText   EntryKind = "text"
	KindChoice EntryKind = "choice"
	KindDate   EntryKind = "date"
	KindTime   EntryKind = "time" // date and clock time
)

// Entry is a box to fill in: by itself in a step, or as a column of an entry table.
type Entry struct {
	ID        string
	Label     string
	Kind      EntryKind
	Unit      quantity.Unit // for numbers and counts
	HasRange  bool
	Low, High float64 // plausible range in Unit, both included
	Required  bool
	Choices   []string
	Alarming  []string         // choices that are a finding by themselves, such as a contaminant
	Planned   string           // an amount this entry repeats in fact: "used" against planned
	Tolerance float64          // allowed share of difference from Planned, such as 0.1
	WorksOut  *formula.Formula // the entry is worked out from other readings
	How       string           // the same in words, printed beside the box
	Trend     Trend            // of a column from row to row
	// Replicates: a column of counts of equal subsamples of one stirred vessel, whose
	// spread tells whether it was mixed.
	Replicates bool
	Note       string
	Example    Example
	AnyTime    bool // a date or time that may lie far from its step and the batch, such as a permit's
	FromTables bool // worked out from entry tables of its step: it comes after them
}

// Example is a plausible value, for sheets filled in by a program: for numbers, dates and
// times a formula (Formula, over settings, amounts, readings, row, hour, day, minute),
// for choices and texts the word itself.
type Example struct {
	Formula *formula.Formula
	Texts   []string // by row, from the first again after the last
}

// measured says whether the entry holds a number.
func (e *Entry) measured() bool { return e.Kind == KindNumber || e.Kind == KindCount }

// Trend says how a column may go from one filled row to the next.
type Trend string

// The trends.
const (
	AnyTrend  Trend = ""
	NeverUp   Trend = "never up"
	NeverDown Trend = "never down"
)

// Table is an entry table: rows by vessel, day or the like, and columns to fill in.
type Table struct {
	ID       string
	Title    string
	RowLabel string // "Beaker" gives "Beaker 1", "Beaker 2" ...
	RowCount string // a whole amount or setting; empty when Rows is fixed
	Rows     []string
	Partial  bool     // rows are filled as far as the work goes; at least one
	Shows    []string // split amounts printed in each row
	Labels   Labels
	Columns  []Entry
}

// Labels says whether the rows of a table are things that labels are stuck on.
type Labels string

// Who says so: the count of the rows, where it is in things (tanks, plates) or an amount
// is dealt out over it; or the protocol.
const (
	LabelsByCount Labels = "by count"
	Labelled      Labels = "yes"
	NoLabels      Labels = "no"
)

// Level of a check or finding.
type Level string

// The levels, worst first.
const (
	Error   Level = "error"
	Warning Level = "warning"
	Note    Level = "note"
)

// Rank orders levels: 0 is the worst, also that of no level.
func (l Level) Rank() int { return map[Level]int{Error: 0, Warning: 1, Note: 2}[l] }

// Check is a rule over readings that must hold.
type Check struct {
	ID     string
	Rule   *formula.Formula
	Level  Level
	Each   string // a table whose rows are held against the rule one by one; empty for one rule over all
	At     string // the entry or table column the finding is shown at
	Says   string
	Remedy string
}

// StageCount tells how many went into a stage of life and how many came out alive.
type StageCount struct {
	ID      string
	Label   string
	In, Out *formula.Formula
	InUnit  quantity.Unit
	OutUnit quantity.Unit
}

// HandOver is what a batch leaves for the next one, such as competent larvae.
type HandOver struct {
	ID      string
	Label   string
	Unit    quantity.Unit
	Formula *formula.Formula
}

// Source is a publication or other origin of values.
type Source struct{ ID, Text string }

// Change says what a version changed.
type Change struct{ Version, Note string }

// Setting finds a setting by id.
func (p *Protocol) Setting(id string) (*Setting, bool) {
	for i := range p.Settings {
		if p.Settings[i].ID == id {
			return &p.Settings[i], true
		}
	}
	return nil, false
}

// Amount finds an amount by id.
func (p *Protocol) Amount(id string) (*Amount, bool) {
	for i := range p.Amounts {
		if p.Amounts[i].ID == id {
			return &p.Amounts[i], true
		}
	}
	return nil, false
}
