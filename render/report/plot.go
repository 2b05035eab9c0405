package report

import (
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// Places and lines of figures in mm; site choice.
const (
	markerSize  = 0.9 // half of a marker's width
	curveWidth  = 0.45
	faintWidth  = 0.2
	axisWidth   = 0.25
	gridWidth   = 0.2
	widestLabel = 62.0 // of a category
	widestName  = 42.0 // of a curve
)

var small = page.Font{SizePt: style.ReportFigurePt}

// plot is a figure being drawn in a box.
type plot struct {
	figure                   *figure
	c                        page.Canvas
	left, top, right, bottom float64 // of the field between the axes
	names                    float64 // width kept for the curves' names
}

// draw puts a figure into the box with its upper left corner at x, y.
func (f *figure) draw(c page.Canvas, x, y, width float64) {
	p := plot{figure: f, c: c, top: y + f.topRoom(), bottom: y + f.height - 2*small.Line() - 1.5}
	p.names = f.namesWidth()
	p.left = x + f.leftWidth()
	p.right = x + width - p.names - 2
	p.axes(x)
	for i := range f.series {
		p.curve(&f.series[i])
		p.points(&f.series[i])
	}
	p.endNames()
}

// topRoom is the room for the upright axis's label.
func (f *figure) topRoom() float64 {
	if f.y.label == "" {
		return 1
	}
	return small.Line() + 2.2
}

// leftWidth is the room for the ticks of the upright axis.
func (f *figure) leftWidth() float64 {
	widest := 0.0
	for _, t := range f.y.ticks {
		for _, l := range tickLines(t, f.y.category) {
			widest = max(widest, f.tickLetters(t).Width(l))
		}
	}
	return widest + 2.5
}

func (f *figure) tickLetters(t tick) page.Font {
	l := small
	l.Bold = t.head
	return l
}

// tickLines wraps the name of a category.
func tickLines(t tick, category bool) []string {
	if !category {
		return []string{t.label}
	}
	l := small
	l.Bold = t.head
	lines := l.Wrap(t.label, widestLabel)
	if len(lines) > 2 {
		lines = append(lines[:1], lines[1]+" ...")
	}
	return lines
}

func (f *figure) namesWidth() float64 {
	widest := 0.0
	for _, s := range f.series {
		if s.label != "" {
			widest = max(widest, small.Width(name(s.label))+5)
		}
	}
	return widest
}

// name is a curve's name, made fit and cut where it is too long.
func name(label string) string {
	label, _ = style.Printable(label)
	for runes := []rune(label); small.Width(label) > widestName && len(runes) > 4; {
		runes = runes[:len(runes)-1]
		label = string(runes) + "..."
	}
	return label
}

func (p *plot) atX(x float64) float64 {
	a := p.figure.x
	return p.left + (x-a.low)/(a.high-a.low)*(p.right-p.left)
}

func (p *plot) atY(y float64) float64 {
	a := p.figure.y
	return p.bottom - (y-a.low)/(a.high-a.low)*(p.bottom-p.top)
}

// axes draws grid lines, axes, ticks and what they stand for.
func (p *plot) axes(x float64) {
	f, ink := p.figure, page.Pen{Colour: style.Ink, Width: axisWidth}
	grid := page.Pen{Colour: style.Faint, Width: gridWidth}
	under := page.Font{SizePt: small.SizePt, Colour: style.Ink, Anchor: page.AboutMiddle}
	for _, t := range f.x.ticks {
		at := p.atX(t.at)
		if at < p.left-0.01 || at > p.right+0.01 {
			continue
		}
		p.c.Path([]page.Point{page.At(at, p.top), page.At(at, p.bottom)}, grid)
		p.c.Path([]page.Point{page.At(at, p.bottom), page.At(at, p.bottom+0.8)}, ink)
		p.c.Text(at, p.bottom+1.2+small.Ascent(), under, t.label)
	}
	for _, t := range f.y.ticks {
		p.yTick(t)
	}
	p.c.Path([]page.Point{page.At(p.left, p.top), page.At(p.left, p.bottom), page.At(p.right, p.bottom)}, ink)
	p.c.Text((p.left+p.right)/2, p.bottom+1.2+small.Line()+small.Ascent(), under, f.x.label)
	p.c.Text(x, p.top-small.Line()-2.2+small.Ascent(), page.Font{SizePt: small.SizePt, Colour: style.Ink}, f.y.label)
}

func (p *plot) yTick(t tick) {
	at := p.atY(t.at)
	grid := page.Pen{Colour: style.Faint, Width: gridWidth}
	if !t.head {
		p.c.Path([]page.Point{page.At(p.left, at), page.At(p.right, at)}, grid)
	}
	l := p.figure.tickLetters(t)
	l.Colour, l.Anchor = style.Ink, page.ToEnd
	if t.head {
		l.Colour = style.Black
	}
	lines := tickLines(t, p.figure.y.category)
	top := at - float64(len(lines))*l.Line()/2
	for i, say := range lines {
		p.c.Text(p.left-1.2, top+float64(i)*l.Line()+l.Ascent()*0.95, l, say)
	}
}

func (p *plot) curve(s *series) {
	look := lookOf(s)
	if !s.line || len(s.points) < 2 {
		return
	}
	var along []page.Point
	for i, pt := range s.points {
		if s.step && i > 0 {
			along = append(along, page.At(p.atX(pt.x), p.atY(s.points[i-1].y)))
		}
		along = append(along, page.At(p.atX(pt.x), p.atY(pt.y)))
	}
	stroke := page.Pen{Colour: look.Colour, Width: curveWidth, Dash: look.Dash}
	if s.faint {
		stroke.Width, stroke.Dash = faintWidth, []float64{0.4, 0.6}
	}
	p.c.Path(along, stroke)
}
