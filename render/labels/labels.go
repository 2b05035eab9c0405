// Package labels prints a batch's labels as a PDF on sheets of label stock: one for each
// beaker, tank or other thing of the batch, and some for the batch itself.
//
// What may enter: a calc.Sheet, the geometry of a stock. What may not: files, the clock,
// names of products; anything that makes two prints of one sheet differ.
package labels

import (
	"fmt"
	"io"

	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Printed tells what Write put on paper.
type Printed struct {
	Labels, Sheets int
	Next           int // the first free label of the last sheet, from 1; 1 where it is full
}

// Write prints the labels of a batch on a stock, row by row from label start of the first
// sheet, which is 1 on a whole one.
//
// The same sheet, stock and start give the same bytes.
// Error: a stock that does not fit its paper or is too small for what a label says; a start
// that is no label of the stock; w.
func Write(w io.Writer, sheet *calc.Sheet, stock calc.LabelStock, start int) (Printed, error) {
	if start < 1 || start > stock.Labels() {
		return Printed{}, fmt.Errorf("a sheet of %s has labels 1 to %d, there is no label %d to start at", stock.Name, stock.Labels(), start)
	}
	paper, err := fits(stock)
	if err != nil {
		return Printed{}, err
	}
	cells, err := cellsOf(sheet, stock, start)
	if err != nil {
		return Printed{}, fmt.Errorf("labels of %s on %s: %w", sheet.Plan.Batch, stock.Name, err)
	}
	if err := document(sheet, paper, cells).Write(w); err != nil {
		return Printed{}, fmt.Errorf("labels of %s: %w", sheet.Plan.Batch, err)
	}
	used := start - 1 + len(cells)
	return Printed{Labels: len(cells), Sheets: cells[len(cells)-1].sheet, Next: used%stock.Labels() + 1}, nil
}

// cell is a label laid out, with its place on the paper.
type cell struct {
	label
	sheet int     // from 1
	x, y  float64 // of the label's upper left corner on the paper
}

// cellsOf lays out every label of a batch.
func cellsOf(sheet *calc.Sheet, stock calc.LabelStock, start int) ([]cell, error) {
	area := areaOf(stock)
	var cells []cell
	for i, t := range textsOf(sheet) {
		laid, err := area.lay(t)
		if err != nil {
			return nil, err
		}
		at := start - 1 + i
		x, y := place(stock, at%stock.Labels())
		cells = append(cells, cell{laid, at/stock.Labels() + 1, x, y})
	}
	return cells, nil
}

func document(sheet *calc.Sheet, paper style.Paper, cells []cell) *page.PDF {
	var pages []page.Page
	for _, c := range cells {
		if c.sheet > len(pages) {
			pages = append(pages, nil)
		}
		pages[c.sheet-1] = append(pages[c.sheet-1], c.marks()...)
	}
	doc := page.NewPDF(page.Head{
		Width: paper.Width, Height: paper.Height, Title: "Labels " + sheet.Plan.Batch,
		Subject: sheet.Protocol.Ref() + " " + sheet.Digest, Made: sheet.Plan.Start,
	}, page.LettersOf(pages...))
	for _, p := range pages {
		p.Draw(doc.Page())
	}
	return doc
}

// marks are a label's texts and code at their places on the paper.
func (c cell) marks() []page.Mark {
	var list []page.Mark
	for _, r := range c.runs {
		list = append(list, page.Words{X: c.x + r.x, Y: c.y + r.y, Font: page.Font{SizePt: r.sizePt, Bold: r.bold}, Text: r.text})
	}
	return append(list, page.Code{Code: c.code, X: c.x + c.codeX, Y: c.y + c.codeY, Side: c.side})
}
