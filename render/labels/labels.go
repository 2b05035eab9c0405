// Package labels prints a batch's labels as a PDF on sheets of label stock: one for each
// beaker, tank or other thing of the batch, and some for the batch itself.
//
// What may enter: a calc.Sheet, the geometry of a stock. What may not: files, the clock,
// names of products; anything that makes two prints of one sheet differ.
package labels

import (
	"fmt"
	"io"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/calc"
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
	pdf := document(sheet, paper, cells)
	for _, c := range cells {
		if c.sheet > pdf.PageNo() {
			pdf.AddPage()
		}
		c.draw(pdf)
	}
	if err := pdf.Output(w); err != nil {
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

func document(sheet *calc.Sheet, paper style.Paper, cells []cell) *gofpdf.Fpdf {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: paper.Width, Ht: paper.Height}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(sheet.Plan.Start)
	pdf.SetModificationDate(sheet.Plan.Start)
	pdf.SetTitle("Labels "+sheet.Plan.Batch, true)
	pdf.SetSubject(sheet.Protocol.Ref()+" "+sheet.Digest, true)
	pdf.SetCreator("spatsheet", true)
	pdf.SetAutoPageBreak(false, 0)
	style.AddFaces(pdf, lettersOf(cells))
	return pdf
}

func lettersOf(cells []cell) *style.Letters {
	letters := &style.Letters{}
	for _, c := range cells {
		for _, r := range c.runs {
			letters.Add(r.text)
		}
	}
	return letters
}

// draw puts a label on the current page.
func (c cell) draw(pdf *gofpdf.Fpdf) {
	for _, r := range c.runs {
		weight := ""
		if r.bold {
			weight = "B"
		}
		pdf.SetFont(style.Family, weight, r.sizePt)
		pdf.Text(c.x+r.x, c.y+r.y, r.text)
	}
	c.code.Draw(pdf, c.x+c.codeX, c.y+c.codeY, c.side)
}
