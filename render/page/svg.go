package page

import (
	"encoding/hex"
	"html"
	"io"
	"strconv"
	"strings"

	"spatsheet/render/style"
)

// svgScale is how many of the picture's own units make a mm: letters keep above the
// smallest size that browsers draw.
const svgScale = 5

// SVG writes the elements of an SVG picture, which needs nothing from outside. An error of the
// writer is the writer's to keep.
type SVG struct {
	w   io.Writer
	out []byte // of the element at hand
}

// NewSVG begins a picture of a size in mm; Close ends it. attributes, such as a width on paper,
// stand in its first element as they are; title is what is read aloud.
func NewSVG(w io.Writer, width, height float64, attributes, title string) *SVG {
	s := &SVG{w: w}
	s.write(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `)
	s.short(width)
	s.write(" ")
	s.short(height)
	s.write(`" role="img"`, attributes, ` font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif" stroke-linejoin="round">`)
	s.end("<title>", html.EscapeString(title), "</title>")
	return s
}

// Close ends the picture.
func (s *SVG) Close() { s.end("</svg>") }

// Path draws an open line.
func (s *SVG) Path(points []Point, p Pen) {
	s.write(`<polyline points="`)
	s.corners(points)
	s.write(`" fill="none"`)
	s.stroke(p)
	s.end("/>")
}

// Shape fills a polygon.
func (s *SVG) Shape(points []Point, fill style.Colour) {
	s.write(`<polygon points="`)
	s.corners(points)
	s.end(`" fill="`, colour(fill), `"/>`)
}

// Shapes fills polygons as one path.
func (s *SVG) Shapes(list [][]Point, fill style.Colour) {
	s.write(`<path d="`)
	for _, points := range list {
		s.write("M")
		s.corners(points)
		s.write("z")
	}
	s.end(`" fill="`, colour(fill), `"/>`)
}

// Outlined fills a polygon and draws its border.
func (s *SVG) Outlined(points []Point, fill style.Colour, p Pen) {
	s.write(`<polygon points="`)
	s.corners(points)
	s.write(`" fill="`, colour(fill), `"`)
	s.stroke(p)
	s.end("/>")
}

func (s *SVG) stroke(p Pen) {
	s.write(` stroke="`, colour(p.Colour), `" stroke-width="`)
	s.short(p.Width)
	s.write(`"`)
	if len(p.Dash) == 0 {
		return
	}
	s.write(` stroke-dasharray="`)
	for i, d := range p.Dash {
		if i > 0 {
			s.write(" ")
		}
		s.short(d)
	}
	s.write(`"`)
}

// Text draws a line of text, which keeps the width that it was measured with, whatever
// typeface the reader has.
func (s *SVG) Text(x, y float64, f Font, text string) {
	text, _ = style.Printable(text)
	if text == "" {
		return
	}
	s.write(`<text x="`)
	s.short(f.start(x, text))
	s.write(`" y="`)
	s.short(y)
	s.write(`" font-size="`)
	s.short(f.SizePt * style.PointMM)
	s.write(`" textLength="`)
	s.short(f.Width(text))
	s.write(`" lengthAdjust="spacingAndGlyphs" fill="`, colour(f.Colour), `"`)
	if f.Bold {
		s.write(` font-weight="bold"`)
	}
	s.end(">", html.EscapeString(text), "</text>")
}

// end writes an element out.
func (s *SVG) end(text ...string) {
	s.write(text...)
	s.w.Write(append(s.out, '\n'))
	s.out = s.out[:0]
}

func (s *SVG) write(text ...string) {
	for _, t := range text {
		s.out = append(s.out, t...)
	}
}

func (s *SVG) corners(points []Point) {
	for i, at := range points {
		if i > 0 {
			s.out = append(s.out, ' ')
		}
		s.short(at.X)
		s.out = append(s.out, ',')
		s.short(at.Y)
	}
}

func colour(c style.Colour) string {
	return "#" + hex.EncodeToString([]byte{byte(c.R), byte(c.G), byte(c.B)})
}

// short writes mm in the picture's own units, to a tenth.
func (s *SVG) short(x float64) {
	from := len(s.out)
	s.out = strconv.AppendFloat(s.out, svgScale*x, 'f', 1, 64)
	switch written := string(s.out[from:]); {
	case written == "-0.0":
		s.out = append(s.out[:from], '0')
	case strings.HasSuffix(written, ".0"):
		s.out = s.out[:len(s.out)-2]
	}
}
