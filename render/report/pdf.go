package report

import (
	"fmt"
	"io"
	"time"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/calc/season"
	"spatsheet/render/style"
)

// WritePDF prints the season report on the paper of the latest batch's site.
//
// stamp, the time of the latest collecting, is printed as the state of the report and is
// the file's time of making: the same season gives the same bytes.
// Error: a season without a batch; a paper that is neither A4 nor Letter; w.
func WritePDF(w io.Writer, r season.Report, stamp time.Time) error {
	batches := r.Season.Batches
	if len(batches) == 0 {
		return fmt.Errorf("season report: there is no batch; collect workbooks first")
	}
	paper, err := style.PaperOf(batches[len(batches)-1].Sheet.Site.Paper)
	if err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	d := contents(r, stamp)
	l := &layout{paper: paper}
	l.document(d)
	pages := l.pages()
	pdf := newPDF(paper, d, stamp)
	for i, page := range pages {
		pdf.AddPage()
		c := newOnPDF(pdf)
		for _, b := range page {
			b.block.draw(c, b.y)
		}
		l.running(c, d, i+1, len(pages))
	}
	if err := pdf.Output(w); err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	return nil
}

func newPDF(paper style.Paper, d document, stamp time.Time) *gofpdf.Fpdf {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: paper.Width, Ht: paper.Height}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(stamp.UTC())
	pdf.SetModificationDate(stamp.UTC())
	pdf.SetTitle(d.title, true)
	pdf.SetCreator("spatsheet", true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetLineCapStyle("butt")
	pdf.SetLineJoinStyle("round")
	style.AddFaces(pdf, nil)
	return pdf
}

// document lays out the title and every section.
func (l *layout) document(d document) {
	l.lines(d.title, letters{sizePt: style.ReportTitlePt, bold: true}, 0, true)
	l.lines(d.subtitle, letters{sizePt: style.ReportHeadingPt}, 0.5, true)
	l.add(block{before: 2, height: 2, keep: true, draw: func(c canvas, y float64) {
		c.path([]place{{l.paper.Left, y}, {l.paper.Left + l.paper.TextWidth(), y}}, pen{colour: style.Black, width: 0.6})
	}})
	for _, f := range d.facts {
		l.fact(f)
	}
	for _, s := range d.sections {
		l.section(s)
	}
}

// fact prints a name and what it is.
func (l *layout) fact(f [2]string) {
	const nameWidth = 32.0
	bold := body
	bold.bold = true
	lines := body.wrap(f[1], l.paper.TextWidth()-nameWidth)
	l.add(block{before: 0.6, height: float64(len(lines)) * body.line(), draw: func(c canvas, y float64) {
		c.text(l.paper.Left, y+body.ascent(), bold, f[0])
		for i, say := range lines {
			c.text(l.paper.Left+nameWidth, y+float64(i)*body.line()+body.ascent(), body, say)
		}
	}})
}

// running prints head and foot of a page.
func (l *layout) running(c canvas, d document, page, of int) {
	right := l.paper.Left + l.paper.TextWidth()
	look := letters{sizePt: style.ReportTablePt, colour: style.Ink}
	if page > 1 {
		c.text(l.paper.Left, l.paper.Top+look.ascent(), look, d.title+"   "+d.subtitle)
	}
	look.anchor = toEnd
	c.text(right, l.paper.Height-l.paper.Bottom, look, fmt.Sprintf("page %d of %d", page, of))
}
