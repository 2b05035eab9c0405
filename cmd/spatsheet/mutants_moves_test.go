package main

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// moveWays move and copy what stands in the boxes.
var moveWays = []way{
	{"two rows of a table swapped", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return given(x) && x.Row > 0 })
		y := b.box(func(y mutantBox) bool { return y.Table == x.Table && y.Row != x.Row && y.Entry.ID == x.Entry.ID })
		m := mutant{typed: map[calc.Key]calc.Reading{}}
		for i := range x.Table.Columns {
			id := x.Table.Columns[i].ID
			b.exchange(b.keyed(calc.RowKey(x.Table.ID, x.Row, id)), b.keyed(calc.RowKey(y.Table.ID, y.Row, id)), m.typed)
		}
		return b.with(m)
	}},
	{"two readings of a kind swapped", func(b *breaker) mutant {
		x := b.box(given)
		y := b.box(func(y mutantBox) bool { return y.Key != x.Key && alike(x, y) })
		m := mutant{typed: map[calc.Key]calc.Reading{}}
		b.exchange(x, y, m.typed)
		return b.with(m)
	}},
	{"a reading typed into the neighbour box", func(b *breaker) mutant {
		x, y := b.neighbours()
		b.copyCell(x.cell, y.cell)
		b.clear(x.cell)
		return b.with(mutant{typed: map[calc.Key]calc.Reading{x.Key: {State: calc.Blank}, y.Key: moved(x, y)}})
	}},
	{"a reading copied over the neighbour box", func(b *breaker) mutant {
		x, y := b.neighbours()
		b.copyCell(x.cell, y.cell)
		return b.with(mutant{typed: map[calc.Key]calc.Reading{y.Key: moved(x, y)}})
	}},
	{"a column pasted one row too low", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return given(x) && x.Row == 1 })
		column := b.boxes(func(y mutantBox) bool { return y.Table == x.Table && y.Entry.ID == x.Entry.ID })
		m := mutant{typed: map[calc.Key]calc.Reading{x.Key: {State: calc.Blank}}}
		for i := len(column) - 1; i > 0; i-- {
			b.copyCell(column[i-1].cell, column[i].cell)
			m.typed[column[i].Key] = calc.Reading{State: column[i-1].reading.State, Number: column[i-1].reading.Number, Text: column[i-1].reading.Text}
		}
		b.clear(x.cell)
		return b.with(m)
	}},
	{"a box cut and pasted, its name follows", func(b *breaker) mutant {
		x := b.box(given)
		to := b.freeCell(x.cell)
		b.cut(x, to)
		return b.mutant().good()
	}},
	{"a box cut and pasted over another", func(b *breaker) mutant {
		x := b.box(given)
		y := b.box(func(y mutantBox) bool { return given(y) && y.Key != x.Key && y.cell.Sheet == x.cell.Sheet })
		b.pointTo(y, "#REF!")
		b.copyCell(x.cell, y.cell)
		b.clear(x.cell)
		b.pointTo(x, definedAs(y.cell))
		_, style := b.cell(x.cell.Sheet, x.cell.Ref)
		b.takeStyle(y.cell, style)
		return b.mutant().telling(string(y.Key))
	}},
	{"a box cut and pasted over printed text", func(b *breaker) mutant {
		x := b.box(given)
		to := calc.Cell{Sheet: x.cell.Sheet, Ref: "A1"}
		b.cut(x, to)
		return b.mutant().telling(x.cell.Sheet)
	}},
	{"a box copied to a free place", func(b *breaker) mutant {
		x := b.box(given)
		to := b.freeCell(x.cell)
		old, _ := b.cell(x.cell.Sheet, x.cell.Ref)
		b.insert(to, strings.Replace(old, `"`+x.cell.Ref+`"`, `"`+to.Ref+`"`, 1))
		return b.mutant().telling(to.Sheet + "!" + to.Ref)
	}},
	{"a sheet copied, and the copy filled in", func(b *breaker) mutant {
		x := b.box(given)
		b.addSheet("copy (2)", strings.Replace(b.part(b.tabs[x.cell.Sheet]), "<v>", "<v>1", 1))
		return b.mutant().telling("copy (2)!A1")
	}},
}

// with makes the mutant of what has been changed.
func (b *breaker) with(m mutant) mutant {
	m.files = b.mutant().files
	return m
}

func (b *breaker) keyed(key calc.Key) mutantBox {
	return b.box(func(x mutantBox) bool { return x.Key == key })
}

// alike are boxes whose readings may be confused: one means the same in the other.
func alike(x, y mutantBox) bool {
	plain := x.Entry.Kind == y.Entry.Kind && x.Entry.Kind != protocols.KindChoice || x.Entry.ID == y.Entry.ID && x.Table == y.Table
	return plain && given(y)
}

// exchange swaps what two boxes hold.
func (b *breaker) exchange(x, y mutantBox, typed map[calc.Key]calc.Reading) {
	t, inside := b.held(x.cell)
	b.copyCell(y.cell, x.cell)
	b.put(y.cell.Sheet, y.cell.Ref, t, inside)
	typed[x.Key], typed[y.Key] = stripped(y.reading), stripped(x.reading)
}

// stripped is a reading without its place.
func stripped(r calc.Reading) calc.Reading {
	return calc.Reading{State: r.State, Number: r.Number, Text: r.Text}
}

// neighbours are a filled box and the one after it on its sheet.
func (b *breaker) neighbours() (x, y mutantBox) {
	boxes := b.boxes(func(mutantBox) bool { return true })
	var pairs [][2]mutantBox
	for i := 1; i < len(boxes); i++ {
		x, y := boxes[i-1], boxes[i]
		toText := y.Entry.Kind == protocols.KindText && x.Entry.Kind != protocols.KindDate && x.Entry.Kind != protocols.KindTime
		if given(x) && x.Step == y.Step && (alike(x, y) || holdsNumber(x) || toText) {
			pairs = append(pairs, [2]mutantBox{x, y})
		}
	}
	pair := pairs[b.random.IntN(len(pairs))]
	return pair[0], pair[1]
}

// moved is what a reading of x is in the box of y; no reading at all where it must be told.
func moved(x, y mutantBox) calc.Reading {
	switch {
	case holdsNumber(x) && y.Entry.Kind == protocols.KindText:
		return givenText(x.cell.Text)
	case holdsNumber(x) && (y.Entry.Kind == protocols.KindNumber || y.Entry.Kind == protocols.KindCount):
		return givenNumber(x.reading.Number)
	case alike(x, y), y.Entry.Kind == protocols.KindText:
		return stripped(x.reading)
	}
	return calc.Reading{State: mustTell}
}

// freeCell is a place on the same sheet where nothing is printed: below everything.
func (b *breaker) freeCell(near calc.Cell) calc.Cell {
	rows := strings.Count(b.part(b.tabs[near.Sheet]), "<row ")
	return calc.Cell{Sheet: near.Sheet, Ref: fmt.Sprintf("%s%d", oneOf(b, "B", "C", "H"), rows+2+b.random.IntN(30))}
}

// insert writes a cell into a place that has none yet, in a row of its own below all.
func (b *breaker) insert(to calc.Cell, xml string) {
	m := refParts.FindStringSubmatch(to.Ref)
	b.edit(b.tabs[to.Sheet], "</sheetData>", `<row r="`+m[2]+`">`+xml+`</row></sheetData>`)
}

// cut moves a cell with its style, and its name after it, as spreadsheet programs do.
func (b *breaker) cut(x mutantBox, to calc.Cell) {
	old, _ := b.cell(x.cell.Sheet, x.cell.Ref)
	b.edit(b.tabs[x.cell.Sheet], old, "")
	moved := strings.Replace(old, `"`+x.cell.Ref+`"`, `"`+to.Ref+`"`, 1)
	if there := cellPattern(to.Ref).FindString(b.part(b.tabs[to.Sheet])); there != "" {
		b.edit(b.tabs[to.Sheet], there, moved)
	} else {
		b.insert(to, moved)
	}
	b.pointTo(x, definedAs(to))
}

func (b *breaker) takeStyle(c calc.Cell, style string) {
	old, now := b.cell(c.Sheet, c.Ref)
	b.edit(b.tabs[c.Sheet], old, strings.Replace(old, ` s="`+now+`"`, ` s="`+style+`"`, 1))
}

// addSheet adds a sheet after the others.
func (b *breaker) addSheet(name, xml string) {
	b.set("xl/worksheets/sheet99.xml", xml)
	b.edit("[Content_Types].xml", "</Types>", `<Override PartName="/xl/worksheets/sheet99.xml" `+
		`ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`)
	b.edit("xl/_rels/workbook.xml.rels", "</Relationships>",
		`<Relationship Id="rId99" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" `+
			`Target="worksheets/sheet99.xml"/></Relationships>`)
	b.edit("xl/workbook.xml", "</sheets>", `<sheet name="`+name+`" sheetId="99" r:id="rId99"/></sheets>`)
}
