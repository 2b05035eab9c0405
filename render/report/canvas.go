package report

import "spatsheet/render/style"

// canvas is what pages and figures are drawn on; lengths in mm, y downwards.
type canvas interface {
	path(points []place, p pen)                        // an open line
	shape(points []place, fill style.Colour)           // a filled polygon
	outlined(points []place, fill style.Colour, p pen) // the same with its border
	text(x, y float64, l letters, say string)          // y is the baseline
}

type place struct{ x, y float64 }

// pen draws lines.
type pen struct {
	colour style.Colour
	width  float64
	dash   []float64
}

// letters is how text looks and which way it goes from its place.
type letters struct {
	sizePt float64
	bold   bool
	colour style.Colour
	anchor anchor
}

type anchor int

const (
	fromStart anchor = iota
	aboutMiddle
	toEnd
)

func (l letters) face() *style.Face { return style.FaceOf(l.bold) }

func (l letters) width(say string) float64 { return l.face().Width(say, l.sizePt) }
func (l letters) line() float64            { return style.LineMM(l.sizePt) }
func (l letters) ascent() float64          { return style.AscentMM(l.sizePt) }

// wrap makes text fit for print and breaks it into lines; at least one.
func (l letters) wrap(say string, width float64) []string {
	say, _ = style.Printable(say)
	if lines := l.face().Wrap(say, l.sizePt, width); len(lines) > 0 {
		return lines
	}
	return []string{""}
}
