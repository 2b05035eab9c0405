package main

import (
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"

	"spatsheet/calc"
)

// cellPattern finds a cell of a sheet part by its reference.
func cellPattern(ref string) *regexp.Regexp {
	return regexp.MustCompile(`<c r="` + ref + `"([^>]*?)(?:/>|>(?s:(.*?))</c>)`)
}

var (
	styleOf = regexp.MustCompile(` s="(\d+)"`)
	typeOf  = regexp.MustCompile(` t="([^"]*)"`)
)

// cell is the XML of a cell, and the number of its style.
func (b *breaker) cell(sheet, ref string) (text, style string) {
	m := cellPattern(ref).FindStringSubmatch(b.part(b.tabs[sheet]))
	if m == nil {
		panic(fmt.Sprintf("sheet %s has no cell %s", sheet, ref))
	}
	if s := styleOf.FindStringSubmatch(m[1]); s != nil {
		style = s[1]
	}
	return m[0], style
}

// put gives a cell another XML, keeping its style: t is its type, inside what it holds.
func (b *breaker) put(sheet, ref, t, inside string) {
	old, style := b.cell(sheet, ref)
	b.edit(b.tabs[sheet], old, cellXML(ref, style, t, inside))
}

func cellXML(ref, style, t, inside string) string {
	if t != "" {
		t = ` t="` + t + `"`
	}
	if style != "" {
		style = ` s="` + style + `"`
	}
	return `<c r="` + ref + `"` + style + t + `>` + inside + `</c>`
}

// putNumber types a number.
func (b *breaker) putNumber(sheet, ref, digits string) {
	b.put(sheet, ref, "", "<v>"+digits+"</v>")
}

// putText types a text, as a shared one or inline, as programs differ.
func (b *breaker) putText(sheet, ref, text string) {
	kind, inside := b.textXML(text)
	b.put(sheet, ref, kind, inside)
}

func (b *breaker) textXML(text string) (kind, inside string) {
	item := `<t xml:space="preserve">` + html.EscapeString(text) + `</t>`
	if b.random.IntN(2) == 0 {
		return "inlineStr", "<is>" + item + "</is>"
	}
	return "s", "<v>" + strconv.Itoa(b.share("<si>"+item+"</si>")) + "</v>"
}

const sharedStrings = "xl/sharedStrings.xml"

// share adds an item to the shared strings and gives its index.
func (b *breaker) share(item string) int {
	n := strings.Count(b.part(sharedStrings), "<si>")
	b.edit(sharedStrings, "</sst>", item+"</sst>")
	return n
}

// held is a cell's type and what it holds.
func (b *breaker) held(c calc.Cell) (t, inside string) {
	old, _ := b.cell(c.Sheet, c.Ref)
	m := cellPattern(c.Ref).FindStringSubmatch(old)
	if kind := typeOf.FindStringSubmatch(m[1]); kind != nil {
		t = kind[1]
	}
	return t, m[2]
}

// copyCell gives a cell what another holds, keeping its own style.
func (b *breaker) copyCell(from, to calc.Cell) {
	t, inside := b.held(from)
	b.put(to.Sheet, to.Ref, t, inside)
}

func (b *breaker) clear(c calc.Cell) { b.put(c.Sheet, c.Ref, "", "") }

// restyle gives a cell a new style with a number format.
func (b *breaker) restyle(c calc.Cell, format int) {
	const styles = "xl/styles.xml"
	text := b.part(styles)
	start, end := strings.Index(text, "<cellXfs"), strings.Index(text, "</cellXfs>")
	n := strings.Count(text[start:end], "<xf ")
	b.set(styles, text[:end]+fmt.Sprintf(`<xf numFmtId="%d" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>`, format)+text[end:])
	old, style := b.cell(c.Sheet, c.Ref)
	b.edit(b.tabs[c.Sheet], old, strings.Replace(old, ` s="`+style+`"`, fmt.Sprintf(` s="%d"`, n), 1))
}

// nameOf finds the defined name that points at a cell, and its element.
func (b *breaker) nameOf(c calc.Cell) (name, element string) {
	refers := definedAs(c)
	for _, m := range regexp.MustCompile(`<definedName name="([^"]*)">([^<]*)</definedName>`).FindAllStringSubmatch(b.part("xl/workbook.xml"), -1) {
		if m[2] == refers {
			return m[1], m[0]
		}
	}
	panic("no name for " + refers)
}

var refParts = regexp.MustCompile(`^([A-Z]+)(\d+)$`)

// definedAs is a cell as defined names point at it in the XML.
func definedAs(c calc.Cell) string {
	m := refParts.FindStringSubmatch(c.Ref)
	return "&#39;" + strings.ReplaceAll(html.EscapeString(c.Sheet), "&#39;", "&#39;&#39;") + "&#39;!$" + m[1] + "$" + m[2]
}

// pointTo lets a box's name point somewhere else.
func (b *breaker) pointTo(x mutantBox, refers string) {
	name, element := b.nameOf(x.cell)
	b.edit("xl/workbook.xml", element, `<definedName name="`+name+`">`+refers+`</definedName>`)
}

// typedOf is a map of one typed reading.
func typedOf(x mutantBox, r calc.Reading) map[calc.Key]calc.Reading {
	return map[calc.Key]calc.Reading{x.Key: r}
}

func givenNumber(n float64) calc.Reading { return calc.Reading{State: calc.Given, Number: n} }
func givenText(s string) calc.Reading    { return calc.Reading{State: calc.Given, Text: s} }
