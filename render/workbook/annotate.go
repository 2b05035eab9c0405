package workbook

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc/check"
	"spatsheet/protocols/quantity"
)

const (
	findingsTab  = "Findings"
	findingsName = "spatsheet_findings" // the defined name of the sheet in an earlier copy
	noteAuthor   = "spatsheet"
	noteHead     = "spatsheet found:\n" // how a note of ours begins; authors get lost
	theirsBelow  = "\n———\n"            // a person's own words follow it
)

// Annotate gives a copy of a workbook with each finding as a note on its cell, and all of
// them listed on a sheet "Findings" at the end; content is not changed.
//
// People's own notes are kept, those of an earlier copy are replaced. A finding without a
// cell, or whose sheet is not in this workbook, is only listed.
// Errors: those of Read.
func Annotate(content []byte, findings []check.Finding) (out []byte, err error) {
	defer guard(&err)
	own, err := ownNotes(content)
	if err != nil {
		return nil, err
	}
	stripped, err := withoutNotes(content)
	if err != nil {
		return nil, err
	}
	o, err := openOurs(stripped, toWrite)
	if err != nil {
		return nil, err
	}
	defer o.Close()
	f, m := o.File, o.manifest
	a := &annotator{book: &book{file: f, styles: map[look]int{}}}
	a.removeList(o.names)
	a.notes(findings, own)
	a.list(m, findings)
	if a.err != nil {
		return nil, damaged(a.err)
	}
	return bytesOf(f)
}

type annotator struct{ *book }

// place is a cell of a workbook.
type place struct{ sheet, ref string }

// ownNotes reads people's notes, in the order of sheets and of the notes on each.
func ownNotes(content []byte) ([]ownWords, error) {
	o, err := openOurs(content, toWrite)
	if err != nil {
		return nil, err
	}
	defer o.Close()
	f := o.File
	if err := sound(f); err != nil {
		return nil, err
	}
	var own []ownWords
	for _, sheet := range f.GetSheetList() {
		comments, err := f.GetComments(sheet)
		if err != nil {
			return nil, damaged(err)
		}
		for _, c := range comments {
			if text := ownText(noteText(c)); text != "" {
				own = append(own, ownWords{place{sheet, c.Cell}, c.Author, text})
			}
		}
	}
	return own, nil
}

type ownWords struct {
	place
	author, text string
}

// ownText is what a person wrote into a note: all of it, or what follows our findings.
func ownText(text string) string {
	if !strings.HasPrefix(text, noteHead) {
		return text
	}
	_, theirs, _ := strings.Cut(text, theirsBelow)
	return theirs
}

// noteText is a note's whole text, however it was cut into runs.
func noteText(c excelize.Comment) string {
	text := c.Text
	for _, run := range c.Paragraph {
		text += run.Text
	}
	return text
}

// removeList takes away the list of an earlier copy.
func (a *annotator) removeList(names map[string]target) {
	if t, ok := names[findingsName]; ok {
		a.try(a.file.DeleteSheet(t.sheet))
		a.try(a.file.DeleteDefinedName(&excelize.DefinedName{Name: findingsName}))
	}
}

// notes puts the findings of each cell into one note, above what a person wrote there.
func (a *annotator) notes(findings []check.Finding, own []ownWords) {
	theirs := map[place]string{}
	for _, o := range own {
		theirs[o.place] = o.text
	}
	words := map[place][]string{}
	var order []place
	for _, f := range findings {
		at := place{f.Sheet, f.Ref}
		if !a.has(f) {
			continue
		}
		if words[at] == nil {
			order = append(order, at)
		}
		words[at] = append(words[at], fmt.Sprintf("%s: %s\nDo: %s", strings.ToUpper(string(f.Level)), f.Says, f.Remedy))
	}
	for _, at := range order {
		text := noteHead + strings.Join(words[at], "\n\n")
		if theirs[at] != "" {
			text += theirsBelow + theirs[at]
		}
		a.note(at, noteAuthor, text)
	}
	for _, o := range own {
		if words[o.place] == nil {
			a.note(o.place, o.author, o.text)
		}
	}
}

// Size of a note, in pixels.
const (
	noteWidth      = 320
	noteLineHeight = 18
	noteLetters    = 44 // in a line of a note
)

func (a *annotator) note(at place, author, text string) {
	if i, err := a.file.GetSheetIndex(at.sheet); err != nil || i < 0 { // the list of an earlier copy
		return
	}
	height := uint(noteLineHeight * (linesIn(text, noteLetters) + 1))
	a.try(a.file.AddComment(at.sheet, excelize.Comment{
		Cell: at.ref, Author: author, Width: noteWidth, Height: height,
		Paragraph: []excelize.RichTextRun{{Text: text, Font: &excelize.Font{Family: face, Size: sizeSmall}}},
	}))
}

// has says whether a finding's cell is in the workbook.
func (a *annotator) has(f check.Finding) bool {
	col, row, err := excelize.CellNameToCoordinates(f.Ref)
	if err != nil || row > maxRow || col > maxColumn {
		return false
	}
	i, err := a.file.GetSheetIndex(f.Sheet)
	return err == nil && i >= 0
}

// list writes the sheet of findings and shows it first.
func (a *annotator) list(m *manifest, findings []check.Finding) {
	tab := a.freeTab()
	i, err := a.file.NewSheet(tab)
	a.try(err)
	p := a.newPage(tab, []float64{11, 34, 34, 20, 48, 52})
	p.put(1, "Findings", title)
	p.high(1, sizeTitle)
	p.next()
	p.put(1, strings.Join([]string{m.identity.Batch, m.identity.Protocol, "sheet " + m.identity.Digest, counted(findings)}, "  ·  "), identify)
	p.high(1, sizeSmall)
	p.next()
	p.tableHead([]string{"Level", "Where", "Entry", "Stands there", "What", "What to do"}, []int{1, 2, 3, 4, 5, 6}, []int{1, 2, 3, 4, 5, 6})
	for _, f := range findings {
		a.listOne(p, f)
	}
	a.try(a.file.SetDefinedName(&excelize.DefinedName{Name: findingsName, RefersTo: quoteTab(tab) + "!$A$1"}))
	a.try(a.file.SetPanes(tab, &excelize.Panes{Freeze: true, YSplit: 3, TopLeftCell: "A4", ActivePane: "bottomLeft"}))
	a.try(a.file.SetSheetDimension(tab, "A1:F"+fmt.Sprint(p.row-1)))
	a.try(a.file.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: new(true)}))
	a.try(a.file.SetPageLayout(tab, &excelize.PageLayoutOptions{Orientation: new("landscape"), FitToWidth: new(1), FitToHeight: new(0)}))
	a.file.SetActiveSheet(i)
}

// freeTab is "Findings", or with a number if people made a sheet of that name.
func (a *annotator) freeTab() string {
	tab := findingsTab
	for n := 2; ; n++ {
		if i, err := a.file.GetSheetIndex(tab); err != nil || i < 0 {
			return tab
		}
		tab = fmt.Sprintf("%s %d", findingsTab, n)
	}
}

func (a *annotator) listOne(p *page, f check.Finding) {
	for i, text := range []string{string(f.Level), f.Place(), f.Entry, f.Raw, f.Says, f.Remedy} {
		l := gridCell
		l.bold = i == 0
		p.put(i+1, cut(text, maxCellText), l)
	}
	if a.has(f) {
		a.try(a.file.SetCellHyperLink(p.tab, p.ref(2), quoteTab(f.Sheet)+"!"+f.Ref, "Location"))
	}
	lines := 1
	for i, text := range []string{f.Place(), f.Entry, f.Raw, f.Says, f.Remedy} {
		lines = max(lines, p.lines(text, i+2, i+2, sizeText))
	}
	p.high(min(lines, 25), sizeText)
	p.next()
}

// maxCellText keeps a cell's text below the form's 32,767 characters.
const maxCellText = 30000

func counted(findings []check.Finding) string {
	count := map[string]int{}
	for _, f := range findings {
		count[string(f.Level)]++
	}
	var words []string
	for _, level := range []string{"error", "warning", "note"} {
		if n := count[level]; n > 0 {
			words = append(words, quantity.Counted(n, level, level+"s"))
		}
	}
	if len(words) == 0 {
		return "nothing found"
	}
	return strings.Join(words, ", ")
}
