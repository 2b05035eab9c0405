package workbook

import (
	"strings"
	"testing"
)

// What reading leaves out of a sheet is what it does not look at, and only that.
func TestOnlyNamedCells(t *testing.T) {
	box := `<c r="B2" s="3"><v>7</v></c>`
	sheet := func(rows string) string { return `<worksheet><sheetData>` + rows + `</sheetData></worksheet>` }
	cases := map[string]struct{ part, want string }{
		"cells without a name": {
			sheet(`<row r="2" hidden="1"><c r="A2"/><c r="B2" s="3"><v>7</v></c><c r="C2" t="s"><v>1</v></c></row>`),
			sheet(`<row r="2" hidden="1">` + box + `</row>`),
		},
		"rows without a name": {sheet(`<row r="1"><c r="A1"><f>1+1</f></c></row><row r="2">` +
			box + `</row><row r="3"/>`), sheet(`<row r="2">` + box + `</row>`)},
		"a box that is not there, in a hidden row": {sheet(`<row r="2" hidden="1"><c r="A2"/></row>`), sheet(`<row r="2" hidden="1"></row>`)},
		"what no place is given for":               {sheet(`<row><c><v>1</v></c></row>`), sheet(`<row><c><v>1</v></c></row>`)},
		"a formula that others share": {
			sheet(`<row r="1"><c r="A1"><f t="shared" ref="A1:B2" si="0">1</f></c><c r="B1"/></row>`),
			sheet(`<row r="1"><c r="A1"><f t="shared" ref="A1:B2" si="0">1</f></c></row>`),
		},
		"a cell that is not closed": {sheet(`<row r="2"><c r="A2"><v>1</v></row>`), sheet(`<row r="2"><c r="A2"><v>1</v></row>`)},
		"a row that is not closed":  {`<worksheet><sheetData><row r="1"><c r="A1"/>`, `<worksheet><sheetData><row r="1"><c r="A1"/>`},
		"merged over a box and elsewhere": {
			`<worksheet><sheetData><row r="2"><c r="A2" t="s"><v>1</v></c>` + box + `</row><row r="4"><c r="A4"/></row></sheetData>` +
				`<mergeCells count="2"><mergeCell ref="A4:C4"/><mergeCell ref="B2:A2"/></mergeCells></worksheet>`,
			`<worksheet><sheetData><row r="2"><c r="A2" t="s"><v>1</v></c>` + box +
				`</row></sheetData><mergeCells count="2"><mergeCell ref="B2:A2"/></mergeCells></worksheet>`},
		"around the rows": {
			`<?xml version="1.0"?><worksheet a="b"><sheetPr><a/></sheetPr><dimension ref="A1"/><cols><col min="1" max="1" hidden="1"/></cols>` +
				`<sheetData><row r="2">` + box +
				`</row></sheetData><pageMargins/><dataValidations count="1"><dataValidation prompt="a > b"/></dataValidations></worksheet>`,
			`<?xml version="1.0"?><worksheet a="b"><cols><col min="1" max="1" hidden="1"/></cols><sheetData><row r="2">` + box + `</row></sheetData></worksheet>`},
		"one within another of its name": {
			`<worksheet><sheetData></sheetData><extLst><ext><extLst/><extLst><a/></extLst></ext></extLst><extLst/></worksheet>`,
			`<worksheet><sheetData></sheetData></worksheet>`},
		"with a prefix": {
			`<x:worksheet><x:sheetPr/><x:sheetData></x:sheetData><x:dataValidations><x:dataValidation/></x:dataValidations></x:worksheet>`,
			`<x:worksheet><x:sheetData></x:sheetData></x:worksheet>`,
		},
		"closed with a blank": {
			`<worksheet><sheetData></sheetData><pageMargins></pageMargins ><pageSetup></pageSetup></worksheet>`,
			`<worksheet><sheetData></sheetData></worksheet>`,
		},
		// minutes where each is searched to the end
		"half a million closed with a blank": {`<worksheet><sheetData></sheetData>` +
			strings.Repeat("<a></a >", 500_000) + `</worksheet>`, `<worksheet><sheetData></sheetData></worksheet>`},
		"not closed after": {`<worksheet><sheetData></sheetData><dataValidations><dataValidation>`,
			`<worksheet><sheetData></sheetData><dataValidations><dataValidation>`},
		"no rows": {`<worksheet><dataValidations/></worksheet>`, `<worksheet><dataValidations/></worksheet>`},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			s, err := scan([]byte(c.part))
			if err != nil {
				t.Fatal(err)
			}
			if got := string(s.only([]byte(c.part), placeSet{placeOf(2, 2): true})); got != c.want {
				t.Errorf("got %s\nwant %s", got, c.want)
			}
		})
	}
}
