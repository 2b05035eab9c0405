// Package calc scales a protocol to a batch: protocol + site + plan give a Sheet, in
// which every amount is computed, rounded to real glassware and split over vessels, and
// every entry has its name.
//
// What may enter: protocols, plans and sites as text or values, times as arguments.
// What may not: files, the clock, the environment, randomness, printed forms.
package calc

import (
	"strconv"
	"time"

	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Sheet is a protocol scaled to one batch: the model that every printed and typed form
// is made from.
type Sheet struct {
	Protocol *protocols.Protocol
	Plan     Plan
	Site     Site
	Digest   string // DigestLength hex digits over protocol text, site and plan
	Settings []Value
	Amounts  []Amount // in the protocol's order
	Steps    []Step
	boxes    *boxes // made once by Scale: they do not change
	digestOf []byte // what the digest says of protocol and site
}

// Value is a setting's value for this batch and where it came from.
type Value struct {
	Setting  *protocols.Setting
	Quantity quantity.Quantity
	From     protocols.Giver
	Source   string // of a default or a species value; empty for what site and plan give
}

// Amount is an amount computed for this batch, with its working.
type Amount struct {
	Definition *protocols.Amount
	PutIn      string            // the formula with the numbers put in
	Inside     []string          // the arithmetic inside each function of the trade that the formula calls
	Exact      quantity.Quantity // before rounding
	Rounded    quantity.Quantity // what is printed large; the sum of Parts when split
	Rule       string            // how it was rounded, in words: "up to whole plates"
	Parts      []quantity.Quantity
}

// Step is a step of the protocol with this batch's values put in.
type Step struct {
	Definition *protocols.Step
	Number     int // from 1
	Time       time.Time
	Hours      float64 // from the batch's start to Time
	Do         string
	Amounts    []*Amount
	Cautions   []protocols.Caution
	Tables     []Table
}

// Table is an entry table with its rows counted.
type Table struct {
	Definition *protocols.Table
	Rows       []Row
	Shown      []*Amount // the split amounts printed in each row
}

// Row is a row of an entry table.
type Row struct {
	Label string
	Shown []quantity.Quantity // beside Table.Shown: this row's part of each
}

// Key names one box of a sheet: "eggs_total", "egg_counts.2.counted", "sign.rinse.by".
type Key string

// RowKey is the key of a table's box; row counts from 1.
func RowKey(table string, row int, column string) Key {
	return Key(table + "." + strconv.Itoa(row) + "." + column)
}

// Signature keys of a step: who did it and who checked it.
func signedBy(step string) Key  { return Key("sign." + step + ".by") }
func checkedBy(step string) Key { return Key("sign." + step + ".checked") }

// Box is one box to fill in, in the order of the sheet: what paper, workbook and checks
// all go by.
type Box struct {
	Key     Key
	Step    int    // index into Sheet.Steps
	Name    string // in formulas: the entry's id, or table.column
	Printed string // the name as printed: "Egg counts, Subsample 2: eggs counted"
	Entry   *protocols.Entry
	Table   *protocols.Table // nil for a single entry
	Row     int              // from 1 in a table, else 0
	Planned *Amount          // the amount the entry repeats, if any
}

// Wanted is what Planned says for this box: the row's part where the amount is dealt out
// over the table's rows, else the whole amount. Planned must not be nil.
func (b Box) Wanted() quantity.Quantity {
	if b.Table != nil && b.Table.RowCount == b.Planned.Definition.Split && b.Row <= len(b.Planned.Parts) {
		return b.Planned.Parts[b.Row-1]
	}
	return b.Planned.Rounded
}

// Brief is the sheet without boxes, rows and instructions: what is asked of a sheet once its
// readings are understood, and a tenth of its size.
func (s *Sheet) Brief() *Sheet {
	brief := *s
	brief.boxes = &boxes{}
	brief.Steps = make([]Step, len(s.Steps))
	for i := range s.Steps {
		step := &s.Steps[i]
		brief.Steps[i] = Step{Definition: step.Definition, Number: step.Number, Time: step.Time, Hours: step.Hours}
	}
	return &brief
}

// Amount finds a computed amount by id.
func (s *Sheet) Amount(id string) (*Amount, bool) {
	for i := range s.Amounts {
		if s.Amounts[i].Definition.ID == id {
			return &s.Amounts[i], true
		}
	}
	return nil, false
}

// Value finds a setting's value by id.
func (s *Sheet) Value(id string) (Value, bool) {
	for _, v := range s.Settings {
		if v.Setting.ID == id {
			return v, true
		}
	}
	return Value{}, false
}
