package main

import (
	"html"
	"regexp"
	"strings"

	"spatsheet/calc"
)

// nameWays change the defined names by which boxes are found.
var nameWays = []way{
	{"a name points at another box", func(b *breaker) mutant {
		x, y := b.neighbours()
		b.pointTo(x, definedAs(y.cell))
		return b.mutant().telling(string(x.Key))
	}},
	{"two names swapped", func(b *breaker) mutant {
		x := b.box(given)
		y := b.box(func(y mutantBox) bool { return y.Key != x.Key && given(y) && alike(x, y) })
		b.pointTo(x, "&#39;gone&#39;!$A$1")
		b.pointTo(y, definedAs(x.cell))
		b.edit("xl/workbook.xml", "&#39;gone&#39;!$A$1", definedAs(y.cell))
		return b.mutant().telling(string(x.Key), string(y.Key))
	}},
	{"a name points at an empty cell", func(b *breaker) mutant {
		x := b.box(given)
		b.pointTo(x, definedAs(b.freeCell(x.cell)))
		return b.mutant().telling(x.place())
	}},
	{"a name points at a printed number", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.pointTo(x, definedAs(b.amountCell()))
		return b.mutant()
	}},
	{"a name points at printed text", func(b *breaker) mutant {
		x := b.box(given)
		b.pointTo(x, definedAs(calc.Cell{Sheet: x.cell.Sheet, Ref: oneOf(b, "A1", "A2", "A3", "A4")}))
		return b.mutant()
	}},
	{"a name points at many cells", func(b *breaker) mutant {
		x := b.box(given)
		refers := definedAs(x.cell)
		cell := refers[strings.Index(refers, "!")+1:]
		b.pointTo(x, oneOf(b, refers+":"+cell[:strings.LastIndex(cell, "$")]+"$999", refers+","+refers, refers[:strings.Index(refers, "!")+1]+"$B:$B"))
		return b.mutant().telling(string(x.Key))
	}},
	{"a name works out where it points", func(b *breaker) mutant {
		x := b.box(given)
		b.pointTo(x, "OFFSET("+definedAs(x.cell)+",1,0)")
		return b.mutant().telling(string(x.Key))
	}},
	{"a name deleted", func(b *breaker) mutant {
		x := b.box(given)
		_, element := b.nameOf(x.cell)
		b.edit("xl/workbook.xml", element, "")
		return b.mutant().telling(string(x.Key))
	}},
	{"a box deleted: its name says #REF!", func(b *breaker) mutant {
		x := b.box(given)
		refers := definedAs(x.cell)
		b.pointTo(x, oneOf(b, "#REF!", refers[:strings.Index(refers, "!")+1]+"#REF!", "#REF!$B$3"))
		b.clear(x.cell)
		return b.mutant().telling(string(x.Key))
	}},
	{"a name twice", func(b *breaker) mutant {
		x, y := b.neighbours()
		_, element := b.nameOf(x.cell)
		twin := strings.Replace(element, definedAs(x.cell), definedAs(y.cell), 1)
		b.edit("xl/workbook.xml", element, oneOf(b, element+twin, twin+element))
		return b.mutant().telling(string(x.Key))
	}},
	{"the name of a printed amount deleted", func(b *breaker) mutant {
		element := b.amountName()
		b.edit("xl/workbook.xml", element[0], "")
		return b.mutant().telling("box-lost")
	}},
	{"the same name for one sheet too", func(b *breaker) mutant {
		x, y := b.neighbours()
		_, element := b.nameOf(x.cell)
		twin := strings.Replace(strings.Replace(element, definedAs(x.cell), definedAs(y.cell), 1), "<definedName ", `<definedName localSheetId="2" `, 1)
		b.edit("xl/workbook.xml", element, oneOf(b, element+twin, twin+element))
		return b.mutant().good()
	}},
	{"names in capitals", func(b *breaker) mutant {
		name, element := b.nameOf(b.box(given).cell)
		b.edit("xl/workbook.xml", element, strings.Replace(element, `"`+name+`"`, `"`+strings.ToUpper(name)+`"`, 1))
		return b.mutant().good()
	}},
}

var amountNames = regexp.MustCompile(`<definedName name="([arp]_[^"]*)">([^<]*)</definedName>`)

// amountName picks the defined name of a printed amount: element, name, place.
func (b *breaker) amountName() []string {
	all := amountNames.FindAllStringSubmatch(b.part("xl/workbook.xml"), -1)
	return all[b.random.IntN(len(all))]
}

// amountCell is where a printed amount stands.
func (b *breaker) amountCell() calc.Cell {
	refers := html.UnescapeString(b.amountName()[2])
	sheet, cell, _ := strings.Cut(refers, "!$")
	return calc.Cell{Sheet: strings.ReplaceAll(strings.Trim(sheet, "'"), "''", "'"), Ref: strings.ReplaceAll(cell, "$", "")}
}
