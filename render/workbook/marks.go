package workbook

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/protocols"
)

// mark is a look that comes and goes with what is filled in. Each differs without colour:
// by a sign before the text, by bold or italic letters, by a pattern or by the border.
type mark int

const (
	markNotDone mark = iota // ND
	markPassed              // a blank box with * that was passed over
	markName                // the name beside such a box
	markLook                // a number, a word or a choice to look at again
	markDate
	markTime
	markDone // a step with nothing missing
)

// Signs before what is marked; the sheet Start explains them.
const (
	passedSign = "► "
	lookSign   = "! "
)

// Fills of marks: light enough to read through, each of another darkness.
const (
	notDoneFill = "E7E6E6"
	passedFill  = "FFFFFF"
	lookFill    = "F4B183"
	doneFill    = "D9EAD3"
)

// firstMarkFormat numbers the number formats of marks apart from those of cells, which
// excelize 2.11.1 counts from 164 as well; Excel keeps all of them under one numbering.
const firstMarkFormat = 1000

// style makes the look of a mark. Excel allows thin lines only here.
func (m mark) style() *excelize.Style {
	black, sign := "000000", `"`+lookSign+`"`
	fill := func(pattern int, colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: pattern, Color: []string{colour}}
	}
	lines := func(style int) []excelize.Border {
		l := look{border: hairline}.lines()
		for i := range l {
			l[i].Style, l[i].Color = style, black
		}
		return l
	}
	numbered := func(format string) *excelize.Style {
		return &excelize.Style{Font: &excelize.Font{Bold: true, Color: black}, Fill: fill(1, lookFill), CustomNumFmt: &format}
	}
	switch m {
	case markNotDone:
		return &excelize.Style{Font: &excelize.Font{Italic: true, Color: grey}, Fill: fill(1, notDoneFill)}
	case markPassed:
		return &excelize.Style{Fill: fill(14, passedFill), Border: lines(3)}
	case markName:
		return &excelize.Style{Font: &excelize.Font{Bold: true, Color: black}, CustomNumFmt: new(`General;General;General;"` + passedSign + `"@`)}
	case markLook:
		return numbered(sign + "General;" + sign + "-General;" + sign + "General;" + sign + "@")
	case markDate:
		return numbered(sign + formatDate + ";" + sign + "-General;" + sign + formatDate + ";" + sign + "@")
	case markTime:
		return numbered(sign + formatTime + ";" + sign + "-General;" + sign + formatTime + ";" + sign + "@")
	}
	return &excelize.Style{Font: &excelize.Font{Bold: true, Italic: true, Color: black}, Fill: fill(1, doneFill), Border: lines(1)}
}

// mark makes the style of a mark once.
func (b *book) mark(m mark) *int {
	id, ok := b.marked[m]
	if !ok {
		var err error
		id, err = b.file.NewConditionalStyle(m.style())
		b.try(err)
		if styles := b.file.Styles; err == nil && styles.Dxfs.Dxfs[id].NumFmt != nil {
			styles.Dxfs.Dxfs[id].NumFmt.NumFmtID = firstMarkFormat + id
		}
		b.marked[m] = id
	}
	return &id
}

// when lets a mark show in some cells where a formula, written for the first of them, holds.
func (p *page) when(formula, cells string, m mark) {
	p.try(p.file.SetConditionalFormat(p.tab, cells, []excelize.ConditionalFormatOptions{
		{Type: "formula", Criteria: formula, Format: p.mark(m)},
	}))
}

// marks lets the boxes of a step show what is ND, passed over, to look at again, and done.
func (p *page) marks(at progress) {
	if at.boxes == 0 {
		return
	}
	var areas []string
	for i, b := range p.blocks {
		areas = append(areas, b.String())
		p.passedOver(b, p.blocks[i+1:])
		for _, r := range b.runs {
			p.lookAgain(r)
		}
	}
	p.try(p.file.SetConditionalFormat(p.tab, strings.Join(areas, " "), []excelize.ConditionalFormatOptions{
		{Type: "cell", Criteria: "==", Value: `"ND"`, Format: p.mark(markNotDone)},
	}))
	p.when("$C$3<=0", filledAt+":"+missingAt, markDone)
}

// passedOver marks boxes with * that are blank although a later one on the sheet is filled
// in, and the name at the left of them.
func (p *page) passedOver(b block, later []block) {
	must := b.must()
	if len(must) == 0 {
		return
	}
	after := ""
	for _, l := range later {
		after += "," + l.fixed()
	}
	passed := func(r entryCells, fixed string) string { // in the entry's first cell
		row, cell := fmt.Sprintf("$%s%d", column(b.left), r.top), fixed+r.first()
		return fmt.Sprintf(`AND(%s="",COUNTA(%s:%s%s)>COUNTA(%s:%s))`, cell, row, b.end(), after, row, cell)
	}
	p.when(passed(must[0], ""), joined(must, " "), markPassed)
	if b.table {
		var any []string
		for _, r := range must {
			any = append(any, passed(r, "$"))
		}
		p.when("OR("+strings.Join(any, ",")+")", area{1, b.top, 1, b.bottom}.String(), markName)
		return
	}
	var names []entryCells
	for _, r := range must {
		names = append(names, entryCells{area: area{1, r.top, 1, r.bottom}})
	}
	p.when(passed(must[0], "$"), joined(names, " "), markName)
}

// lookAgain marks what is not as expected.
func (p *page) lookAgain(r entryCells) {
	x, ok := p.expectedOf(r.entry)
	if !ok {
		return
	}
	m := markLook
	switch r.entry.Kind {
	case protocols.KindDate:
		m = markDate
	case protocols.KindTime:
		m = markTime
	}
	p.when(x.odd(r.first()), r.String(), m)
}
