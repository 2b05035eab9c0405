package workbook

import "github.com/xuri/excelize/v2"

// face is the typeface: one that has a twin of the same widths in every office program.
const face = "Arial"

// Sizes in points. Black on white, one grey, one light fill for boxes; a box also has a
// thick border, so that nothing is told by colour alone.
const (
	sizeText   = 10.0
	sizeSmall  = 9.0
	sizeAmount = 14.0
	sizeTitle  = 16.0
	grey       = "595959"
	rule       = "A6A6A6"
	boxFill    = "FFF8DC"
	headFill   = "EDEDED"
)

// look is how a cell looks and whether it can be typed into.
type look struct {
	size       float64
	bold       bool
	grey       bool
	fill       string
	border     border
	across     string // horizontal alignment
	up         string // vertical alignment; centre when empty
	wrap       bool
	open       bool // not locked
	format     int  // built-in number format
	ownFormat  string
	leftBar    bool // a thick bar at the left: cautions
	indentText int
}

type border int

const (
	noBorder border = iota
	hairline
	boxed // a box to fill in
)

// Number formats. Typed numbers stay General, so that what is typed is what is kept.
const (
	formatGeneral = 0
	formatGrouped = 3 // #,##0, with the separator of the reader's country
	formatDate    = "yyyy-mm-dd"
	formatTime    = "yyyy-mm-dd hh:mm"
	formatText    = "@" // so that no program makes a date of the code 3-4
)

var (
	plain     = look{size: sizeText}
	wrapped   = look{size: sizeText, wrap: true, up: "top"}
	note      = look{size: sizeSmall, grey: true, wrap: true, indentText: 1}
	title     = look{size: sizeTitle, bold: true}
	identify  = look{size: sizeSmall, grey: true}
	heading   = look{size: 11, bold: true, up: "bottom"}
	tally     = look{size: sizeText, bold: true, across: "left"}
	gridTally = look{size: sizeText, across: "left", border: hairline, indentText: 1}
	label     = look{size: sizeText, wrap: true}
	strong    = look{size: sizeText, bold: true}
	caution   = look{size: sizeText, wrap: true, leftBar: true, indentText: 1}
	headCell  = look{size: sizeText, bold: true, wrap: true, fill: headFill, border: hairline, indentText: 1}
	gridCell  = look{size: sizeText, wrap: true, border: hairline, indentText: 1}
	amount    = look{size: sizeAmount, bold: true, across: "right", border: hairline, indentText: 1}
	unitCell  = look{size: sizeText, indentText: 1}
	box       = look{size: 11, fill: boxFill, border: boxed, open: true, wrap: true, across: "left", indentText: 1}
)

func (l look) with(change func(*look)) look {
	change(&l)
	return l
}

// shows says whether a blank cell of this look is seen.
func (l look) shows() bool { return l.fill != "" || l.border != noBorder }

// style makes the style of a look once.
func (b *book) style(l look) int {
	if id, ok := b.styles[l]; ok {
		return id
	}
	id, err := b.file.NewStyle(l.style())
	b.try(err)
	b.styles[l] = id
	return id
}

func (l look) style() *excelize.Style {
	colour := "000000"
	if l.grey {
		colour = grey
	}
	up := l.up
	if up == "" {
		up = "center"
	}
	s := &excelize.Style{
		Font:       &excelize.Font{Family: face, Size: l.size, Bold: l.bold, Color: colour},
		Alignment:  &excelize.Alignment{Horizontal: l.aligned(), Vertical: up, WrapText: l.wrap, Indent: l.indentText},
		Protection: &excelize.Protection{Locked: !l.open},
		NumFmt:     l.format,
		Border:     l.lines(),
	}
	if l.ownFormat != "" {
		s.CustomNumFmt = &l.ownFormat
	}
	if l.fill != "" {
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{l.fill}}
	}
	return s
}

// aligned gives the horizontal alignment; an indent asks for one.
func (l look) aligned() string {
	if l.across == "" && l.indentText > 0 {
		return "left"
	}
	return l.across
}

// lines gives the borders: excelize's line 1 is thin, 2 medium, 5 thick.
func (l look) lines() []excelize.Border {
	if l.leftBar {
		return []excelize.Border{{Type: "left", Color: "000000", Style: 5}}
	}
	if l.border == noBorder {
		return nil
	}
	line, colour := 1, rule
	if l.border == boxed {
		line, colour = 2, "000000"
	}
	var all []excelize.Border
	for _, side := range []string{"left", "right", "top", "bottom"} {
		all = append(all, excelize.Border{Type: side, Color: colour, Style: line})
	}
	return all
}
