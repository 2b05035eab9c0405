package workbook

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/xuri/excelize/v2"
)

// progress is what a step's sheet counts of itself, in the row below its masthead. The
// cells hold numbers and the words around them are number formats, so that Start can add
// them up.
type progress struct {
	boxes, blank int  // boxes, and what missing counts in the blank workbook
	marked       bool // some boxes have *
	looks        bool // there are boxes that can be looked at
}

// Where a step's counts stand.
const (
	progressRow = 3
	filledAt    = "A3"
	lookAt      = "B3"
	missingAt   = "C3"
)

// Number formats of the counts: "37 of 52 filled", "3 to look at", "4 * to fill in". Fewer than
// none come of typing into inserted rows.
const (
	formatFilled  = `0" of %d filled"`
	formatLook    = `0" to look at";;`
	formatMissing = `0" * to fill in";"done";"done"`
	formatBegun   = `"not begun";"done";"done"`
)

// maxFormula is the most letters of a formula. Source: from memory (Excel: 8192).
const maxFormula = 8000

// progressOf writes how far a step is filled in, into the row kept for it.
func (p *page) progressOf() progress {
	end := p.row
	p.row = progressRow
	defer func() { p.row = end }()
	var at progress
	for _, b := range p.blocks {
		at.boxes += b.size()
	}
	if at.boxes == 0 {
		p.put(1, "Nothing to fill in", identify)
		return at
	}
	p.count(1, filledFormula(p.blocks), 0, fmt.Sprintf(formatFilled, at.boxes), tally)
	look := p.lookFormula()
	if at.looks = look != ""; at.looks {
		p.count(2, look, 0, formatLook, tally)
	}
	missing, blank, format := "", 0, formatMissing
	if missing, blank = missingFormula(p.blocks); blank > 0 {
		at.marked = true
	} else {
		missing, blank, format = "IF("+filledFormula(p.blocks)+"=0,1,0)", 1, formatBegun
	}
	at.blank = blank
	p.count(3, missing, blank, format, tally)
	p.high(1, sizeText)
	return at
}

// count writes a counting formula with its result in the blank workbook.
func (p *page) count(col int, formula string, blank int, format string, l look) {
	ref := p.put(col, blank, l.with(func(l *look) { l.ownFormat = format }))
	p.try(p.file.SetCellFormula(p.tab, ref, formula))
	p.keep(col, "", true)
	p.try(resultIsNumber(p.file, p.tab, ref))
}

// resultIsNumber mends a formula's cell: excelize 2.11.1 calls every result a text, which
// programs that do not compute then show without its number format. Its cells have no
// exported type, only exported fields.
func resultIsNumber(f *excelize.File, tab, ref string) error {
	col, row, err := excelize.CellNameToCoordinates(ref)
	if err != nil {
		return err
	}
	i, err := f.GetSheetIndex(tab) // sheets are numbered as they were made
	if err != nil {
		return err
	}
	sheet, ok := f.Sheet.Load(fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1))
	if !ok {
		return fmt.Errorf("sheet %q is not where excelize keeps its sheets", tab)
	}
	cell := reflect.ValueOf(sheet).Elem().FieldByName("SheetData").FieldByName("Row").Index(row - 1).FieldByName("C").Index(col - 1)
	if cell.FieldByName("R").String() != ref {
		return fmt.Errorf("%s!%s is not where excelize keeps its cells", tab, ref)
	}
	cell.FieldByName("T").SetString("")
	return nil
}

// filledFormula counts the boxes with something in them, ND too.
func filledFormula(blocks []block) string {
	var ranges []string
	for _, b := range blocks {
		ranges = append(ranges, b.String())
	}
	return "COUNTA(" + strings.Join(ranges, ",") + ")"
}

// lookFormula counts what the workbook itself can tell is odd: neither ND nor expected. It
// is empty when there is nothing to hold against, or too much for one formula.
func (p *page) lookFormula() string {
	var terms []string
	for _, b := range p.blocks {
		for _, r := range b.runs {
			if x, ok := p.expectedOf(r.entry); ok {
				terms = append(terms, fmt.Sprintf(`COUNTA(%s)-COUNTIF(%s,"ND")-%s`, r, r, x.counted(r.String())))
			}
		}
	}
	if text := strings.Join(terms, "+"); len(text) <= maxFormula {
		return text
	}
	return ""
}

// missingFormula counts the boxes with * that are blank, and gives the count of the blank
// workbook. Of a table that is filled in as far as the work goes, only rows that were begun
// count, and the first while there is none.
func missingFormula(blocks []block) (formula string, blank int) {
	var whole []entryCells
	var terms []string
	inWhole := 0
	for _, b := range blocks {
		must := b.must()
		switch {
		case len(must) == 0:
		case b.partial:
			blank += len(must)
			terms = append(terms, fmt.Sprintf("IF(COUNTA(%s)=0,%d,0)", b, len(must)))
			for _, r := range must {
				terms = append(terms, fmt.Sprintf(`SUMPRODUCT((%s)*(%s=""))`, b.begun(), r))
			}
		default:
			for _, r := range must {
				inWhole += r.size()
			}
			whole = append(whole, must...)
		}
	}
	if inWhole > 0 {
		terms = append([]string{fmt.Sprintf("%d-COUNTA(%s)", inWhole, joined(whole, ","))}, terms...)
	}
	return strings.Join(terms, "+"), blank + inWhole
}

// stepProgress repeats what a step's sheet counts, on Start.
func (p *page) stepProgress(i int) {
	at, tab := p.progress[i], quoteTab(p.tabs[i])+"!"
	for col := 6; col <= 8; col++ {
		p.put(col, nil, gridCell)
	}
	if at.boxes == 0 {
		return
	}
	p.count(6, tab+filledAt, 0, fmt.Sprintf(formatFilled, at.boxes), gridTally)
	if at.looks {
		p.count(7, tab+lookAt, 0, formatLook, gridTally)
	}
	if at.marked {
		p.count(8, tab+missingAt, at.blank, formatMissing, gridTally)
	} else {
		p.count(8, tab+missingAt, at.blank, formatBegun, gridTally)
	}
}

// allProgress adds the steps up, below their list.
func (p *page) allProgress(first int) {
	boxes, blank := 0, 0
	for _, at := range p.progress {
		boxes, blank = boxes+at.boxes, blank+at.blank
	}
	bold := gridTally.with(func(l *look) { l.bold = true })
	p.span(1, 5, "All steps", bold)
	sum := func(col, blank int, format string) {
		p.count(col, fmt.Sprintf("SUM(%s)", area{col, first, col, p.row - 1}), blank, format, bold)
	}
	sum(6, 0, fmt.Sprintf(formatFilled, boxes))
	sum(7, 0, formatLook)
	sum(8, blank, formatMissing)
	p.high(1, sizeText)
	p.next()
	p.when(fmt.Sprintf("AND(ISNUMBER($H%d),$H%d<=0)", first, first), fmt.Sprintf("F%d:H%d", first, p.row-1), markDone)
}
