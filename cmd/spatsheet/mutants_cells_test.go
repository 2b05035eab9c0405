package main

import (
	"fmt"
	"strings"

	"spatsheet/calc"
	"spatsheet/protocols"
)

// cellWays write the XML of a box's cell as no good program does, or a formula into it.
var cellWays = []way{
	{"a formula, with a stale value", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.put(x.cell.Sheet, x.cell.Ref, "", "<f>"+oneOf(b, "1+2", "SUM(B1:B9)", "'[1]Sheet1'!A1", "NOW()")+"</f><v>"+digitsOf(x.reading.Number+1)+"</v>")
		return b.mutant().telling(string(x.Key))
	}},
	{"a formula that gives a text", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindText, protocols.KindChoice))
		b.put(x.cell.Sheet, x.cell.Ref, "str", "<f>A1&amp;B1</f><v>stale</v>")
		return b.mutant().telling(string(x.Key))
	}},
	{"an array, shared or table formula", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		f := oneOf(b, `<f t="array" ref="REF">1+2</f>`, `<f t="shared" si="77"/>`,
			`<f t="shared" ref="REF" si="77">1+2</f>`, `<f t="dataTable" ref="REF" dt2D="0" dtr="0" r1="A1"/>`, `<f/>`)
		b.put(x.cell.Sheet, x.cell.Ref, "", strings.ReplaceAll(f, "REF", x.cell.Ref)+"<v>"+digitsOf(x.reading.Number+1)+"</v>")
		return b.mutant().telling(string(x.Key))
	}},
	{"a box merged with its neighbours", func(b *breaker) mutant {
		x := b.box(given)
		m := refParts.FindStringSubmatch(x.cell.Ref)
		next := string(rune(m[1][len(m[1])-1] + 1))
		area := oneOf(b, x.cell.Ref+":"+next+m[2], "A"+m[2]+":"+x.cell.Ref)
		part := b.tabs[x.cell.Sheet]
		if strings.Contains(b.part(part), "<mergeCells") {
			b.edit(part, "</mergeCells>", `<mergeCell ref="`+area+`"/></mergeCells>`)
		} else {
			b.edit(part, "</sheetData>", `</sheetData><mergeCells count="1"><mergeCell ref="`+area+`"/></mergeCells>`)
		}
		return b.mutant().telling(string(x.Key))
	}},
	{"a cell twice, with two values", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		old, style := b.cell(x.cell.Sheet, x.cell.Ref)
		twin := cellXML(x.cell.Ref, style, "", "<v>"+digitsOf(x.reading.Number+1)+"</v>")
		b.edit(b.tabs[x.cell.Sheet], old, oneOf(b, old+twin, twin+old))
		return b.mutant().telling(string(x.Key))
	}},
	{"a row twice, with two values", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		part, row := b.tabs[x.cell.Sheet], refParts.FindStringSubmatch(x.cell.Ref)[2]
		text := b.part(part)
		start := strings.Index(text, `<row r="`+row+`"`)
		end := start + strings.Index(text[start:], "</row>") + len("</row>")
		old, style := b.cell(x.cell.Sheet, x.cell.Ref)
		twin := strings.Replace(text[start:end], old, cellXML(x.cell.Ref, style, "", "<v>"+digitsOf(x.reading.Number+1)+"</v>"), 1)
		at := oneOf(b, start, end, strings.Index(text, "</sheetData>"))
		b.set(part, text[:at]+twin+text[at:])
		return b.mutant().telling(string(x.Key))
	}},
	{"a cell in the wrong row", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		old, style := b.cell(x.cell.Sheet, x.cell.Ref)
		part := b.tabs[x.cell.Sheet]
		b.edit(part, old, "")
		stray := cellXML(x.cell.Ref, style, "", "<v>"+digitsOf(x.reading.Number+1)+"</v>")
		b.edit(part, "</row>", stray+"</row>")
		return b.mutant()
	}},
	{"a shared text's number out of range", func(b *breaker) mutant {
		x := b.box(given)
		b.put(x.cell.Sheet, x.cell.Ref, "s", "<v>"+oneOf(b, "99999", "-1", "1e3", "x", "", "3.5", "99999999999999999999")+"</v>")
		return b.mutant().telling(string(x.Key))
	}},
	{"a cell of a type that there is not", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.put(x.cell.Sheet, x.cell.Ref, oneOf(b, "zz", "d", "N", "S", "inlineStr"), "<v>"+digitsOf(x.reading.Number)+"</v>")
		return b.mutant()
	}},
	{"an ISO date cell", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindDate, protocols.KindTime))
		b.put(x.cell.Sheet, x.cell.Ref, "d", "<v>"+oneOf(b, x.reading.Text, x.reading.Text+"Z", x.reading.Text+".000", "x")+"</v>")
		return b.mutant()
	}},
	{"a cell without its reference", func(b *breaker) mutant {
		x := b.box(given)
		old, _ := b.cell(x.cell.Sheet, x.cell.Ref)
		b.edit(b.tabs[x.cell.Sheet], old, strings.Replace(old, ` r="`+x.cell.Ref+`"`, "", 1))
		return b.mutant()
	}},
	{"a style that there is not", func(b *breaker) mutant {
		x := b.box(given)
		old, style := b.cell(x.cell.Sheet, x.cell.Ref)
		b.edit(b.tabs[x.cell.Sheet], old, strings.Replace(old, ` s="`+style+`"`, ` s="`+oneOf(b, "9999", "-1", "70000", "")+`"`, 1))
		return b.mutant()
	}},
	{"days counted from 1904", func(b *breaker) mutant {
		b.edit("xl/workbook.xml", "<workbookPr ", `<workbookPr date1904="`+oneOf(b, "1", "true")+`" `)
		m := b.mutant()
		for _, x := range b.boxes(isKind(protocols.KindDate, protocols.KindTime)) {
			m.tell = append(m.tell, string(x.Key))
		}
		return m
	}},
	{"rows out of order", func(b *breaker) mutant {
		x := b.box(given)
		part := b.tabs[x.cell.Sheet]
		rows := strings.SplitAfter(b.part(part), "</row>")
		i, k := 1+b.random.IntN(len(rows)-3), 1+b.random.IntN(len(rows)-3)
		rows[i], rows[k] = rows[k], rows[i]
		b.set(part, strings.Join(rows, ""))
		return b.mutant()
	}},
	{"far cells and huge dimensions", func(b *breaker) mutant {
		part := b.tabs[b.box(given).cell.Sheet]
		b.edit(part, "</sheetData>", oneOf(b, `<row r="1048576"><c r="XFD1048576" s="1"/></row>`,
			`<row r="1048576" ht="20"/>`, `<row r="99999"><c r="B99999"/></row>`)+"</sheetData>")
		b.edit(part, `<dimension ref="`, `<dimension ref="A1:XFD1048576" was="`)
		return b.mutant().good()
	}},
	{"a text typed far out", func(b *breaker) mutant {
		x := b.box(given)
		ref := oneOf(b, "XFD1048576", "ZZ30000", "B1000000")
		b.insert(calc.Cell{Sheet: x.cell.Sheet, Ref: ref}, cellXML(ref, "", "inlineStr", "<is><t>far</t></is>"))
		return b.mutant().telling(x.cell.Sheet + "!" + ref)
	}},
	{"thousands of far cells", func(b *breaker) mutant {
		part := b.tabs[b.box(given).cell.Sheet]
		var rows strings.Builder
		for n := range 3000 {
			fmt.Fprintf(&rows, `<row r="%d"><c r="XFD%d"/></row>`, 1000+n, 1000+n)
		}
		b.edit(part, "</sheetData>", rows.String()+"</sheetData>")
		return b.mutant()
	}},
}
