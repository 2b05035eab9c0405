package report

import (
	"fmt"
	"html"
	"strconv"
	"strings"

	"spatsheet/render/style"
)

// onSVG collects the elements of an SVG picture; places are in svgScale units a mm.
type onSVG struct{ strings.Builder }

func (o *onSVG) path(points []place, p pen) {
	fmt.Fprintf(o, `<polyline points="%s" fill="none" stroke="%s" stroke-width="%s"`, pointsOf(points), colour(p.colour), short(p.width))
	if len(p.dash) > 0 {
		var gaps []string
		for _, d := range p.dash {
			gaps = append(gaps, short(d))
		}
		fmt.Fprintf(o, ` stroke-dasharray="%s"`, strings.Join(gaps, " "))
	}
	o.WriteString("/>")
}

func (o *onSVG) shape(points []place, fill style.Colour) {
	fmt.Fprintf(o, `<polygon points="%s" fill="%s"/>`, pointsOf(points), colour(fill))
}

func (o *onSVG) text(x, y float64, l letters, say string) {
	say, _ = style.Printable(say)
	anchors := map[anchor]string{fromStart: "start", aboutMiddle: "middle", toEnd: "end"}
	weight := ""
	if l.bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(o, `<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s"%s>%s</text>`,
		short(x), short(y), short(l.sizePt*style.PointMM), anchors[l.anchor], colour(l.colour), weight, html.EscapeString(say))
}

func pointsOf(points []place) string {
	var list []string
	for _, at := range points {
		list = append(list, short(at.x)+","+short(at.y))
	}
	return strings.Join(list, " ")
}

func colour(c style.Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// svgScale is how many of the picture's own units make a mm: letters keep above the
// smallest size that browsers draw.
const svgScale = 5

// short writes mm in the picture's own units, to a tenth.
func short(x float64) string {
	s := strings.TrimSuffix(strconv.FormatFloat(svgScale*x, 'f', 1, 64), ".0")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// svg draws a figure as one SVG element that needs nothing from outside.
func (f *figure) svg(width float64) string {
	o := &onSVG{}
	f.draw(o, 1, 0, width-2)
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"><title>%s</title>%s</svg>`,
		short(width), short(f.height), html.EscapeString(printable(f.caption)), o.String())
}
