// Package calc scales a protocol to a batch: protocol + site + plan give a Sheet, in
// which every amount is computed, rounded to real glassware and split over vessels, and
// every entry has its name.
//
// What may enter: protocols, plans and sites as text or values, times as arguments.
// What may not: files, the clock, the environment, randomness, printed forms.
package calc

import (
	"fmt"
	"strconv"
	"time"

	"spatsheet/calc/quantity"
	"spatsheet/protocols"
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
	boxes    []Box // made once by Scale: they do not change
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

// Boxes lists every box of the sheet in printed order: for each step its single entries,
// its tables row by row, the entries worked out from those tables, then its initials. The
// list is the sheet's own: do not change it.
func (s *Sheet) Boxes() []Box {
	if s.boxes == nil {
		s.listBoxes()
	}
	return s.boxes
}

func (s *Sheet) listBoxes() {
	n := 0
	for i := range s.Steps {
		n += len(s.Steps[i].Definition.Entries) + 2
		for t := range s.Steps[i].Tables {
			n += len(s.Steps[i].Tables[t].Rows) * len(s.Steps[i].Tables[t].Definition.Columns)
		}
	}
	s.boxes = make([]Box, 0, n)
	for i := range s.Steps {
		s.singleBoxes(i, false)
		for t := range s.Steps[i].Tables {
			s.tableBoxes(i, &s.Steps[i].Tables[t])
		}
		s.singleBoxes(i, true)
		s.boxes = append(s.boxes, s.Steps[i].signatures(i)...)
	}
}

func (s *Sheet) tableBoxes(step int, table *Table) {
	def := table.Definition
	column := make([]Box, len(def.Columns)) // what is alike in every row
	for c := range def.Columns {
		e := &def.Columns[c]
		column[c] = Box{Step: step, Name: def.ID + "." + e.ID, Entry: e, Table: def, Planned: s.planned(e)}
	}
	for r, row := range table.Rows {
		before := def.Title + ", " + row.Label + ": "
		for _, box := range column {
			box.Key, box.Printed, box.Row = RowKey(def.ID, r+1, box.Entry.ID), before+box.Entry.Label, r+1
			s.boxes = append(s.boxes, box)
		}
	}
}

// singleBoxes lists a step's single entries: those worked out from tables, or the others.
func (s *Sheet) singleBoxes(i int, fromTable bool) {
	entries := s.Steps[i].Definition.Entries
	for e := range entries {
		if entry := &entries[e]; entry.FromTables == fromTable {
			s.boxes = append(s.boxes, Box{Key: Key(entry.ID), Name: entry.ID, Step: i, Printed: entry.Label, Entry: entry, Planned: s.planned(entry)})
		}
	}
}

// Initials are the entries that every signed step ends with.
var (
	doneInitials    = protocols.Entry{ID: "by", Label: "Done by (initials)", Kind: protocols.KindText, Required: true}
	checkedInitials = protocols.Entry{ID: "checked", Label: "Checked by (initials)", Kind: protocols.KindText, Required: true}
)

func (st *Step) signatures(i int) []Box {
	title := fmt.Sprintf("Step %d %s: ", st.Number, st.Definition.Title)
	var boxes []Box
	if st.Definition.Signed >= 1 {
		boxes = append(boxes, Box{Key: signedBy(st.Definition.ID), Name: string(signedBy(st.Definition.ID)), Step: i, Printed: title + "done by", Entry: &doneInitials})
	}
	if st.Definition.Signed >= 2 {
		boxes = append(boxes, Box{Key: checkedBy(st.Definition.ID), Name: string(checkedBy(st.Definition.ID)), Step: i, Printed: title + "checked by", Entry: &checkedInitials})
	}
	return boxes
}

func (s *Sheet) planned(e *protocols.Entry) *Amount {
	if e.Planned == "" {
		return nil
	}
	a, _ := s.Amount(e.Planned)
	return a
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
