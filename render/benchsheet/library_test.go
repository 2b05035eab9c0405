package benchsheet

import (
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
	"spatsheet/protocols/library"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// fromExamples scales a shipped protocol from the examples of its own settings.
func fromExamples(t *testing.T, ref, paper string) *calc.Sheet {
	t.Helper()
	p, site := fixture.Shipped(t, ref), fixture.Site(t)
	site.Paper = paper
	return fixture.Scaled(t, p, site, fixture.FromExamples(p).With("start", `"18:00"`))
}

// TestLibraryIsLaidOutWell holds every shipped protocol's pages to the rules of the layout:
// no heading or head of a table at a page's foot, no initials and no WORKING by themselves.
func TestLibraryIsLaidOutWell(t *testing.T) {
	for _, ref := range library.Refs() {
		for _, paper := range paperSize {
			t.Run(ref+" "+paper, func(t *testing.T) {
				sheet := fromExamples(t, ref, paper)
				checkPages(t, sheet)
				checkCard(t, sheet)
				for n, p := range laidOut(t, sheet) {
					checkWhole(t, n+1, p, sheet)
				}
			})
		}
	}
}

func checkWhole(t *testing.T, number int, p page.Page, sheet *calc.Sheet) {
	t.Helper()
	paper, err := style.PaperOf(sheet.Site.Paper)
	if err != nil {
		t.Fatal(err)
	}
	var last page.Words // the lowest text of the page above its foot
	lowest := 0.0       // the lower edge of the lowest boxes
	white := 0.0        // the lower edge of the lowest boxes to write in
	boxes := 0          // to write in
	var text []string   // of the page
	for _, m := range p {
		_, _, _, bottom := m.Extent()
		switch m := m.(type) {
		case page.Words:
			text = append(text, m.Text)
			if bottom < paper.Height-paper.Bottom-footHeight && m.Y >= last.Y {
				last = m
			}
		case page.Frame:
			if m.LineWidth > 0 && !m.Grey {
				boxes, white = boxes+1, max(white, bottom)
			}
			if m.LineWidth > 0 {
				lowest = max(lowest, bottom)
			}
		}
	}
	all := strings.Join(text, "\n")
	if (last.Font == heading || last.Font == titleFont) && white < last.Y {
		t.Errorf("page %d ends with the heading %q", number, last.Text)
	}
	if lowest > white+0.01 {
		t.Errorf("page %d ends with the head of a table", number)
	}
	if signed := strings.Count(all, "by (initials)"); signed > 0 && boxes == signed {
		t.Errorf("page %d has initials and nothing else", number)
	}
	if strings.Contains("\n"+all, "\nWORKING\n") && !strings.Contains(all, "\nexact ") {
		t.Errorf("page %d has the heading WORKING alone", number)
	}
}

// TestWorkingStaysWithItsHeading has ever more amounts, so that a page is filled to any height.
func TestWorkingStaysWithItsHeading(t *testing.T) {
	for _, paper := range paperSize {
		sheet := scaled(t, "spawn", paper, nil)
		f, err := newForm(sheet)
		if err != nil {
			t.Fatal(err)
		}
		amounts := sheet.Amounts
		for n := 0; n < 120; n += 7 {
			sheet.Amounts = append(sheet.Amounts[:0:0], amounts[n%len(amounts)])
			for i := range n {
				sheet.Amounts = append(sheet.Amounts, amounts[(i*i+n)%len(amounts)])
			}
			done, err := page.Paginate(room(f.paper), append([]page.Block{{Height: 1}}, f.working()...))
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range done {
				checkWhole(t, n, p, sheet)
			}
		}
	}
}
