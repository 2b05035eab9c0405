// Package lineage draws a lineage: batches as boxes from left to right by date, lines with
// the numbers that parents had left, on paper (PDF) or for a screen (SVG). Boxes differ by shape and
// lines by stroke, so that a grey copy tells as much.
//
// What may enter: a traced season.Lineage. What may not: files, the clock; nothing is
// worked out here but places.
//
// Batches become nodes (node.go), nodes get columns and rows (layout.go), the whole becomes
// marks (scene.go), and only then is it written (pdf.go, svg.go).
package lineage

import (
	"bufio"
	"fmt"
	"io"
	"time"

	"spatsheet/calc/pedigree"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Drawing is a lineage laid out, ready to be written.
type Drawing struct {
	Title  string
	lay    *layout
	scene  []page.Mark
	width  float64 // mm, of the whole
	height float64
	last   time.Time // the latest start: the document's date
}

// Draw lays out some lots of a lineage, each with its links to others of them; marked, which
// may be nil, gets a heavy line and a grey ground.
//
// Error: no lots to draw.
func Draw(l *pedigree.Lineage, lots []*pedigree.Lot, marked *pedigree.Lot) (*Drawing, error) {
	if len(lots) == 0 {
		return nil, fmt.Errorf("there is no batch to draw; collect one first")
	}
	d := &Drawing{Title: "Lineage of all batches", lay: newLayout(nodesOf(l, lots, marked))}
	if marked != nil {
		d.Title = "Lineage of " + marked.Batch
	}
	if on, closed := l.ClosedOn(); closed {
		d.Title += fmt.Sprintf("; life cycle closed on %s", on.Format("2006-01-02"))
	}
	for _, lot := range lots {
		if lot.Start.After(d.last) {
			d.last = lot.Start
		}
	}
	d.width, d.height = d.lay.size()
	d.scene = d.lay.scene()
	return d, nil
}

// WritePDF writes the drawing on landscape pages of a paper ("A4" or "Letter"): on one
// page where it fits at three quarters of its size or more, else on as many as it takes,
// broken between columns.
//
// The same drawing gives the same bytes. Error: another paper; w.
func (d *Drawing) WritePDF(w io.Writer, paper string) error {
	p, err := style.PaperOf(paper)
	if err != nil {
		return err
	}
	return d.document(p).Write(w)
}

// WriteSVG writes the drawing as one picture that needs no other file. The same drawing
// gives the same bytes. Error: that of w.
func (d *Drawing) WriteSVG(w io.Writer) error {
	out := bufio.NewWriter(w)
	d.svg(out)
	return out.Flush()
}
