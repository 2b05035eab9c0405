package calendar

import (
	"fmt"
	"io"
	"time"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Sizes of the wall calendar. Site choice: the largest type in which a month's entries fit
// is taken; below the least, a full day goes on to a list.
var entrySizes = []float64{9, 8.5, 8, 7.5, 7, 6.5} // points

const (
	monthPt   = 22.0
	dayPt     = 11.0
	headMM    = 14.0 // month's name
	weekMM    = 6.0  // names of the days
	footMM    = 5.0
	padMM     = 1.0 // inside a cell
	daysMM    = 5.5 // the number of the day
	listPt    = 9.0
	listDayPt = 11.0
)

// WritePDF writes the schedule as a wall calendar: a landscape page for each month with
// every entry on its day, a list after a month where a day is too full for its box, and
// the batches with their latest starts and the clashes at the end.
//
// The same calendar gives the same bytes.
// Error: a paper that is neither A4 nor Letter; w.
func WritePDF(w io.Writer, c Calendar) error {
	paper, err := style.PaperOf(c.Paper)
	if err != nil {
		return err
	}
	p := newSheet(c, paper)
	days := map[time.Time][]string{}
	all := c.entries()
	for _, e := range all {
		text, _ := style.Printable(e.text())
		days[e.day] = append(days[e.day], text)
	}
	if len(all) > 0 {
		last := all[len(all)-1].day
		for m := firstOf(all[0].day); !m.After(last); m = m.AddDate(0, 1, 0) {
			p.month(m, days)
		}
	}
	p.closing()
	if err := p.doc.Write(w); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	return nil
}

func firstOf(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, t.Location())
}

// sheet is the PDF in the making, landscape.
type sheet struct {
	c                        Calendar
	doc                      *page.PDF
	on                       page.Canvas // the page at hand
	pages                    int
	left, top, width, height float64 // of what is drawn in
	y                        float64 // of lists
	listTitle                string
}

func newSheet(c Calendar, paper style.Paper) *sheet {
	doc := page.NewPDF(page.Head{Width: paper.Height, Height: paper.Width, Title: "Season calendar, " + c.Site, Made: c.Made}, nil)
	const margin = 10.0 // mm; site choice
	return &sheet{c: c, doc: doc, left: margin, top: margin, width: paper.Height - 2*margin, height: paper.Width - 2*margin}
}

func (p *sheet) page(title string) {
	p.on, p.pages = p.doc.Page(), p.pages+1
	p.text(p.left, p.top, title, monthPt, true)
	site, _ := style.Printable(p.c.Site)
	right := fmt.Sprintf("%s · made %s", site, p.c.Made.Format("2006-01-02"))
	p.text(p.left+p.width-style.Regular().Width(right, style.LabelPt), p.top+3, right, style.LabelPt, false)
	p.text(p.left, p.top+p.height-footMM+1, "* no plan made yet: proposed by the calendar", style.SmallPt, false)
	number := fmt.Sprintf("page %d", p.pages)
	p.text(p.left+p.width-style.Regular().Width(number, style.SmallPt), p.top+p.height-footMM+1, number, style.SmallPt, false)
}

// text draws one line with its top at y.
func (p *sheet) text(x, y float64, text string, pt float64, bold bool) {
	p.on.Text(x, y+style.AscentMM(pt), page.Font{SizePt: pt, Bold: bold}, text)
}
