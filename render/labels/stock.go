package labels

import (
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/render/style"
)

// stocks are common sheets of labels. Common practice, from memory: sizes of labels and
// sheets; the distances from the edges follow from them where the sheet is symmetrical.
var stocks = []calc.LabelStock{
	{Name: "a4-3x8", Paper: "A4", Columns: 3, Rows: 8, Width: 70, Height: 37, Left: 0, Top: 0.5, Across: 70, Down: 37},
	{Name: "a4-3x7", Paper: "A4", Columns: 3, Rows: 7, Width: 63.5, Height: 38.1, Left: 7.25, Top: 15.15, Across: 66, Down: 38.1},
	{Name: "a4-2x7", Paper: "A4", Columns: 2, Rows: 7, Width: 99.1, Height: 38.1, Left: 4.65, Top: 15.15, Across: 101.6, Down: 38.1},
	{Name: "letter-3x10", Paper: "Letter", Columns: 3, Rows: 10, Width: 66.675, Height: 25.4, Left: 4.7625, Top: 12.7, Across: 69.85, Down: 25.4},
	{Name: "letter-2x5", Paper: "Letter", Columns: 2, Rows: 5, Width: 101.6, Height: 50.8, Left: 3.96875, Top: 12.7, Across: 106.3625, Down: 50.8},
}

// Stocks lists the stocks that ship and the site's own.
func Stocks(site calc.Site) []calc.LabelStock { return slices.Concat(stocks, site.Labels) }

// Find gives a stock by name, the site's own first.
//
// Error: no stock of that name, with those that there are.
func Find(name string, site calc.Site) (calc.LabelStock, error) {
	var names []string
	for _, s := range slices.Concat(site.Labels, stocks) {
		if s.Name == name {
			return s, nil
		}
		names = append(names, s.Name)
	}
	return calc.LabelStock{}, fmt.Errorf("there is no label stock %q; there are: %s", name, strings.Join(names, ", "))
}

// Describe says what a stock is: "A4, 3 x 8 labels of 70 x 37 mm".
func Describe(s calc.LabelStock) string {
	return fmt.Sprintf("%s, %d x %d labels of %g x %g mm", s.Paper, s.Columns, s.Rows, s.Width, s.Height)
}

// fits gives the stock's paper, or says how far the labels reach past its edge.
func fits(s calc.LabelStock) (style.Paper, error) {
	paper, err := style.PaperOf(s.Paper)
	if err != nil {
		return paper, err
	}
	const slack = 0.01 // mm: inches do not come out even
	right := s.Left + float64(s.Columns-1)*s.Across + s.Width
	bottom := s.Top + float64(s.Rows-1)*s.Down + s.Height
	if right > paper.Width+slack || bottom > paper.Height+slack {
		where := ""
		if s.Place != "" {
			where = s.Place + ": "
		}
		return paper, fmt.Errorf("%sthe labels of %s reach %.4g mm to the right and %.4g mm down, %s has %g x %g mm; measure the sheet again",
			where, s.Name, right, bottom, paper.Name, paper.Width, paper.Height)
	}
	return paper, nil
}

// place is the upper left corner of a label, counted from 0 row by row.
func place(s calc.LabelStock, n int) (x, y float64) {
	return s.Left + float64(n%s.Columns)*s.Across, s.Top + float64(n/s.Columns)*s.Down
}

// Free borders in mm. Site choice: sheets shift by a millimetre in the printer, and printers
// leave about 4 mm of the paper's edge blank.
const (
	labelMargin = 2.0
	paperMargin = 4.5
)

// area is a label with the border that is kept free on each side.
type area struct {
	width, height         float64
	acrossFree, aboveFree float64
}

// areaOf takes the widest border that any label of the stock needs, so that all look alike.
func areaOf(s calc.LabelStock) area {
	paper, _ := style.PaperOf(s.Paper)
	right := paper.Width - s.Left - float64(s.Columns-1)*s.Across - s.Width
	below := paper.Height - s.Top - float64(s.Rows-1)*s.Down - s.Height
	return area{
		width: s.Width, height: s.Height,
		acrossFree: max(labelMargin, paperMargin-s.Left, paperMargin-right),
		aboveFree:  max(labelMargin, paperMargin-s.Top, paperMargin-below),
	}
}
