package labels

import (
	"fmt"

	"spatsheet/render/style"
)

// Type sizes of a label in points, the largest and the least. Site choice: the batch is
// read at arm's length; 6 points is the least that is read at all.
var (
	batchSize  = sizes{44, 15} // less only where a long code meets a narrow label
	titleSize  = sizes{20, 8}
	amountSize = sizes{15, 6.5}
	footSize   = sizes{10, 6}
)

// leastBatch is the size in points below which a label is too narrow for its batch.
const leastBatch = 5.0

type sizes struct{ most, least float64 }

// at is a size between the least (0) and the most (1).
func (s sizes) at(share float64) float64 { return s.least + share*(s.most-s.least) }

// Vertical measures in type sizes of the embedded face, measured: capitals are 0.73 high;
// a line with accents and tails takes 0.90 above its baseline and 0.25 below.
const (
	capital = 0.73
	above   = 0.90
	below   = 0.25
)

// Modules of the QR code in mm. Site choice: larger than 0.5 takes room from the text, less
// than 0.33 is not read from wet paper.
const (
	mostModule  = 0.5
	leastModule = 0.33
	codeShare   = 0.45 // of the label's width, at most
)

// run is text in one face; x and its baseline y in mm from the label's upper left corner.
type run struct {
	x, y, sizePt float64
	bold         bool
	text         string
}

func (r run) right() float64 { return r.x + style.FaceOf(r.bold).Width(r.text, r.sizePt) }

// label is a label laid out.
type label struct {
	runs               []run
	code               style.Code
	codeX, codeY, side float64 // of the code with its quiet border
}

// lay places a label's texts and code in the free part of an area.
func (a area) lay(t texts) (label, error) {
	code, err := style.CodeOf(t.code)
	if err != nil {
		return label{}, err
	}
	n := float64(code.Modules())
	module := min(mostModule, a.height/(n+2*style.Quiet), (a.height-2*a.aboveFree)/n, a.width*codeShare/(n+2*style.Quiet))
	if module < leastModule {
		return label{}, fmt.Errorf("a label of %g x %g mm is too small for its QR code; take a larger one", a.width, a.height)
	}
	out := label{code: code, side: module * (n + 2*style.Quiet)}
	quiet := module * style.Quiet
	edge := max(a.acrossFree, quiet)
	out.codeX = a.width - edge - module*n - quiet
	out.codeY = max(a.aboveFree, quiet) - quiet
	width, height := out.codeX-a.acrossFree, a.height-2*a.aboveFree
	out.runs, err = column{width, height}.set(t)
	if err != nil {
		return label{}, fmt.Errorf("a label of %g x %g mm: %w", a.width, a.height, err)
	}
	for i := range out.runs {
		out.runs[i].x += a.acrossFree
		out.runs[i].y += a.aboveFree
	}
	return out, nil
}

// column is where the text of a label goes.
type column struct{ width, height float64 }

// roomy is the share of the largest sizes from which the foot may take its own lines.
const roomy = 0.35

// set sets the text as large as it fits. Where the least sizes do not fit, amounts are left
// out from the end, and the label says how many.
func (c column) set(t texts) ([]run, error) {
	for left := range len(t.amounts) + 1 {
		amounts := t.amounts[:len(t.amounts)-left]
		if left > 0 {
			amounts = append(amounts[:len(amounts):len(amounts)], line{tail: fmt.Sprintf("+ %d on the bench sheet", left)})
		}
		for share := 1.0; share >= 0; share -= 0.02 {
			if runs, ok := c.try(t, amounts, t.foot, share); ok && share >= roomy {
				return runs, nil
			}
			if runs, ok := c.try(t, amounts, t.tight, share); ok && (share < roomy || len(amounts) == 0) {
				return runs, nil
			}
		}
	}
	return nil, fmt.Errorf("too small for %q, %q; take a larger one", t.batch, t.title.cut+t.title.tail)
}

// try sets the text in a share of the sizes; ok is false where it is too high or too wide.
func (c column) try(t texts, amounts, foot []line, share float64) (runs []run, ok bool) {
	batch := run{sizePt: batchSize.at(share), bold: true, text: t.batch}
	if wide := batch.right(); wide > c.width {
		batch.sizePt *= c.width / wide
	}
	if batch.sizePt < leastBatch {
		return nil, false
	}
	batch.y = capital * batch.sizePt * style.PointMM
	runs, y := []run{batch}, batch.y+0.08*batch.sizePt*style.PointMM
	put := func(l line, s sizes, strong bool) bool {
		set, lower, fits := c.line(l, min(s.at(share), max(s.least, batch.sizePt)), s.least, strong, y)
		runs, y = append(runs, set...), lower
		return fits
	}
	good := put(t.title, titleSize, true)
	for _, l := range amounts {
		good = put(l, amountSize, false) && good
	}
	first := len(runs)
	for _, l := range foot {
		good = put(l, footSize, false) && good
	}
	if !good || y > c.height {
		return nil, false
	}
	for i := first; i < len(runs); i++ { // the foot stands at the label's foot
		runs[i].y += c.height - y
	}
	return runs, true
}

// line sets one line below y in a size, or in the largest one from least on in which it
// fits; then it is shortened. strong prints all of it in bold.
func (c column) line(l line, sizePt, least float64, strong bool, y float64) (runs []run, lower float64, ok bool) {
	width := func(l line, sizePt float64) float64 {
		return style.Bold().Width(l.strong, sizePt) + style.FaceOf(strong).Width(l.cut+l.tail, sizePt)
	}
	if wide := width(l, sizePt); wide > c.width {
		sizePt = max(min(least, sizePt), sizePt*c.width/wide*0.9999)
	}
	room := c.width - width(line{strong: l.strong, tail: l.tail}, sizePt)
	l.cut = style.FaceOf(strong).Shorten(l.cut, sizePt, room)
	baseline := y + above*sizePt*style.PointMM
	if l.strong != "" {
		runs = append(runs, run{0, baseline, sizePt, true, l.strong})
	}
	if rest := l.cut + l.tail; rest != "" {
		runs = append(runs, run{style.Bold().Width(l.strong, sizePt), baseline, sizePt, strong, rest})
	}
	return runs, baseline + below*sizePt*style.PointMM, width(l, sizePt) <= c.width
}
