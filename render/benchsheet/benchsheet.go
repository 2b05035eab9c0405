// Package benchsheet prints a scaled protocol as a PDF to work from and write on, for
// someone at two in the morning with wet gloves and a head torch: black on white with one
// grey, amounts large, a box for everything that is written down, nothing told by colour.
//
// What may enter: a calc.Sheet. What may not: files, the clock, anything that makes two
// prints of one sheet differ; other printed forms.
//
// A sheet becomes blocks (block.go), the blocks are placed on pages (page.go), and only
// then are the marks drawn (mark.go), so that places can be tested without a PDF reader.
package benchsheet

import (
	"fmt"
	"io"

	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Write prints a sheet as PDF on the paper of its site.
//
// The same sheet gives the same bytes, in this process and in any other.
// Error: a paper that is neither A4 nor Letter; a single text higher than a page; w.
func Write(w io.Writer, sheet *calc.Sheet) error {
	f, err := newForm(sheet)
	if err != nil {
		return err
	}
	done, err := f.pages()
	if err != nil {
		return fmt.Errorf("bench sheet of %s: %w", sheet.Plan.Batch, err)
	}
	if err := f.document("Bench sheet ", done).Write(w); err != nil {
		return fmt.Errorf("bench sheet of %s: %w", sheet.Plan.Batch, err)
	}
	return nil
}

// form is a sheet being printed.
type form struct {
	sheet *calc.Sheet
	paper style.Paper
	width float64 // between the side margins
	code  page.Code
}

func newForm(sheet *calc.Sheet) (*form, error) {
	paper, err := style.PaperOf(sheet.Site.Paper)
	if err != nil {
		return nil, err
	}
	c, err := newCode(sheet)
	if err != nil {
		return nil, err
	}
	return &form{sheet: sheet, paper: paper, width: paper.TextWidth(), code: c}, nil
}

// pages lays the whole sheet out, with running heads and feet.
func (f *form) pages() ([]page.Page, error) {
	blocks := f.firstPage()
	for i := range f.sheet.Steps {
		blocks = append(blocks, f.step(&f.sheet.Steps[i])...)
	}
	blocks = append(blocks, f.closing()...)
	blocks = append(blocks, f.settings()...)
	blocks = append(blocks, f.sources()...)
	blocks = append(blocks, f.working()...)
	done, err := page.Paginate(room(f.paper), blocks)
	if err != nil {
		return nil, err
	}
	for i := range done {
		if i > 0 {
			done[i] = append(done[i], f.runningHead()...)
		}
		done[i] = append(done[i], f.foot(done[i], i+1, len(done))...)
	}
	return done, nil
}

func (f *form) document(title string, done []page.Page) *page.PDF {
	doc := page.NewPDF(page.Head{
		Width: f.paper.Width, Height: f.paper.Height, Title: title + f.sheet.Plan.Batch,
		Subject: f.sheet.Protocol.Ref() + " " + f.sheet.Digest, Made: f.sheet.Plan.Start,
	}, page.LettersOf(done...))
	for _, p := range done {
		p.Draw(doc.Page())
	}
	return doc
}

// Places in mm from the edges of the paper. Site choice.
const (
	headHeight = 18.0 // the running head of pages after the first, which has the large head, a block of its own
	footHeight = 7.0
)

func room(paper style.Paper) page.Room {
	return page.Room{Paper: paper, Head: headHeight, Foot: footHeight}
}
