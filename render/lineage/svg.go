package lineage

import (
	"encoding/xml"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spatsheet/render/style"
)

// svg writes the drawing; every text keeps the width that it was measured
// with, whatever typeface the reader has.
func (d *Drawing) svg() string {
	var b strings.Builder
	w, h := drawn(d.width), drawn(d.height)
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img">`+"\n", plain(d.width), plain(d.height), w, h)
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(d.Title))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="white" stroke="none"/>`+"\n", w, h)
	b.WriteString(`<g font-family="DejaVu Sans Condensed, DejaVu Sans, Arial, sans-serif" fill="black" stroke-linejoin="round">` + "\n")
	for _, m := range slices.Concat(d.head(), d.lay.dateMarks(), d.scene, legend(edgeRoom, d.height-edgeRoom-legendHeight+legendGap)) {
		switch m := m.(type) {
		case path:
			b.WriteString(m.svg())
		case text:
			b.WriteString(m.svg())
		}
	}
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

func (d *Drawing) head() []mark {
	return []mark{text{edgeRoom, edgeRoom + 4, style.TitlePt, true, cut(d.Title, style.Bold(), style.TitlePt, d.width-2*edgeRoom), false}}
}

func (p path) svg() string {
	var points []string
	for _, q := range p.points {
		points = append(points, drawn(q.x)+","+drawn(q.y))
	}
	element, fill := "polyline", "none"
	if p.closed {
		element, fill = "polygon", "white"
		if p.grey {
			fill = fmt.Sprintf("rgb(%d,%d,%d)", style.Grey, style.Grey, style.Grey)
		}
	}
	dash := ""
	if len(p.dash) > 0 {
		var lengths []string
		for _, l := range p.dash {
			lengths = append(lengths, drawn(l))
		}
		dash = fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(lengths, " "))
	}
	return fmt.Sprintf(`<%s points="%s" fill="%s" stroke="black" stroke-width="%s"%s/>`+"\n", element, strings.Join(points, " "), fill, drawn(p.width), dash)
}

func (t text) svg() string {
	ground := ""
	if t.ground {
		l, top, r, bottom := t.extent()
		ground = fmt.Sprintf(`<rect x="%s" y="%s" width="%s" height="%s" fill="white" stroke="none"/>`+"\n", drawn(l-0.4), drawn(top), drawn(r-l+0.8), drawn(bottom-top))
	}
	weight := ""
	if t.bold {
		weight = ` font-weight="bold"`
	}
	if t.words == "" {
		return ground
	}
	return ground + fmt.Sprintf(`<text x="%s" y="%s" font-size="%s"%s stroke="none" textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
		drawn(t.x), drawn(t.y), drawn(t.sizePt*style.PointMM), weight, drawn(t.wide()), escaped(t.words))
}

// unit is how many units of the picture a mm has: type of 10 units and more, since some
// browsers enlarge smaller type.
const unit = 4

// drawn writes mm in units of the picture.
func drawn(mm float64) string { return plain(mm * unit) }

// plain writes mm to the thousandth, the same everywhere.
func plain(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func escaped(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil { // a builder takes everything
		return ""
	}
	return b.String()
}
