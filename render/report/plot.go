package report

import "spatsheet/render/style"

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

var small = letters{sizePt: style.ReportFigurePt}

// plot is a figure being drawn in a box.
type plot struct {
	figure                   *figure
	c                        canvas
	left, top, right, bottom float64 // of the field between the axes
	names                    float64 // width kept for the curves' names
}

// draw puts a figure into the box with its upper left corner at x, y.
func (f *figure) draw(c canvas, x, y, width float64) {
	p := plot{figure: f, c: c, top: y + f.topRoom(), bottom: y + f.height - 2*small.line() - 1.5}
	p.names = f.namesWidth()
	p.left = x + f.leftWidth()
	p.right = x + width - p.names - 2
	p.axes(x)
	seen := p.seen()
	for i := range f.series {
		p.curve(&f.series[i])
		p.points(&f.series[i], seen[i])
	}
	p.endNames()
}

// topRoom is the room for the upright axis's label.
func (f *figure) topRoom() float64 {
	if f.y.label == "" {
		return 1
	}
	return small.line() + 2.2
}

// leftWidth is the room for the ticks of the upright axis.
func (f *figure) leftWidth() float64 {
	widest := 0.0
	for _, t := range f.y.ticks {
		for _, l := range tickLines(t, f.y.category) {
			widest = max(widest, f.tickLetters(t).width(l))
		}
	}
	return widest + 2.5
}

func (f *figure) tickLetters(t tick) letters {
	l := small
	l.bold = t.head
	return l
}

// tickLines wraps the name of a category.
func tickLines(t tick, category bool) []string {
	if !category {
		return []string{t.label}
	}
	l := small
	l.bold = t.head
	lines := l.wrap(t.label, widestLabel)
	if len(lines) > 2 {
		lines = append(lines[:1], lines[1]+" ...")
	}
	return lines
}

func (f *figure) namesWidth() float64 {
	widest := 0.0
	for _, s := range f.series {
		if s.label != "" {
			widest = max(widest, small.width(name(s.label))+5)
		}
	}
	return widest
}

// name is a curve's name, made fit and cut where it is too long.
func name(label string) string {
	label, _ = style.Printable(label)
	for runes := []rune(label); small.width(label) > widestName && len(runes) > 4; {
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
	f, ink := p.figure, pen{colour: style.Ink, width: axisWidth}
	grid := pen{colour: style.Faint, width: gridWidth}
	under := letters{sizePt: small.sizePt, colour: style.Ink, anchor: aboutMiddle}
	for _, t := range f.x.ticks {
		at := p.atX(t.at)
		if at < p.left-0.01 || at > p.right+0.01 {
			continue
		}
		p.c.path([]place{{at, p.top}, {at, p.bottom}}, grid)
		p.c.path([]place{{at, p.bottom}, {at, p.bottom + 0.8}}, ink)
		p.c.text(at, p.bottom+1.2+small.ascent(), under, t.label)
	}
	for _, t := range f.y.ticks {
		p.yTick(t)
	}
	p.c.path([]place{{p.left, p.top}, {p.left, p.bottom}, {p.right, p.bottom}}, ink)
	p.c.text((p.left+p.right)/2, p.bottom+1.2+small.line()+small.ascent(), under, f.x.label)
	p.c.text(x, p.top-small.line()-2.2+small.ascent(), letters{sizePt: small.sizePt, colour: style.Ink}, f.y.label)
}

func (p *plot) yTick(t tick) {
	at := p.atY(t.at)
	grid := pen{colour: style.Faint, width: gridWidth}
	if !t.head {
		p.c.path([]place{{p.left, at}, {p.right, at}}, grid)
	}
	l := p.figure.tickLetters(t)
	l.colour, l.anchor = style.Ink, toEnd
	if t.head {
		l.colour = style.Black
	}
	lines := tickLines(t, p.figure.y.category)
	top := at - float64(len(lines))*l.line()/2
	for i, say := range lines {
		p.c.text(p.left-1.2, top+float64(i)*l.line()+l.ascent()*0.95, l, say)
	}
}

func (p *plot) curve(s *series) {
	look := lookOf(s)
	if !s.line || len(s.points) < 2 {
		return
	}
	var along []place
	for i, pt := range s.points {
		if s.step && i > 0 {
			along = append(along, place{p.atX(pt.x), p.atY(s.points[i-1].y)})
		}
		along = append(along, place{p.atX(pt.x), p.atY(pt.y)})
	}
	stroke := pen{colour: look.Colour, width: curveWidth, dash: look.Dash}
	if s.faint {
		stroke.width, stroke.dash = faintWidth, []float64{0.4, 0.6}
	}
	p.c.path(along, stroke)
}
