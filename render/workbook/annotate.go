package workbook

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc/check"
)

const (
	findingsTab  = "Findings"
	findingsName = "spatsheet_findings" // the defined name of the sheet of an earlier copy
	noteAuthor   = "spatsheet"
)

// Annotate gives a copy of a workbook with each finding as a note on its cell, and all of
// them listed on a sheet "Findings" at the end; content is not changed.
//
// People's own notes are kept, those of an earlier copy are replaced. A finding without a
// cell, or whose sheet is not in this workbook, is only listed.
// Errors: those of Read.
func Annotate(content []byte, findings []check.Finding) (out []byte, err error) {
	defer guard(&err)
	f, err := open(content)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	m, names, err := locate(f)
	if err != nil {
		return nil, err
	}
	if err := sound(f); err != nil {
		return nil, err
	}
	a := &annotator{file: f, book: &book{file: f, styles: map[look]int{}}}
	if err := a.clear(names); err != nil {
		return nil, damaged(err)
	}
	if err := a.notes(findings); err != nil {
		return nil, damaged(err)
	}
	a.list(m, findings)
	if a.book.err != nil {
		return nil, damaged(a.book.err)
	}
	return bytesOf(f)
}

type annotator struct {
	file *excelize.File
	book *book
}

// clear takes away what an earlier Annotate left.
func (a *annotator) clear(names map[string]target) error {
	if t, ok := names[findingsName]; ok {
		if err := a.file.DeleteSheet(t.sheet); err != nil {
			return err
		}
		if err := a.file.DeleteDefinedName(&excelize.DefinedName{Name: findingsName}); err != nil {
			return err
		}
	}
	for _, sheet := range a.file.GetSheetList() {
		comments, err := a.file.GetComments(sheet)
		if err != nil {
			return err
		}
		for _, c := range comments {
			if c.Author == noteAuthor {
				if err := a.replace(sheet, c.Cell, others(comments, c.Cell)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// others are the people's own words in a note of ours, which follow a line of dashes.
func others(comments []excelize.Comment, cell string) []excelize.Comment {
	var kept []excelize.Comment
	for _, c := range comments {
		if c.Cell != cell {
			continue
		}
		if _, theirs, ok := strings.Cut(noteText(c), theirsBelow); ok {
			kept = append(kept, excelize.Comment{Cell: cell, Author: "note", Text: theirs})
		} else if c.Author != noteAuthor {
			kept = append(kept, c)
		}
	}
	return kept
}

const theirsBelow = "\n———\n"

// noteText is a note's whole text, however it was cut into runs.
func noteText(c excelize.Comment) string {
	text := c.Text
	for _, run := range c.Paragraph {
		text += run.Text
	}
	return text
}

// replace writes one note for a cell in place of those that were there.
func (a *annotator) replace(sheet, cell string, notes []excelize.Comment) error {
	if err := a.file.DeleteComment(sheet, cell); err != nil {
		return err
	}
	var texts []string
	author := noteAuthor
	for _, n := range notes {
		texts, author = append(texts, noteText(n)), n.Author
	}
	if len(texts) == 0 {
		return nil
	}
	return a.add(sheet, cell, author, strings.Join(texts, "\n"))
}

// Size of a note, in pixels.
const (
	noteWidth      = 320
	noteLineHeight = 18
	noteLetters    = 44 // in a line of a note
)

func (a *annotator) add(sheet, cell, author, text string) error {
	height := uint(noteLineHeight * (linesIn(text, noteLetters) + 1))
	return a.file.AddComment(sheet, excelize.Comment{
		Cell: cell, Author: author, Width: noteWidth, Height: height,
		Paragraph: []excelize.RichTextRun{{Text: text, Font: &excelize.Font{Family: face, Size: sizeSmall}}},
	})
}

// notes puts the findings of each cell into one note, above what a person wrote there.
func (a *annotator) notes(findings []check.Finding) error {
	words := map[[2]string][]string{}
	var order [][2]string
	for _, f := range findings {
		at := [2]string{f.Sheet, f.Ref}
		if !a.has(f) {
			continue
		}
		if words[at] == nil {
			order = append(order, at)
		}
		words[at] = append(words[at], fmt.Sprintf("%s: %s\nDo: %s", strings.ToUpper(string(f.Level)), f.Says, f.Remedy))
	}
	for _, at := range order {
		comments, err := a.file.GetComments(at[0])
		if err != nil {
			return err
		}
		text := strings.Join(words[at], "\n\n")
		for _, c := range comments {
			if c.Cell == at[1] {
				text += theirsBelow + noteText(c)
			}
		}
		if err := a.file.DeleteComment(at[0], at[1]); err != nil {
			return err
		}
		if err := a.add(at[0], at[1], noteAuthor, text); err != nil {
			return err
		}
	}
	return nil
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
	a.book.try(err)
	p := a.book.newPage(tab, []float64{11, 34, 34, 20, 48, 52})
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
	a.book.try(a.file.SetDefinedName(&excelize.DefinedName{Name: findingsName, RefersTo: quoteTab(tab) + "!$A$1"}))
	a.book.try(a.file.SetPanes(tab, &excelize.Panes{Freeze: true, YSplit: 3, TopLeftCell: "A4", ActivePane: "bottomLeft"}))
	a.book.try(a.file.SetSheetDimension(tab, "A1:F"+fmt.Sprint(p.row-1)))
	a.book.try(a.file.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: new(true)}))
	a.book.try(a.file.SetPageLayout(tab, &excelize.PageLayoutOptions{Orientation: new("landscape"), FitToWidth: new(1), FitToHeight: new(0)}))
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
		a.book.try(a.file.SetCellHyperLink(p.tab, p.ref(2), quoteTab(f.Sheet)+"!"+f.Ref, "Location"))
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
			words = append(words, fmt.Sprintf("%d %s%s", n, level, map[bool]string{true: "s"}[n > 1]))
		}
	}
	if len(words) == 0 {
		return "nothing found"
	}
	return strings.Join(words, ", ")
}
