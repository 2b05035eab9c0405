// Package workbook is the form a batch takes as a spreadsheet: it writes a blank workbook
// from a scaled sheet, reads a filled one back by its hidden manifest and defined names,
// and marks findings in a copy.
//
// What may enter: a scaled sheet, the bytes of a workbook, findings. What may not: file
// names, the clock, the meaning of what was filled in; that is calc/check's.
package workbook

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

// Kinds of refusal, to be told apart with errors.Is.
var (
	ErrNotOurs  = errors.New("not a spatsheet workbook")
	ErrDamaged  = errors.New("the workbook is damaged")
	ErrTooLarge = errors.New("the workbook is too large")
	ErrUnknown  = errors.New("the workbook has no such box") // a key given to Fill
)

const (
	startSheet   = "Start"
	workingSheet = "Working"
)

// Write writes the blank workbook of a scaled sheet.
//
// The same sheet gives the same bytes: the dates in the file's properties are the plan's
// start, not the time of writing. Cells are locked, without a password, save the boxes to
// fill in; nothing that is typed into a box is refused, only warned about.
// Error: that of w, or a value that a workbook cannot hold.
func Write(w io.Writer, sheet *calc.Sheet) error {
	b, err := newBook(sheet)
	if err != nil {
		return err
	}
	defer b.file.Close()
	for i := range sheet.Steps {
		b.stepPage(i)
	}
	b.startPage()
	b.workingPage()
	b.manifestPage()
	b.define()
	b.identify()
	b.file.SetActiveSheet(0)
	if b.err != nil {
		return fmt.Errorf("workbook of %s: %w", sheet.Plan.Batch, b.err)
	}
	return b.file.Write(w)
}

// book is a workbook being written. The first error is kept and ends the work.
type book struct {
	file     *excelize.File
	sheet    *calc.Sheet
	boxes    []calc.Box
	styles   map[look]int
	marked   map[mark]int
	tabs     []string                     // names of the step sheets, by step
	progress []progress                   // by step
	cells    map[string]map[uint64]string // what is printed, by tab and place
	printed  []string                     // tabs that repeat their masthead on every page
	names    []named
	taken    map[string]bool   // defined names in use, in lower case
	lists    map[string]string // places of long lists of choices, by their joined text
	listRows [][]string
	texts    [][]string // rows of the manifest with what the sheet is computed from
	err      error
}

func newBook(sheet *calc.Sheet) (*book, error) {
	b := &book{
		file: excelize.NewFile(), sheet: sheet, boxes: sheet.Boxes(), styles: map[look]int{}, marked: map[mark]int{},
		taken: map[string]bool{}, lists: map[string]string{}, cells: map[string]map[uint64]string{},
		texts: keptTexts(sheet),
	}
	b.tabs = tabNames(sheet)
	b.try(b.file.SetDefaultFont(face))
	b.try(b.file.SetSheetName("Sheet1", startSheet))
	for _, tab := range append(append([]string{}, b.tabs...), workingSheet, manifestSheet) {
		_, err := b.file.NewSheet(tab)
		b.try(err)
	}
	return b, b.err
}

func (b *book) try(err error) {
	if b.err == nil {
		b.err = err
	}
}

// identify repeats the identity in the core properties, which every office program keeps.
func (b *book) identify() {
	s := b.sheet
	when := s.Plan.Start.Format("2006-01-02T15:04:05Z")
	b.try(b.file.SetDocProps(&excelize.DocProperties{
		Title: s.Plan.Batch + " " + s.Protocol.Title, Subject: s.Protocol.Ref(), Creator: "spatsheet",
		LastModifiedBy: "spatsheet", Identifier: identity(s), Created: when, Modified: when,
	}))
}

func identity(s *calc.Sheet) string {
	return "spatsheet " + s.Plan.Batch + " " + s.Protocol.Ref() + " " + s.Digest
}

// clock prints a time of the plan, on the site's clock.
func clock(t time.Time) string { return t.Format("Monday 2006-01-02, 15:04") }
