package workbook

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// printedSheet is what was printed on a sheet outside the boxes and the named amounts, cell
// by cell from the top, each row from the left. The manifest keeps it, so that what was
// changed there, or typed, is noticed without printing the workbook again.
type printedSheet struct {
	tab   string // its name when printed
	name  string // a defined name on it, by which it is found when renamed; may be empty
	texts []string
}

// printedText lists what is printed on every sheet, for the manifest: a line for each
// sheet, and after a tab stop one for each cell.
func (b *book) printedText() []byte {
	named, onTab := map[string]bool{}, map[string]string{}
	for _, n := range b.names {
		named[n.refers] = true
		tab := n.refers[:strings.LastIndex(n.refers, "!")]
		if onTab[tab] == "" {
			onTab[tab] = n.Name
		}
	}
	var out bytes.Buffer
	for _, tab := range append(append([]string{startSheet}, b.tabs...), workingSheet) {
		fmt.Fprintf(&out, "%s\t%s\n", tab, onTab[quoteTab(tab)])
		b.printedCells(tab, func(ref, text string) {
			if !named[quoteTab(tab)+"!"+absolute(ref)] {
				fmt.Fprintf(&out, "\t%s\n", text)
			}
		})
	}
	return out.Bytes()
}

// printedCells goes through what stands on a sheet that has been written.
func (b *book) printedCells(tab string, tell func(ref, text string)) {
	dimension, err := b.file.GetSheetDimension(tab)
	b.try(err)
	_, last, _ := strings.Cut(dimension, ":")
	end, ok := parseArea("A1", last)
	if !ok {
		b.try(fmt.Errorf("sheet %q has no dimension", tab))
		return
	}
	covered := b.covered(tab)
	for row := 1; row <= end.bottom; row++ {
		for col := 1; col <= end.right; col++ {
			ref := column(col) + strconv.Itoa(row)
			formula, err := b.file.GetCellFormula(tab, ref)
			b.try(err)
			text, err := b.file.GetCellValue(tab, ref, excelize.Options{RawCellValue: true})
			b.try(err)
			if text = asPrinted(text, formula != ""); text != "" && !covered[placeOf(row, col)] {
				tell(ref, text)
			}
		}
	}
}

// covered are the cells of merged ranges but the first: the library gives them its text.
func (b *book) covered(tab string) map[uint64]bool {
	merges, err := b.file.GetMergeCells(tab, true)
	b.try(err)
	out := map[uint64]bool{}
	for _, m := range merges {
		a, _ := parseArea(m.GetStartAxis(), m.GetEndAxis())
		for row := a.top; row <= a.bottom; row++ {
			for col := a.left; col <= a.right; col++ {
				out[placeOf(row, col)] = row != a.top || col != a.left
			}
		}
	}
	return out
}

// formulaPrinted stands for any formula: programs write one formula in many ways, and its
// value changes with what is filled in.
const formulaPrinted = "="

// asPrinted is a cell's text in the form in which texts are compared: blanks and line ends
// do not count, and numbers are cut to the digits that every program keeps.
func asPrinted(text string, formula bool) string {
	if formula {
		return formulaPrinted
	}
	if text != "" && text[0] <= '9' { // a sign, a point or a digit
		if x, err := strconv.ParseFloat(text, 64); err == nil && !math.IsInf(x, 0) && !math.IsNaN(x) {
			return strconv.FormatFloat(x, 'g', 12, 64)
		}
	}
	if !tidy(text) {
		text = strings.Join(strings.Fields(text), " ")
	}
	return shortened(text)
}

// longPrinted is the most bytes of a text kept whole; of a longer one its beginning is
// kept, for people, and its checksum, for comparing. Site choice: units, labels and heads
// are shorter.
const longPrinted = 48

func shortened(text string) string {
	if len(text) <= longPrinted {
		return text
	}
	end := longPrinted - 12
	for !utf8.RuneStart(text[end]) {
		end--
	}
	return fmt.Sprintf("%s… #%08x", text[:end], crc32.ChecksumIEEE([]byte(text)))
}

// tidy says that a text is plain letters with single blanks between them.
func tidy(text string) bool {
	before := byte(' ')
	for i := range len(text) {
		if text[i] < ' ' || text[i] >= 0x80 || text[i] == ' ' && before == ' ' {
			return false
		}
		before = text[i]
	}
	return before != ' '
}

// readPrinted understands printedText.
func readPrinted(text string) []printedSheet {
	var out []printedSheet
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if cell, ok := strings.CutPrefix(line, "\t"); ok && len(out) > 0 {
			last := &out[len(out)-1]
			last.texts = append(last.texts, cell)
			continue
		}
		tab, name, _ := strings.Cut(line, "\t")
		out = append(out, printedSheet{tab: tab, name: name})
	}
	return out
}
