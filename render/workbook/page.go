package workbook

import (
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// page is one sheet being written from the top down.
type page struct {
	*book
	tab    string
	row    int       // the row being written, from 1
	widths []float64 // of the columns, in digits
	blocks []block   // of boxes, from the top down
}

func (b *book) newPage(tab string, widths []float64) *page {
	p := &page{book: b, tab: tab, row: 1, widths: widths}
	for i, w := range widths {
		col := column(i + 1)
		b.try(b.file.SetColWidth(tab, col, col, w))
	}
	return p
}

func column(n int) string {
	name, err := excelize.ColumnNumberToName(n)
	if err != nil { // n is small and positive here
		panic(err)
	}
	return name
}

func (p *page) ref(col int) string {
	ref, err := excelize.CoordinatesToCellName(col, p.row)
	if err != nil { // rows and columns are counted up from 1 here
		panic(err)
	}
	return ref
}

// put writes a text or a number and its look; nil leaves the cell blank.
func (p *page) put(col int, value any, l look) string {
	ref := p.ref(col)
	switch v := value.(type) {
	case nil:
	case string: // SetCellStr, so that nothing is taken for a formula or a number
		p.try(p.file.SetCellStr(p.tab, ref, v))
		p.keep(col, v, false)
	case float64:
		p.try(setNumber(p.file, p.tab, ref, v))
		p.keep(col, digits(v), false)
	case int:
		p.try(p.file.SetCellInt(p.tab, ref, int64(v)))
		p.keep(col, strconv.Itoa(v), false)
	}
	p.try(p.file.SetCellStyle(p.tab, ref, ref, p.style(l)))
	return ref
}

// span writes a text over several columns, with the height that it needs.
func (p *page) span(from, to int, text string, l look) {
	p.put(from, text, l)
	for col := from + 1; col <= to && l.shows(); col++ {
		p.put(col, nil, l)
	}
	if to > from {
		p.try(p.file.MergeCell(p.tab, p.ref(from), p.ref(to)))
	}
}

// width is that of some columns together.
func (p *page) width(from, to int) float64 {
	sum := 0.0
	for col := from; col <= to && col <= len(p.widths); col++ {
		sum += p.widths[col-1]
	}
	return sum
}

// high sets the row's height to hold so many lines of text of a size, at least one.
func (p *page) high(lines int, size float64) {
	height := math.Ceil(float64(max(lines, 1))*size*1.32 + 6)
	p.try(p.file.SetRowHeight(p.tab, p.row, min(height, excelize.MaxRowHeight)))
}

// lines counts the lines that a text takes when wrapped in some columns. Merged cells are
// never fitted by spreadsheet programs, so the height is worked out here, with a margin:
// at 10 points a column holds about 1.3 letters of running text for each digit of width
// (counted in LibreOffice); short columns are reckoned closer, for long words.
func (p *page) lines(text string, from, to int, size float64) int {
	width := p.width(from, to) - 2
	letters := 1.0
	switch {
	case width > 40:
		letters = 1.2
	case width > 25:
		letters = 1.1
	}
	return linesIn(text, int(width*letters*sizeText/size))
}

func linesIn(text string, room int) int {
	room = max(room, 4)
	total := 0
	for _, paragraph := range strings.Split(text, "\n") {
		used, count := 0, 1
		for _, word := range wordsOf(paragraph) {
			n := len([]rune(word))
			switch {
			case used == 0:
				used = n
			case used+1+n <= room:
				used += 1 + n
			default:
				count, used = count+1, n
			}
			for used > room {
				count, used = count+1, used-room
			}
		}
		total += count
	}
	return total
}

// wordsOf cuts at plain blanks only: the narrow blank inside 10\u202f000 does not break.
func wordsOf(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' })
}

func (p *page) next() { p.row++ }

// gap leaves a low empty row.
func (p *page) gap() {
	p.try(p.file.SetRowHeight(p.tab, p.row, 8))
	p.row++
}

// masthead writes the two frozen rows that are printed again on every page.
func (p *page) masthead(text string) {
	p.put(1, text, title)
	p.high(1, sizeTitle)
	p.next()
	s := p.sheet
	p.put(1, strings.Join([]string{s.Plan.Batch, s.Protocol.Ref(), "sheet " + s.Digest, s.Site.Name}, "  ·  "), identify)
	p.high(1, sizeSmall)
	p.next()
}

func (p *page) heading(text string) {
	p.put(1, text, heading)
	p.high(1, 13)
	p.next()
}

// paragraph writes running text over the whole width.
func (p *page) paragraph(text string, l look) {
	last := len(p.widths)
	p.span(1, last, text, l)
	p.high(p.lines(text, 1, last, l.size), l.size)
	p.next()
}
