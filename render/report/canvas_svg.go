package report

import (
	"encoding/hex"
	"html"
	"io"
	"strconv"
	"strings"

	"spatsheet/render/style"
)

// onSVG writes the elements of an SVG picture; places are in svgScale units a mm. An error
// of the writer is the writer's to keep.
type onSVG struct {
	w   io.Writer
	out []byte // of the element at hand
}

// end writes an element out.
func (o *onSVG) end(text ...string) {
	o.write(text...)
	o.w.Write(o.out)
	o.out = o.out[:0]
}

func (o *onSVG) write(text ...string) {
	for _, t := range text {
		o.out = append(o.out, t...)
	}
}

func (o *onSVG) path(points []place, p pen) {
	o.write(`<polyline points="`)
	o.corners(points)
	o.write(`" fill="none"`)
	o.stroke(p)
	o.end("/>")
}

func (o *onSVG) shape(points []place, fill style.Colour) {
	o.write(`<polygon points="`)
	o.corners(points)
	o.end(`" fill="`, colour(fill), `"/>`)
}

func (o *onSVG) outlined(points []place, fill style.Colour, p pen) {
	o.write(`<polygon points="`)
	o.corners(points)
	o.write(`" fill="`, colour(fill), `"`)
	o.stroke(p)
	o.end("/>")
}

func (o *onSVG) stroke(p pen) {
	o.write(` stroke="`, colour(p.colour), `" stroke-width="`)
	o.short(p.width)
	o.write(`"`)
	if len(p.dash) == 0 {
		return
	}
	o.write(` stroke-dasharray="`)
	for i, d := range p.dash {
		if i > 0 {
			o.write(" ")
		}
		o.short(d)
	}
	o.write(`"`)
}

func (o *onSVG) text(x, y float64, l letters, say string) {
	say, _ = style.Printable(say)
	anchors := map[anchor]string{fromStart: "start", aboutMiddle: "middle", toEnd: "end"}
	o.write(`<text x="`)
	o.short(x)
	o.write(`" y="`)
	o.short(y)
	o.write(`" font-size="`)
	o.short(l.sizePt * style.PointMM)
	o.write(`" text-anchor="`, anchors[l.anchor], `" fill="`, colour(l.colour), `"`)
	if l.bold {
		o.write(` font-weight="bold"`)
	}
	o.end(">", html.EscapeString(say), "</text>")
}

func (o *onSVG) corners(points []place) {
	for i, at := range points {
		if i > 0 {
			o.out = append(o.out, ' ')
		}
		o.short(at.x)
		o.out = append(o.out, ',')
		o.short(at.y)
	}
}

func colour(c style.Colour) string {
	return "#" + hex.EncodeToString([]byte{byte(c.R), byte(c.G), byte(c.B)})
}

// svgScale is how many of the picture's own units make a mm: letters keep above the
// smallest size that browsers draw.
const svgScale = 5

// short writes mm in the picture's own units, to a tenth.
func (o *onSVG) short(x float64) {
	from := len(o.out)
	o.out = strconv.AppendFloat(o.out, svgScale*x, 'f', 1, 64)
	switch written := string(o.out[from:]); {
	case written == "-0.0":
		o.out = append(o.out[:from], '0')
	case strings.HasSuffix(written, ".0"):
		o.out = o.out[:len(o.out)-2]
	}
}

// svg draws a figure as one SVG element that needs nothing from outside.
func (f *figure) svg(w io.Writer, width float64) {
	o := &onSVG{w: w}
	o.write(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `)
	o.short(width)
	o.write(" ")
	o.short(f.height)
	o.end(`" role="img" font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif"><title>`, html.EscapeString(printable(f.caption)), "</title>")
	f.draw(o, 1, 0, width-2)
	o.end("</svg>")
}
