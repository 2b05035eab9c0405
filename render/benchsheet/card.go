package benchsheet

import (
	"fmt"
	"io"

	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// WriteCard prints a sheet's pocket card: one page of times and amounts, on the paper of its
// site, to be folded to a quarter.
//
// Type shrinks until all is on the page; where the least sizes do not do it, what is least
// needed is left out and the card says how much. The same sheet gives the same bytes.
// Error: a paper that is neither A4 nor Letter; w.
func WriteCard(w io.Writer, sheet *calc.Sheet) error {
	f, err := newForm(sheet)
	if err != nil {
		return err
	}
	if err := f.document("Pocket card ", []page.Page{f.card()}).Write(w); err != nil {
		return fmt.Errorf("pocket card of %s: %w", sheet.Plan.Batch, err)
	}
	return nil
}

// Places in mm on the card. Site choice: nothing is printed on a fold.
const (
	cardMargin = 8.0 // at the paper's edges
	foldMargin = 5.0 // beside a fold
	cardFoot   = 5.0
	cardCode   = 22.0 // side of the QR code, quiet border included
)

// cardSizes are type sizes in points. Site choice: the least are what a head torch still
// shows at arm's length for amounts, and close by for the rest.
type cardSizes struct{ number, time, title, amount, label, caution float64 }

var (
	mostCard  = cardSizes{22, 13, 13, 24, 11, 9.5}
	leastCard = cardSizes{13, 9, 9, 12, 8, 7}
)

// at gives sizes between the least (0) and the most (1).
func cardSizesAt(share float64) cardSizes {
	mix := func(least, most float64) float64 { return least + share*(most-least) }
	a, z := leastCard, mostCard
	return cardSizes{mix(a.number, z.number), mix(a.time, z.time), mix(a.title, z.title), mix(a.amount, z.amount),
		mix(a.label, z.label), mix(a.caution, z.caution)}
}

// cardKeeps is what the card prints of a step.
type cardKeeps struct {
	parts             bool // how amounts are dealt out
	repeated          bool // cautions of an earlier step whole again, not by their number on the card
	amounts, cautions int  // at most; a caution is printed whole or not at all
}

const allOf = 1000

// complete lists what may be printed in larger type, and lessAndLess what is given up in turn
// when the least sizes do not hold it.
var (
	complete    = []cardKeeps{{true, true, allOf, allOf}, {true, false, allOf, allOf}}
	lessAndLess = []cardKeeps{{false, false, allOf, allOf}, {false, false, 6, 6}, {false, false, 3, 3}, {false, false, 1, 1}, {false, false, 1, 0}}
)

// card lays out the page: everything in the largest type, else in the least type as much as
// goes on it with at least half of the steps; the later ones are on later days.
func (f *form) card() page.Page {
	all := len(f.sheet.Steps)
	for share := 1.0; share >= 0; share -= 0.04 {
		for _, keeps := range complete {
			if p, n := f.panels(cardSizesAt(share), keeps, all); n == all {
				return p
			}
		}
	}
	var p page.Page
	for _, keeps := range lessAndLess {
		n, limit := all, -1
		for n != limit { // again with less: the line that says how many are left takes room too
			limit = n
			p, n = f.panels(leastCard, keeps, limit)
		}
		if n >= all/2 && n > 0 {
			break
		}
	}
	return p
}

// panels fills the quarters of the page, left before right, upper before lower, with the
// first steps up to limit; no step is broken over a fold. placed is how many there was room
// for, one less than limit where there was none to say that others are left.
func (f *form) panels(s cardSizes, keeps cardKeeps, limit int) (p page.Page, placed int) {
	wide := f.paper.Width/2 - cardMargin - foldMargin
	q := quarters{paper: f.paper}
	q.put(f.cardHead(wide))
	told := map[string]cardCaution{}
	for i := range f.sheet.Steps[:limit] {
		if !q.put(f.cardStep(&f.sheet.Steps[i], wide, s, keeps, told)) {
			return nil, i
		}
	}
	if left := len(f.sheet.Steps) - limit; left > 0 {
		b := page.Block{Before: 2}
		b.Text(0, 0, page.Font{SizePt: s.title, Bold: true}, fmt.Sprintf("+ %d more steps on the bench sheet", left))
		if !q.put(b) {
			return nil, limit - 1
		}
	}
	return append(q.page, f.folds()...), limit
}

// quarters places blocks on the four quarters of a page.
type quarters struct {
	paper style.Paper
	page  page.Page
	at    int     // the quarter
	y     float64 // in it
}

// put places a block, in the next quarter where this one is full; false when all are.
func (q *quarters) put(b page.Block) bool {
	high := q.paper.Height/2 - cardMargin - foldMargin
	if q.y > 0 && q.y+b.Before+b.Height > high-panelFoot(q.at) {
		q.at, q.y = q.at+1, 0
	}
	if q.at > 3 || b.Height > high-panelFoot(q.at) {
		return false
	}
	if q.y > 0 {
		q.y += b.Before
	}
	x := cardMargin + float64(q.at%2)*(q.paper.Width/2+foldMargin-cardMargin)
	top := cardMargin + float64(q.at/2)*(q.paper.Height/2+foldMargin-cardMargin)
	q.page = append(q.page, placed(b, x, top+q.y)...)
	q.y += b.Height
	return true
}

// panelFoot is what a quarter's lower edge leaves for the foot of the page.
func panelFoot(panel int) float64 {
	if panel >= 2 {
		return cardFoot
	}
	return 0
}

// folds draws the fold marks and the foot of the card.
func (f *form) folds() []page.Mark {
	across, down := f.paper.Height/2, f.paper.Width/2
	b := page.Block{}
	b.Add(page.Line{X1: cardMargin, Y1: across, X2: f.paper.Width - cardMargin, Y2: across, Width: style.HairLine, Dashed: true})
	b.Add(page.Line{X1: down, Y1: cardMargin, X2: down, Y2: f.paper.Height - cardMargin - cardFoot, Width: style.HairLine, Dashed: true})
	top := f.paper.Height - cardMargin - small.Line()
	b.Text(cardMargin, top, small, "Pocket card: fold twice, on the dashed lines. To read from: write on the bench sheet.")
	b.TextRight(f.paper.Width-cardMargin, top, small, "page 1 of 1")
	return b.Marks
}
