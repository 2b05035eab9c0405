package calc

import (
	"math"
	"strconv"

	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/quantity"
)

// LabelStock is a sheet of labels by its geometry; lengths in mm.
type LabelStock struct {
	Name          string // small letters, digits and hyphens
	Paper         string // "A4" or "Letter"
	Columns, Rows int
	Width, Height float64 // of a label
	Left, Top     float64 // from the paper's edge to the first label
	Across, Down  float64 // from a label to the next one: its size and the gap
	Place         string  // in the site file; empty for what ships
}

// Labels is how many labels a sheet has.
func (s LabelStock) Labels() int { return s.Columns * s.Rows }

// mostLabels bounds the columns and rows of a sheet of labels. Site choice: a slip of the
// keys, not a limit anyone meets.
const mostLabels = 50

// readLabelStocks reads a site's own stock; whether it fits its paper is for the printer.
func readLabelStocks(n document.Node) []LabelStock {
	var list []LabelStock
	for _, item := range n.List() {
		s := readLabelStock(item)
		for _, other := range list {
			if other.Name == s.Name && s.Name != "" {
				item.Fault("there are two label stocks named %q; rename one", s.Name)
			}
		}
		list = append(list, s)
	}
	return list
}

func readLabelStock(n document.Node) LabelStock {
	f := n.Fields("name", "paper", "columns", "rows", "width", "height", "left", "top", "across", "down")
	s := LabelStock{
		Name: f.Need("name").Text(), Paper: f.OneOf("paper", "A4", "Letter"), Place: n.Place().String(),
		Columns: readNumberOfLabels(f.Need("columns")), Rows: readNumberOfLabels(f.Need("rows")),
		Width: readMM(f.Need("width"), 0), Height: readMM(f.Need("height"), 0),
		Left: readMM(f.Need("left"), 0), Top: readMM(f.Need("top"), 0),
	}
	f.Need("paper")
	if s.Name != "" && !protocols.IsID(s.Name) {
		f.Get("name").Fault("name %q: use small letters, digits and single hyphens, such as tank-tags", s.Name)
	}
	s.Across, s.Down = readMM(f.Get("across"), s.Width), readMM(f.Get("down"), s.Height)
	if s.Across < s.Width {
		f.Get("across").Fault("across, from one label's left edge to the next one's, must be at least the width, %g mm", s.Width)
	}
	if s.Down < s.Height {
		f.Get("down").Fault("down, from one label's upper edge to the next one's, must be at least the height, %g mm", s.Height)
	}
	return s
}

func readNumberOfLabels(n document.Node) int {
	x, err := strconv.Atoi(n.Text())
	if n.Present() && (err != nil || x < 1 || x > mostLabels) {
		n.Fault("write a whole number from 1 to %d", mostLabels)
	}
	return x
}

// readMM reads a length of zero or more; without one it is otherwise.
func readMM(n document.Node, otherwise float64) float64 {
	if !n.Present() {
		return otherwise
	}
	written := readQuantity(n)
	if written == (quantity.Quantity{}) { // told already
		return otherwise
	}
	mm, err := written.In(quantity.MustUnit("mm"))
	if err != nil || mm.Value() < 0 {
		n.Fault("write a length of zero or more with its unit, such as 63.5 mm")
		return otherwise
	}
	return math.Round(mm.Value()*1e6) / 1e6 // clean of 2.54 cm = 25.400000000000002 mm
}
