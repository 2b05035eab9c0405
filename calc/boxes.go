package calc

import (
	"fmt"
	"strconv"
	"sync"

	"spatsheet/protocols"
)

// Boxes lists every box of the sheet in printed order: for each step its single entries,
// its tables row by row, the entries worked out from those tables, then its initials. The
// list is the sheet's own: do not change it.
func (s *Sheet) Boxes() []Box { return s.listed().list }

// BoxAt is the index in Boxes of a key; ok is false when the sheet has no such box.
func (s *Sheet) BoxAt(key Key) (i int, ok bool) {
	i, ok = s.listed().index().byKey[key]
	return i, ok
}

// BoxNamed is the index in Boxes of the first box of a name, see Box.Name: of a column that
// in row 1. ok is false when the sheet has no such box.
func (s *Sheet) BoxNamed(name string) (i int, ok bool) {
	i, ok = s.listed().index().byName[name]
	return i, ok
}

// boxes are the boxes of a sheet, and of those that are alike but for times.
type boxes struct {
	list   []Box
	once   sync.Once // makes the maps, which not everybody asks for
	byKey  map[Key]int
	byName map[string]int
}

func (s *Sheet) listed() *boxes {
	if s.boxes == nil { // not made by Scale
		s.boxes = &boxes{list: s.listBoxes()}
	}
	return s.boxes
}

func (b *boxes) index() *boxes {
	b.once.Do(func() {
		b.byKey, b.byName = make(map[Key]int, len(b.list)), map[string]int{}
		for i := range b.list {
			b.byKey[b.list[i].Key] = i
			if _, ok := b.byName[b.list[i].Name]; !ok {
				b.byName[b.list[i].Name] = i
			}
		}
	})
	return b
}

func (s *Sheet) listBoxes() []Box {
	n := 0
	for i := range s.Steps {
		n += len(s.Steps[i].Definition.Entries) + 2
		for t := range s.Steps[i].Tables {
			n += len(s.Steps[i].Tables[t].Rows) * len(s.Steps[i].Tables[t].Definition.Columns)
		}
	}
	list := make([]Box, 0, n)
	for i := range s.Steps {
		list = s.singleBoxes(list, i, false)
		for t := range s.Steps[i].Tables {
			list = s.tableBoxes(list, i, &s.Steps[i].Tables[t])
		}
		list = s.singleBoxes(list, i, true)
		list = append(list, s.Steps[i].signatures(i)...)
	}
	return list
}

func (s *Sheet) tableBoxes(list []Box, step int, table *Table) []Box {
	def := table.Definition
	column := make([]Box, len(def.Columns)) // what is alike in every row
	for c := range def.Columns {
		e := &def.Columns[c]
		column[c] = Box{Step: step, Name: def.ID + "." + e.ID, Entry: e, Table: def, Planned: s.planned(e)}
	}
	boxes := len(table.Rows) * len(column)
	from, texts := len(list), &textsTogether{all: make([]byte, 0, boxes*(len(def.ID)+len(def.Title)+48)), ends: make([]int, 0, 2*boxes)}
	for r, row := range table.Rows {
		number := strconv.Itoa(r + 1)
		for _, box := range column {
			box.Row = r + 1
			texts.add(def.ID, ".", number, ".", box.Entry.ID) // as RowKey
			texts.add(def.Title, ", ", row.Label, ": ", box.Entry.Label)
			list = append(list, box)
		}
	}
	each := texts.list()
	for i := range list[from:] {
		list[from+i].Key, list[from+i].Printed = Key(each[2*i]), each[2*i+1]
	}
	return list
}

// textsTogether makes many short texts in one piece of memory.
type textsTogether struct {
	all  []byte
	ends []int
}

func (t *textsTogether) add(pieces ...string) {
	for _, p := range pieces {
		t.all = append(t.all, p...)
	}
	t.ends = append(t.ends, len(t.all))
}

func (t *textsTogether) list() []string {
	all, from := string(t.all), 0
	out := make([]string, len(t.ends))
	for i, end := range t.ends {
		out[i], from = all[from:end], end
	}
	return out
}

// singleBoxes adds a step's single entries: those worked out from tables, or the others.
func (s *Sheet) singleBoxes(list []Box, i int, fromTable bool) []Box {
	entries := s.Steps[i].Definition.Entries
	for e := range entries {
		if entry := &entries[e]; entry.FromTables == fromTable {
			list = append(list, Box{Key: Key(entry.ID), Name: entry.ID, Step: i, Printed: entry.Label, Entry: entry, Planned: s.planned(entry)})
		}
	}
	return list
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
		boxes = append(boxes, Box{Key: signedBy(st.Definition.ID), Name: string(signedBy(st.Definition.ID)), Step: i,
			Printed: title + "done by", Entry: &doneInitials})
	}
	if st.Definition.Signed >= 2 {
		boxes = append(boxes, Box{Key: checkedBy(st.Definition.ID), Name: string(checkedBy(st.Definition.ID)), Step: i,
			Printed: title + "checked by", Entry: &checkedInitials})
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
