package page

import (
	"io"
	"strconv"
	"time"

	"github.com/jung-kurt/gofpdf"

	"spatsheet/render/style"
)

// Head is what a document says of itself.
type Head struct {
	Width, Height float64 // of a page, mm
	Title         string
	Subject       string    // may be empty
	Made          time.Time // the file's time of making: the same document has the same bytes
	RoundJoins    bool      // lines meet round, as in curves; else pointed, as in boxes
}

// PDF is a document in the making.
type PDF struct {
	pdf    *gofpdf.Fpdf
	height float64
}

// NewPDF begins a document. letters are those that it will print, see style.AddFaces; nil for all.
func NewPDF(h Head, letters *style.Letters) *PDF {
	pdf := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: gofpdf.SizeType{Wd: h.Width, Ht: h.Height}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(h.Made)
	pdf.SetModificationDate(h.Made)
	pdf.SetTitle(h.Title, true)
	if h.Subject != "" {
		pdf.SetSubject(h.Subject, true)
	}
	pdf.SetCreator("spatsheet", true)
	pdf.SetAutoPageBreak(false, 0)
	if h.RoundJoins {
		pdf.SetLineJoinStyle("round")
	}
	style.AddFaces(pdf, letters)
	return &PDF{pdf, h.Height}
}

// Page begins a page and gives what it is drawn on.
func (d *PDF) Page() *Sheet {
	d.pdf.AddPage()
	return &Sheet{pdf: d.pdf, k: d.pdf.GetConversionRatio(), height: d.height}
}

// Write writes the document out. Error: w's, or a letter that the faces cannot hold.
func (d *PDF) Write(w io.Writer) error { return d.pdf.Output(w) }

// Sheet is one page of a PDF. Paths are written as the page description has them, many
// thousand in a season; gofpdf would format each corner by itself. It is told of pen, fill
// and type only where they change.
type Sheet struct {
	pdf    *gofpdf.Fpdf
	k      float64 // points in a mm
	height float64 // of the page, mm
	pen    *Pen    // as set last; nil before the first
	fill   *style.Colour
	ink    *style.Colour // of text
	room   []byte
}

// Path draws an open line.
func (s *Sheet) Path(points []Point, p Pen) {
	s.setPen(p)
	s.corners(points)
	s.write("S")
}

// Shape fills a polygon.
func (s *Sheet) Shape(points []Point, fill style.Colour) {
	s.setFill(fill)
	s.corners(points)
	s.write("h f")
}

// Shapes fills polygons as one path.
func (s *Sheet) Shapes(list [][]Point, fill style.Colour) {
	s.setFill(fill)
	s.room = s.room[:0]
	for _, points := range list {
		s.polygon(points)
		s.room = append(s.room, "h\n"...)
	}
	s.write("f")
}

// Outlined fills a polygon and draws its border.
func (s *Sheet) Outlined(points []Point, fill style.Colour, p Pen) {
	s.setPen(p)
	s.setFill(fill)
	s.corners(points)
	s.write("b")
}

func (s *Sheet) setPen(p Pen) {
	if s.pen == nil || s.pen.Colour != p.Colour {
		s.pdf.SetDrawColor(p.Colour.R, p.Colour.G, p.Colour.B)
	}
	if s.pen == nil || s.pen.Width != p.Width {
		s.pdf.SetLineWidth(p.Width)
	}
	if s.pen == nil || len(s.pen.Dash)+len(p.Dash) > 0 {
		s.pdf.SetDashPattern(p.Dash, 0)
	}
	s.pen = &p
}

func (s *Sheet) setFill(c style.Colour) {
	if s.fill == nil || *s.fill != c {
		s.pdf.SetFillColor(c.R, c.G, c.B)
	}
	s.fill = &c
}

// corners begins a path.
func (s *Sheet) corners(points []Point) {
	s.room = s.room[:0]
	s.polygon(points)
}

func (s *Sheet) polygon(points []Point) {
	for i, at := range points {
		s.room = append(strconv.AppendFloat(s.room, at.X*s.k, 'f', 2, 64), ' ')
		s.room = append(strconv.AppendFloat(s.room, (s.height-at.Y)*s.k, 'f', 2, 64), ' ')
		if i == 0 {
			s.room = append(s.room, "m "...)
		} else {
			s.room = append(s.room, "l "...)
		}
	}
}

// write ends a path with what is done with it.
func (s *Sheet) write(painted string) {
	s.room = append(s.room, painted...)
	s.pdf.RawWriteStr(string(s.room))
}

// Text draws a line of text.
func (s *Sheet) Text(x, y float64, f Font, text string) {
	text, _ = style.Printable(text)
	if text == "" {
		return
	}
	weight := ""
	if f.Bold {
		weight = "B"
	}
	if s.ink == nil || *s.ink != f.Colour {
		s.pdf.SetTextColor(f.Colour.R, f.Colour.G, f.Colour.B)
		s.ink = &f.Colour
	}
	s.pdf.SetFont(style.Family, weight, f.SizePt)
	s.pdf.Text(f.start(x, text), y, text)
}

// Clip lets only what lies in a rectangle be seen, until the function it gives is called.
func (s *Sheet) Clip(x, y, w, h float64) (end func()) {
	s.pdf.ClipRect(x, y, w, h, false)
	return func() {
		s.pdf.ClipEnd()
		s.pen, s.fill, s.ink = nil, nil, nil // as they were before the clip
	}
}
