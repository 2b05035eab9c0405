package main

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spatsheet/calc"
)

// printedWays change what is printed, or type where nothing is to be typed.
var printedWays = []way{
	{"a printed amount overwritten", func(b *breaker) mutant {
		c := b.amountCell()
		if b.random.IntN(3) == 0 {
			b.putText(c.Sheet, c.Ref, oneOf(b, "ca. 12", "?", " "))
		} else {
			b.putNumber(c.Sheet, c.Ref, oneOf(b, "12.53", "-1", "6.1e7"))
		}
		return b.mutant().telling(c.Sheet + "!" + c.Ref)
	}},
	{"a printed amount made a formula", func(b *breaker) mutant {
		c := b.amountCell()
		_, inside := b.held(c)
		b.put(c.Sheet, c.Ref, "", "<f>1+1</f>"+inside)
		return b.mutant().telling(c.Sheet + "!" + c.Ref)
	}},
	{"a printed unit overwritten", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return holdsNumber(x) && x.Table == nil && x.Entry.Unit.Print() != "" })
		m := refParts.FindStringSubmatch(x.cell.Ref)
		return b.overprint(calc.Cell{Sheet: x.cell.Sheet, Ref: "C" + m[2]}, oneOf(b, "mL", "kg", "°F", "gallons"))
	}},
	{"a printed label overwritten", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return x.Table == nil })
		m := refParts.FindStringSubmatch(x.cell.Ref)
		return b.overprint(calc.Cell{Sheet: x.cell.Sheet, Ref: "A" + m[2]}, "Second look")
	}},
	{"an instruction overwritten", func(b *breaker) mutant {
		x := b.box(given)
		return b.overprint(calc.Cell{Sheet: x.cell.Sheet, Ref: oneOf(b, "A1", "A2", "A3", "A4")}, "Do something else.")
	}},
	{"any printed text overwritten", func(b *breaker) mutant {
		c := b.printedCell()
		return b.overprint(c, oneOf(b, "mine", "17", "x"))
	}},
	{"any printed text changed in one letter", func(b *breaker) mutant {
		c := b.printedCell()
		text := b.sharedText(c)
		if strings.ContainsAny(text, "&<") || len(text) < 2 {
			return b.overprint(c, "other")
		}
		at := b.random.IntN(len([]rune(text)))
		runes := []rune(text)
		runes[at] = oneOf(b, 'q', '9', 'µ')
		if string(runes) == text {
			runes[at] = 'Z'
		}
		return b.overprint(c, string(runes))
	}},
	{"a printed text deleted", func(b *breaker) mutant {
		c := b.printedCell()
		b.clear(c)
		return b.mutant().telling(c.Sheet)
	}},
	{"a printed number without a name overwritten", func(b *breaker) mutant {
		sheet := "Working"
		text := b.part(b.tabs[sheet])
		cells := regexp.MustCompile(`<c r="([BD]\d+)" s="\d+"><v>`).FindAllStringSubmatch(text, -1)
		named := b.part("xl/workbook.xml")
		cells = slices.DeleteFunc(cells, func(m []string) bool {
			return strings.Contains(named, definedAs(calc.Cell{Sheet: sheet, Ref: m[1]})+"<")
		})
		ref := cells[b.random.IntN(len(cells))][1]
		b.putNumber(sheet, ref, "987654")
		return b.mutant().telling(sheet + "!" + ref)
	}},
	{"text typed where a unit or a remark is blank", func(b *breaker) mutant {
		x := b.box(given)
		cells := textCell.FindAllStringSubmatch(b.part(b.tabs[x.cell.Sheet]), -1)
		cells = slices.DeleteFunc(cells, func(m []string) bool { return b.sharedText(calc.Cell{Sheet: x.cell.Sheet, Ref: m[1]}) != "" })
		if len(cells) == 0 {
			panic(noBox("no blank cell"))
		}
		return b.overprint(calc.Cell{Sheet: x.cell.Sheet, Ref: cells[b.random.IntN(len(cells))][1]}, oneOf(b, "the pump stopped", "13.2", "?"))
	}},
	{"text typed to the right of the boxes", func(b *breaker) mutant {
		x := b.box(given)
		row := refParts.FindStringSubmatch(x.cell.Ref)[2]
		to := calc.Cell{Sheet: x.cell.Sheet, Ref: oneOf(b, "Z", "AB") + row}
		part := b.tabs[to.Sheet]
		start := strings.Index(b.part(part), `<row r="`+row+`"`)
		end := start + strings.Index(b.part(part)[start:], "</row>")
		kind, inside := b.textXML("the pump stopped")
		b.set(part, b.part(part)[:end]+cellXML(to.Ref, "", kind, inside)+b.part(part)[end:])
		return b.mutant().telling(to.Sheet + "!" + to.Ref)
	}},
	{"a number typed below the boxes", func(b *breaker) mutant {
		to := b.freeCell(b.box(given).cell)
		b.insert(to, cellXML(to.Ref, "", "", "<v>13.2</v>"))
		return b.mutant().telling(to.Sheet + "!" + to.Ref)
	}},
	{"a formula typed beside the boxes", func(b *breaker) mutant {
		to := b.freeCell(b.box(given).cell)
		b.insert(to, cellXML(to.Ref, "", "", "<f>B3*2</f><v>26.4</v>"))
		return b.mutant().telling(to.Sheet + "!" + to.Ref)
	}},
	{"text typed on Start or Working", func(b *breaker) mutant {
		to := b.freeCell(calc.Cell{Sheet: oneOf(b, "Start", "Working")})
		kind, inside := b.textXML("call Ann")
		b.insert(to, cellXML(to.Ref, "", kind, inside))
		return b.mutant().telling(to.Sheet + "!" + to.Ref)
	}},
	{"a sheet of one's own added", func(b *breaker) mutant {
		b.addSheet("mine", `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`+
			`<row r="1"><c r="A1" t="inlineStr"><is><t>spare counts</t></is></c></row></sheetData></worksheet>`)
		return b.mutant().telling("mine!A1")
	}},
}

// overprint writes a text where something is printed, which must be told at its place.
func (b *breaker) overprint(c calc.Cell, text string) mutant {
	if t, _ := b.held(c); t == "s" && b.sharedText(c) == text {
		text += "!"
	}
	b.putText(c.Sheet, c.Ref, text)
	return b.mutant().telling(c.Sheet + "!" + c.Ref)
}

var textCell = regexp.MustCompile(`<c r="([A-Z]+\d+)" s="\d+" t="s"><v>`)

// printedCell picks a cell with printed text, on any sheet but the manifest.
func (b *breaker) printedCell() calc.Cell {
	sheet := oneOf(b, "Start", "Working", b.box(given).cell.Sheet, b.box(given).cell.Sheet)
	cells := textCell.FindAllStringSubmatch(b.part(b.tabs[sheet]), -1)
	boxes := b.boxes(func(x mutantBox) bool { return x.cell.Sheet == sheet })
	cells = slices.DeleteFunc(cells, func(m []string) bool {
		isBox := slices.ContainsFunc(boxes, func(x mutantBox) bool { return x.cell.Ref == m[1] })
		return isBox || b.sharedText(calc.Cell{Sheet: sheet, Ref: m[1]}) == ""
	})
	return calc.Cell{Sheet: sheet, Ref: cells[b.random.IntN(len(cells))][1]}
}

var sharedItem = regexp.MustCompile(`<si><t[^>]*>([^<]*)</t></si>`)

// sharedText is the text of a cell that holds a shared one of the untouched workbook.
func (b *breaker) sharedText(c calc.Cell) string {
	_, inside := b.held(c)
	n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(inside, "<v>"), "</v>"))
	if err != nil {
		panic(err)
	}
	return b.shared[n]
}
