package main

import (
	"archive/zip"
	"bytes"
	"html"
	"regexp"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/protocols"
)

// harmlessWays change nothing that was written: people and programs do them every day.
var harmlessWays = []way{
	{"saved under another name", func(b *breaker) mutant {
		m := mutant{files: map[string][]byte{mutantFile: b.content}}
		return m.good()
	}},
	{"packed without compression", func(b *breaker) mutant {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, name := range b.order {
			part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
			if err == nil {
				_, err = part.Write([]byte(b.parts[name]))
			}
			if err != nil {
				panic(err)
			}
		}
		if err := w.Close(); err != nil {
			panic(err)
		}
		return one(out.Bytes()).good()
	}},
	{"digits typed as text", func(b *breaker) mutant {
		x := b.box(plainDigits)
		b.putText(x.cell.Sheet, x.cell.Ref, oneOf(b, "", " ")+digitsOf(x.reading.Number)+oneOf(b, "", " "))
		return b.mutant().good()
	}},
	{"numbers in another notation", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		digits := digitsOf(x.reading.Number)
		if !strings.Contains(digits, ".") {
			digits += ".0"
		}
		b.putNumber(x.cell.Sheet, x.cell.Ref, oneOf(b, digits+"0", digits+"00E0", digits+"e+00", "+"+digits))
		return b.mutant().good()
	}},
	{"the same unit typed beside the number", func(b *breaker) mutant {
		x := b.box(func(x mutantBox) bool { return plainDigits(x) && x.Entry.Unit.Symbol() != "" })
		b.putText(x.cell.Sheet, x.cell.Ref, digitsOf(x.reading.Number)+" "+x.Entry.Unit.Symbol())
		return b.mutant().good()
	}},
	{"a choice in capitals", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindChoice))
		b.putText(x.cell.Sheet, x.cell.Ref, " "+strings.ToUpper(x.reading.Text))
		return b.mutant().good()
	}},
	{"text in pieces of several fonts", func(b *breaker) mutant {
		x := b.box(isKind(protocols.KindText))
		text := []rune(x.reading.Text)
		at := b.random.IntN(len(text) + 1)
		b.put(x.cell.Sheet, x.cell.Ref, "inlineStr",
			`<is><r><t xml:space="preserve">`+html.EscapeString(string(text[:at]))+
				`</t></r><r><rPr><b/></rPr><t xml:space="preserve">`+html.EscapeString(string(text[at:]))+`</t></r></is>`)
		return b.mutant().good()
	}},
	{"a row, column or sheet hidden", func(b *breaker) mutant {
		x := b.box(given)
		part := b.tabs[x.cell.Sheet]
		switch m := refParts.FindStringSubmatch(x.cell.Ref); b.random.IntN(3) {
		case 0:
			b.edit(part, `<row r="`+m[2]+`"`, `<row r="`+m[2]+`" hidden="1"`)
		case 1:
			b.set(part, strings.ReplaceAll(b.part(part), "<col ", `<col hidden="1" `))
		default:
			b.edit("xl/workbook.xml", `<sheet name="`+html.EscapeString(x.cell.Sheet)+`"`, `<sheet state="hidden" name="`+html.EscapeString(x.cell.Sheet)+`"`)
		}
		return b.mutant().good()
	}},
	{"rows inserted", func(b *breaker) mutant {
		x := b.box(given)
		return b.byLibrary(func(f *excelize.File) error {
			return f.InsertRows(x.cell.Sheet, 1+b.random.IntN(20), 1+b.random.IntN(5))
		})
	}},
	{"columns inserted", func(b *breaker) mutant {
		x := b.box(given)
		return b.byLibrary(func(f *excelize.File) error {
			return f.InsertCols(x.cell.Sheet, oneOf(b, "A", "B", "C", "D"), 1+b.random.IntN(3))
		})
	}},
	{"sheets in another order", func(b *breaker) mutant {
		x := b.box(given)
		return b.byLibrary(func(f *excelize.File) error { return f.MoveSheet(x.cell.Sheet, "Start") })
	}},
	{"a sheet renamed", func(b *breaker) mutant {
		x := b.box(given)
		old := html.EscapeString(x.cell.Sheet)
		text := strings.ReplaceAll(b.part("xl/workbook.xml"), `name="`+old+`"`, `name="Ann &amp; Bo"`)
		b.set("xl/workbook.xml", strings.ReplaceAll(text, "&#39;"+old+"&#39;!", "&#39;Ann &amp; Bo&#39;!"))
		return b.mutant().good()
	}},
	{"notes written on cells", func(b *breaker) mutant {
		x := b.box(given)
		return b.byLibrary(func(f *excelize.File) error {
			return f.AddComment(x.cell.Sheet, excelize.Comment{Cell: x.cell.Ref, Author: "AB", Text: "thermometer 2"})
		})
	}},
	{"widths, colours and fonts changed", func(b *breaker) mutant {
		x := b.box(given)
		return b.byLibrary(func(f *excelize.File) error {
			if err := f.SetColWidth(x.cell.Sheet, "A", "D", 44); err != nil {
				return err
			}
			if x.cell.Format != "General" {
				return nil
			}
			id, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Color: "FF0000"}, NumFmt: 2})
			if err != nil {
				return err
			}
			return f.SetCellStyle(x.cell.Sheet, x.cell.Ref, x.cell.Ref, id)
		})
	}},
	{"XML written with a prefix", func(b *breaker) mutant {
		part := b.tabs[b.box(given).cell.Sheet]
		text := regexp.MustCompile(`<(/?)([a-zA-Z])`).ReplaceAllString(b.part(part), "<${1}x:$2")
		b.set(part, strings.Replace(text, ` xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`,
			` xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`, 1))
		return b.mutant().good()
	}},
	{"XML with line ends and comments", func(b *breaker) mutant {
		part := b.tabs[b.box(given).cell.Sheet]
		b.set(part, strings.NewReplacer("<row ", "\r\n  <!-- c --><row ", "<c ", "\n\t<c ").Replace(b.part(part)))
		return b.mutant().good()
	}},
}

var threeDecimals = regexp.MustCompile(`^[1-9][0-9]{0,2}[.][0-9]{3}$`)

// plainDigits are numbers that, typed as text, cannot be taken for thousands: not 9.747.
func plainDigits(x mutantBox) bool {
	return holdsNumber(x) && !threeDecimals.MatchString(digitsOf(x.reading.Number))
}

// byLibrary changes the workbook as an office program would, with the library's help.
func (b *breaker) byLibrary(change func(f *excelize.File) error) mutant {
	f, err := excelize.OpenReader(bytes.NewReader(b.content))
	if err != nil {
		panic(err)
	}
	defer f.Close()
	if err := change(f); err != nil {
		panic(err)
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		panic(err)
	}
	return one(out.Bytes()).good()
}
