package report

import (
	"fmt"
	"io"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/page"
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
	pages, err := l.pages()
	if err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	doc := page.NewPDF(page.Head{Width: paper.Width, Height: paper.Height, Title: d.title, Made: stamp.UTC(), RoundJoins: true}, nil)
	for i, p := range pages {
		on := doc.Page()
		p.Draw(on)
		l.running(on, d, i+1, len(pages))
	}
	if err := doc.Write(w); err != nil {
		return fmt.Errorf("season report: %w", err)
	}
	return nil
}

// document lays out the title and every section.
func (l *layout) document(d document) {
	l.lines(d.title, page.Font{SizePt: style.ReportTitlePt, Bold: true}, 0, true)
	l.lines(d.subtitle, page.Font{SizePt: style.ReportHeadingPt}, 0.5, true)
	l.add(page.Block{Before: 2, Height: 2, Keep: true}, func(c page.Canvas, y float64) {
		c.Path([]page.Point{page.At(l.paper.Left, y), page.At(l.paper.Left+l.paper.TextWidth(), y)}, page.Pen{Colour: style.Black, Width: 0.6})
	})
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
	bold.Bold = true
	lines := wrapped(body, f[1], l.paper.TextWidth()-nameWidth)
	l.add(page.Block{Before: 0.6, Height: float64(len(lines)) * body.Line()}, func(c page.Canvas, y float64) {
		c.Text(l.paper.Left, y+body.Ascent(), bold, f[0])
		for i, say := range lines {
			c.Text(l.paper.Left+nameWidth, y+float64(i)*body.Line()+body.Ascent(), body, say)
		}
	})
}

// running prints head and foot of a page.
func (l *layout) running(c page.Canvas, d document, number, of int) {
	right := l.paper.Left + l.paper.TextWidth()
	look := page.Font{SizePt: style.ReportTablePt, Colour: style.Ink}
	if number > 1 {
		c.Text(l.paper.Left, l.paper.Top+look.Ascent(), look, d.title+"   "+d.subtitle)
	}
	look.Anchor = page.ToEnd
	c.Text(right, l.paper.Height-l.paper.Bottom, look, fmt.Sprintf("page %d of %d", number, of))
}
