package lineage

import (
	"fmt"
	"slices"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// leastScale is the smallest that type may become on paper: 8 points to 6. Site choice.
const leastScale = 0.75

// tile is a part of the drawing (left to bottom, mm of the drawing) and where it goes on
// its page; the dates of its columns stand above it.
type tile struct {
	left, top, right, bottom float64
	page                     int     // from 0
	y                        float64 // of its top, mm of the page
}

// stripGap is the room between two strips of columns on one page, mm.
const stripGap = 5.0

// document draws the pages.
func (d *Drawing) document(paper style.Paper) *page.PDF {
	width, height := paper.Height, paper.Width // landscape
	doc := page.NewPDF(page.Head{Width: width, Height: height, Title: d.Title, Made: d.last}, nil)
	scale, tiles := d.tiles(width, height)
	pages := tiles[len(tiles)-1].page + 1
	var on *page.Sheet
	for i, t := range tiles {
		if i == 0 || t.page != tiles[i-1].page {
			on = doc.Page()
			d.frame(on, t.page+1, pages, width, height)
		}
		d.tile(on, scale, t)
	}
	return doc
}

// frame draws a page's title, number and legend.
func (d *Drawing) frame(on page.Canvas, number, of int, width, height float64) {
	for _, m := range append(d.pageHead(number, of, width), legend(edgeRoom, height-edgeRoom-legendHeight+legendGap)...) {
		m.Draw(on)
	}
}

// tile draws one part of the drawing under its dates; a number that is not whole on it is
// left out, and stands in the note at the line.
func (d *Drawing) tile(on *page.Sheet, scale float64, t tile) {
	over := page.Scaled{On: on, Scale: scale, DX: edgeRoom - t.left*scale, DY: t.y - bodyTop*scale}
	for _, m := range d.datesOver(t) {
		m.Draw(over)
	}
	defer on.Clip(edgeRoom, t.y, (t.right-t.left)*scale, (t.bottom-t.top)*scale)()
	c := page.Scaled{On: on, Scale: scale, DX: edgeRoom - t.left*scale, DY: t.y - t.top*scale}
	for _, m := range append(d.shown(t), d.crossings(t)...) {
		m.Draw(c)
	}
}

// datesOver are the dates of a tile's columns, where they stand in the whole drawing.
func (d *Drawing) datesOver(t tile) []page.Mark {
	return slices.DeleteFunc(d.lay.dateMarks(), func(m page.Mark) bool {
		l, _, r, _ := m.Extent()
		return l < t.left || r > t.right
	})
}

// shown are the marks of the scene on a tile, without boxes that would be cut: each is whole
// on another.
func (d *Drawing) shown(t tile) []page.Mark {
	var hidden []area
	for _, column := range d.lay.columns {
		for _, n := range column {
			if t.hides(n) {
				hidden = append(hidden, n.area())
			}
		}
	}
	var marks []page.Mark
	for _, m := range d.scene {
		here := areaOf(m)
		label, isText := m.(page.Words)
		switch number := isText && label.Ground; {
		case !here.meets(t.area()):
		case number && !t.hasNumber(label):
		case !number && slices.ContainsFunc(hidden, here.within):
		default:
			marks = append(marks, m)
		}
	}
	return marks
}

func (d *Drawing) pageHead(number, of int, width float64) []page.Mark {
	head := page.Words{X: edgeRoom, Y: edgeRoom + 4, Font: page.Font{SizePt: style.TitlePt, Bold: true},
		Text: cut(d.Title, style.Bold(), style.TitlePt, width-2*edgeRoom-30)}
	count := page.Words{X: 0, Y: edgeRoom + 4, Font: page.Font{SizePt: style.SmallPt}, Text: fmt.Sprintf("page %d of %d", number, of)}
	count.X = width - edgeRoom - count.Font.Width(count.Text)
	return []page.Mark{head, count}
}
