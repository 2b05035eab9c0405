package main

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"regexp"
	"strings"

	"spatsheet/calc"
)

// packageWays damage the file itself, or make it another kind of file.
var packageWays = []way{
	{"cut short", func(b *breaker) mutant {
		return one(b.content[:b.random.IntN(len(b.content))]).refusing()
	}},
	{"begins in the middle", func(b *breaker) mutant {
		return one(b.content[1+b.random.IntN(len(b.content)-1):])
	}},
	{"one bit of the file flipped", func(b *breaker) mutant {
		out := bytes.Clone(b.content)
		out[b.random.IntN(len(out))] ^= 1 << b.random.IntN(8)
		return one(out)
	}},
	{"a stretch of the file overwritten", func(b *breaker) mutant {
		out := bytes.Clone(b.content)
		at := b.random.IntN(len(out))
		for i := at; i < min(len(out), at+1+b.random.IntN(512)); i++ {
			out[i] = byte(b.random.UintN(256))
		}
		return one(out)
	}},
	{"a block of zeros in the file", func(b *breaker) mutant {
		out := bytes.Clone(b.content)
		at := b.random.IntN(len(out)/512) * 512
		clear(out[at:min(len(out), at+512)])
		return one(out)
	}},
	{"one bit of a sheet's XML flipped", func(b *breaker) mutant {
		sheet := b.box(given).cell.Sheet
		return b.flip(b.tabs[sheet], func(at int) []calc.Key { return b.keysAt(sheet, at) })
	}},
	{"one bit of the shared texts flipped", func(b *breaker) mutant {
		return b.flip(sharedStrings, b.keysSharing)
	}},
	{"one bit of the workbook part flipped", func(b *breaker) mutant { return b.flip("xl/workbook.xml", nil) }},
	{"one bit of the styles flipped", func(b *breaker) mutant { return b.flip("xl/styles.xml", nil) }},
	{"one bit of the package's tables flipped", func(b *breaker) mutant {
		return b.flip(oneOf(b, "[Content_Types].xml", "_rels/.rels", "xl/_rels/workbook.xml.rels"), nil)
	}},
	{"a part missing", func(b *breaker) mutant {
		b.set(b.order[b.random.IntN(len(b.order))], "")
		return b.mutant()
	}},
	{"a part empty or foreign", func(b *breaker) mutant {
		b.set(b.order[b.random.IntN(len(b.order))], oneOf(b, " ", "<html/>", "PK\x03\x04", `<?xml version="1.0"?>`, "\xff\xfe<\x00"))
		return b.mutant()
	}},
	{"two sheet parts swapped", func(b *breaker) mutant {
		x, y := b.tabs[b.box(given).cell.Sheet], b.tabs["Start"]
		textX, textY := b.part(x), b.part(y)
		b.set(x, textY)
		b.set(y, textX)
		return b.mutant()
	}},
	{"a part twice, with two values", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.putNumber(x.cell.Sheet, x.cell.Ref, digitsOf(x.reading.Number+1))
		return one(b.packTwice(b.tabs[x.cell.Sheet]))
	}},
	{"wrong content types", func(b *breaker) mutant {
		const types = "[Content_Types].xml"
		b.set(types, strings.Replace(b.part(types),
			oneOf(b, "spreadsheetml.worksheet+xml", "spreadsheetml.sharedStrings+xml", "spreadsheetml.styles+xml",
				"spreadsheetml.sheet.main+xml"), "wordprocessingml.document.main+xml", 1))
		return b.mutant()
	}},
	{"a zip bomb", func(b *breaker) mutant {
		b.set("xl/worksheets/sheet98.xml", strings.Repeat(" ", 17<<20))
		return b.mutant().refusing()
	}},
	{"a zip bomb that lies about its size", func(b *breaker) mutant {
		name := b.tabs[b.box(given).cell.Sheet]
		b.set(name, b.part(name)+strings.Repeat(" ", 17<<20))
		return one(lyingSize(b.pack(), name, 1000)).refusing()
	}},
	{"an XML bomb of entities", func(b *breaker) mutant {
		name := b.tabs[b.box(given).cell.Sheet]
		bomb := `<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>`
		b.set(name, strings.Replace(strings.Replace(b.part(name), "<worksheet", bomb+"<worksheet", 1), "<sheetData>", "<sheetData>&c;", 1))
		return b.mutant()
	}},
	{"deeply nested XML", func(b *breaker) mutant {
		name := b.tabs[b.box(given).cell.Sheet]
		b.edit(name, "<sheetData>", strings.Repeat("<a>", 20000)+strings.Repeat("</a>", 20000)+"<sheetData>")
		return b.mutant()
	}},
	{"macros: an .xlsm renamed", func(b *breaker) mutant {
		b.set("xl/vbaProject.bin", "\xd0\xcf\x11\xe0"+strings.Repeat("macro", 300))
		b.edit("[Content_Types].xml", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
			"application/vnd.ms-excel.sheet.macroEnabled.main+xml")
		b.edit("[Content_Types].xml", "</Types>", `<Override PartName="/xl/vbaProject.bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>`)
		b.edit("xl/_rels/workbook.xml.rels", "</Relationships>",
			`<Relationship Id="rId77" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="vbaProject.bin"/></Relationships>`)
		return b.mutant().good()
	}},
	{"a link to another workbook", func(b *breaker) mutant {
		b.set("xl/externalLinks/externalLink1.xml",
			`<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">`+
				`<externalBook xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="rId1"/></externalLink>`)
		b.set("xl/externalLinks/_rels/externalLink1.xml.rels",
			`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" `+
				`Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath" `+
				`Target="http://localhost:9/x.xlsx" TargetMode="External"/></Relationships>`)
		b.edit("xl/_rels/workbook.xml.rels", "</Relationships>",
			`<Relationship Id="rId78" `+
				`Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>`)
		b.edit("xl/workbook.xml", "<definedNames>", `<externalReferences><externalReference r:id="rId78"/></externalReferences><definedNames>`)
		return b.mutant().good()
	}},
	{"an .xls, a password, an .ods, a text renamed", func(b *breaker) mutant {
		ods := zipOf("mimetype", "application/vnd.oasis.opendocument.spreadsheet", "content.xml", "<x/>")
		word := zipOf("[Content_Types].xml", "<Types/>", "word/document.xml", "<x/>")
		cfb := append([]byte{0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1}, noise(b.random, 3000)...)
		return one(oneOf(b, cfb, ods, word, []byte("batch,value\nEX-1,12\n"), []byte("<html><table/></html>"),
			[]byte("%PDF-1.7\n"), noise(b.random, 2000), nil)).refusing()
	}},
	{"bytes after the end, as mail programs add", func(b *breaker) mutant {
		return one(append(bytes.Clone(b.content), "\r\n--\r\nscanned\r\n"...))
	}},
}

func noise(random *rand.Rand, n int) []byte {
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(random.UintN(256))
	}
	return out
}

func zipOf(namesAndTexts ...string) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i := 0; i < len(namesAndTexts); i += 2 {
		part, err := w.Create(namesAndTexts[i])
		if err == nil {
			_, err = io.WriteString(part, namesAndTexts[i+1])
		}
		if err != nil {
			panic(err)
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// flip turns one bit of a part. Where it falls into what people typed, the boxes it may
// have changed are loose: nobody can tell a changed digit there from a typed one.
func (b *breaker) flip(name string, keys func(at int) []calc.Key) mutant {
	text := []byte(b.part(name))
	at := b.random.IntN(len(text))
	text[at] ^= 1 << b.random.IntN(8)
	b.set(name, string(text))
	m := b.mutant()
	if keys != nil {
		m.loose = keys(at)
	}
	return m
}

var valueSpans = regexp.MustCompile(`<c r="([A-Z]+\d+)"[^>]*><v>([^<]*)</v></c>`)

// keysAt are the boxes of a sheet whose stored value spans a place in its XML.
func (b *breaker) keysAt(sheet string, at int) []calc.Key {
	for _, m := range valueSpans.FindAllStringSubmatchIndex(b.parts[b.tabs[sheet]], -1) {
		if m[4] <= at && at < m[5] {
			ref := b.parts[b.tabs[sheet]][m[2]:m[3]]
			return b.keysWhere(func(x mutantBox) bool { return x.cell.Sheet == sheet && x.cell.Ref == ref })
		}
	}
	return nil
}

// keysSharing are the boxes that hold the shared text at a place in its part.
func (b *breaker) keysSharing(at int) []calc.Key {
	for n, m := range sharedItem.FindAllStringSubmatchIndex(b.parts[sharedStrings], -1) {
		if m[2] <= at && at < m[3] {
			inside := fmt.Sprintf("<v>%d</v>", n)
			return b.keysWhere(func(x mutantBox) bool {
				t, held := b.held(x.cell)
				return t == "s" && held == inside
			})
		}
	}
	return nil
}

func (b *breaker) keysWhere(fits func(x mutantBox) bool) []calc.Key {
	var keys []calc.Key
	for _, x := range b.boxes(fits) {
		keys = append(keys, x.Key)
	}
	return keys
}

// packTwice packs one part twice: as it was, and as it is now.
func (b *breaker) packTwice(name string) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	first, second := b.parts[name], b.part(name)
	if b.random.IntN(2) == 0 {
		first, second = second, first
	}
	for _, other := range b.order {
		if other != name {
			b.add(w, other, b.part(other))
			continue
		}
		b.add(w, name, first)
		b.add(w, name, second)
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// lyingSize writes a smaller unpacked size into the directory of a zip.
func lyingSize(content []byte, name string, size uint32) []byte {
	out := bytes.Clone(content)
	const signature, nameAt, sizeAt = "PK\x01\x02", 46, 24
	for at := 0; ; at++ {
		i := bytes.Index(out[at:], []byte(signature))
		if i < 0 {
			return out
		}
		at += i
		if at+nameAt+len(name) <= len(out) && string(out[at+nameAt:at+nameAt+len(name)]) == name {
			binary.LittleEndian.PutUint32(out[at+sizeAt:], size)
		}
	}
}
