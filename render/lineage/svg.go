package lineage

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"spatsheet/render/page"
	"spatsheet/render/style"
)

// svg writes the drawing; every text keeps the width that it was measured with, whatever
// typeface the reader has.
func (d *Drawing) svg(w io.Writer) {
	s := page.NewSVG(w, d.width, d.height, ` width="`+plain(d.width)+`mm" height="`+plain(d.height)+`mm"`, d.Title)
	s.Shape(page.Rectangle(0, 0, d.width, d.height), style.White)
	for _, m := range slices.Concat(d.head(), d.lay.dateMarks(), d.scene, legend(edgeRoom, d.height-edgeRoom-legendHeight+legendGap)) {
		m.Draw(s)
	}
	s.Close()
}

func (d *Drawing) head() []page.Mark {
	return []page.Mark{page.Words{X: edgeRoom, Y: edgeRoom + 4, Font: page.Font{SizePt: style.TitlePt, Bold: true},
		Text: cut(d.Title, style.Bold(), style.TitlePt, d.width-2*edgeRoom)}}
}

// plain writes mm to the thousandth, the same everywhere.
func plain(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
