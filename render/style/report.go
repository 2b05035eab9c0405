package style

// Type sizes of the season report in points. Site choice: read at a desk, not at the
// bench.
const (
	ReportTitlePt   = 22.0
	ReportHeadingPt = 13.5
	ReportBodyPt    = 9.5
	ReportTablePt   = 8.0
	ReportFigurePt  = 7.5
)

// Colour is a colour as levels from 0 to 255.
type Colour struct{ R, G, B int }

// Black, White, Ground (behind what is printed), Ink (of axes), Leader (from a curve to its name) and Faint (of grid lines).
var (
	Black  = Colour{0, 0, 0}
	White  = Colour{255, 255, 255}
	Ground = Colour{Grey, Grey, Grey} // the one grey
	Ink    = Colour{70, 70, 70}
	Leader = Colour{150, 150, 150}
	Faint  = Colour{222, 222, 222}
)

// Curve is how one curve of a figure looks. No curve is told from another by colour
// alone: dash and marker differ too, and the curve's name stands at its end.
type Curve struct {
	Colour Colour
	Dash   []float64 // mm drawn and left out; nil is a full line
	Marker Marker
}

// Marker is the shape of a point.
type Marker int

// The shapes.
const (
	Disc Marker = iota
	Ring
	Square
	Triangle
	Diamond
	OpenSquare
	Cross
)

// Curves are the looks in order of use. Source: colours of Okabe and Ito (2008), "Color
// universal design", made to be told apart by the colour-blind, from memory; dashes and
// markers are site choice.
var Curves = []Curve{
	{Black, nil, Disc},
	{Colour{0, 114, 178}, []float64{2.4, 1}, Ring},
	{Colour{213, 94, 0}, []float64{0.6, 0.9}, Square},
	{Colour{0, 158, 115}, []float64{3.4, 0.9, 0.6, 0.9}, Triangle},
	{Colour{204, 121, 167}, []float64{4.5, 1.2}, Diamond},
	{Colour{230, 159, 0}, []float64{1.3, 0.8}, OpenSquare},
	{Colour{86, 180, 233}, nil, Cross},
}
