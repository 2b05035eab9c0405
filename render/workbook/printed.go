package workbook

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
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
		for _, at := range slices.Sorted(maps.Keys(b.cells[tab])) {
			row, col := int(at>>32), int(at&math.MaxUint32)
			if !named[quoteTab(tab)+"!"+absolute(column(col)+strconv.Itoa(row))] {
				fmt.Fprintf(&out, "\t%s\n", b.cells[tab][at])
			}
		}
	}
	return out.Bytes()
}

// keep remembers what is printed in a cell of the row being written, for printedText; an
// annotated copy keeps nothing.
func (p *page) keep(col int, text string, formula bool) {
	if p.cells == nil {
		return
	}
	if p.cells[p.tab] == nil {
		p.cells[p.tab] = map[uint64]string{}
	}
	if text = asPrinted(text, formula); text != "" {
		p.cells[p.tab][placeOf(p.row, col)] = text
	}
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
