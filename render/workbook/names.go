package workbook

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// What a defined name stands for.
const (
	kindEntry  = "entry"  // a box: Of is its key
	kindAmount = "amount" // a rounded amount on the Working sheet: Of is its id
	kindRepeat = "repeat" // an amount or setting printed again on a step sheet
	kindPart   = "part"   // one vessel's part of an amount: Row counts from 1
)

// named is a cell with a defined name. People rename sheets and insert rows; names follow,
// addresses do not.
type named struct {
	Kind, Name, Of string
	Row            int
	refers         string // where it is when written
}

var (
	prefixOf       = map[string]string{kindEntry: "e_", kindAmount: "a_", kindRepeat: "r_", kindPart: "p_"}
	withoutHyphens = strings.NewReplacer(".", "_", "-", "_") // names hold none, and no points
)

// name gives a cell its defined name.
func (b *book) name(kind, of string, row int, tab, ref string) {
	name := prefixOf[kind] + withoutHyphens.Replace(of)
	if kind == kindPart {
		name = fmt.Sprintf("%s_%d", name, row)
	}
	n := named{Kind: kind, Name: b.unique(name), Of: of, Row: row, refers: quoteTab(tab) + "!" + absolute(ref)}
	b.names = append(b.names, n)
}

// unique makes a name one of a kind; names differ by more than case. The prefixes keep
// them from reading like a cell.
func (b *book) unique(name string) string {
	candidate := name
	for n := 2; b.taken[strings.ToLower(candidate)]; n++ {
		candidate = fmt.Sprintf("%s__%d", name, n)
	}
	b.taken[strings.ToLower(candidate)] = true
	return candidate
}

// manifestName points at the manifest, so that it is found under any sheet name.
const manifestName = "spatsheet_manifest"

func (b *book) define() {
	b.try(b.file.SetDefinedName(&excelize.DefinedName{Name: manifestName, RefersTo: manifestSheet + "!$A$1"}))
	for _, n := range b.names {
		b.try(b.file.SetDefinedName(&excelize.DefinedName{Name: n.Name, RefersTo: n.refers}))
	}
	for _, tab := range b.printed { // last: excelize 2.11.1 looks a sheet up for each of these at each name after
		b.try(b.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: quoteTab(tab) + "!$1:$2", Scope: tab}))
	}
}

func absolute(ref string) string {
	col, row, err := excelize.SplitCellName(ref)
	if err != nil { // refs are made by this package
		panic(err)
	}
	return "$" + col + "$" + strconv.Itoa(row)
}

func quoteTab(tab string) string { return "'" + strings.ReplaceAll(tab, "'", "''") + "'" }

// maxTab is the longest sheet name that spreadsheet programs take, in UTF-16 units.
// Source: from memory, and excelize's limit.
const maxTab = 31

// tabNames names the step sheets: number and title, cut at a word to fit.
func tabNames(s *calc.Sheet) []string {
	used := map[string]bool{strings.ToLower(startSheet): true, strings.ToLower(workingSheet): true, manifestSheet: true}
	var tabs []string
	for i := range s.Steps {
		tab := tabName(s.Steps[i].Number, s.Steps[i].Definition.Title)
		if used[strings.ToLower(tab)] { // numbers differ, so this is a title that is only a number's tail
			tab = fmt.Sprintf("Step %d", s.Steps[i].Number)
		}
		used[strings.ToLower(tab)] = true
		tabs = append(tabs, tab)
	}
	return tabs
}

func tabName(number int, title string) string {
	clean := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) || r < ' ' {
			return ' '
		}
		return r
	}, title)
	tab := fmt.Sprint(number)
	for _, word := range strings.Fields(clean) {
		if longer := tab + " " + word; units(longer) <= maxTab {
			tab = longer
			continue
		}
		if tab == fmt.Sprint(number) { // not even one word fits
			tab = firstUnits(tab+" "+word, maxTab)
		}
		break
	}
	return strings.Trim(tab, "'")
}

// firstUnits cuts a text to so many UTF-16 units, never within a character.
func firstUnits(s string, limit int) string {
	used := 0
	for i, r := range s {
		if used += utf16.RuneLen(r); used > limit {
			return s[:i]
		}
	}
	return s
}

func units(s string) int { return len(utf16.Encode([]rune(s))) }
