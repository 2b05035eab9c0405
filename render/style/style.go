// Package style is the one place for how printed forms look: type sizes, margins, line
// widths, the one grey, paper sizes and the embedded typefaces, with measuring and
// wrapping of text in them, and the squares of QR codes.
//
// What may enter: sizes, fonts, letters, codes. What may not: anything of a protocol, a batch or
// a PDF library; every printed form imports this package, and it imports none of ours.
package style

// PointMM is the length of a typographic point in mm, exact: an inch of 25.4 mm has 72.
const PointMM = 25.4 / 72

// Type sizes in points. Site choice: read at arm's length by head torch, so body text is
// larger than in a book, and amounts are larger than anything near them.
const (
	BatchPt   = 40.0 // the batch code on the first page
	RunningPt = 20.0 // the batch code on the other pages
	NumberPt  = 24.0 // the number of a step
	AmountPt  = 18.0 // a computed amount
	LeastPt   = 16.0 // an amount that would not fit at AmountPt
	HeadingPt = 15.0 // titles and clock times of steps
	ShownPt   = 13.0 // amounts printed in the rows of tables
	TitlePt   = 11.5 // titles of entry tables
	BodyPt    = 10.5 // instructions
	LabelPt   = 10.0 // the names of boxes
	ColumnPt  = 9.0  // heads of columns, printed tables
	SmallPt   = 8.0  // ranges, notes, the running head
)

// Leading is the distance of baselines in type sizes, AscentShare where in it the first
// baseline stands. Site choice; DejaVu's letters reach 0.24 sizes below the baseline.
const (
	Leading     = 1.24
	AscentShare = 0.96
)

// Line widths in mm. Site choice: a box must show on a wet photocopy.
const (
	BoxLine   = 0.6  // around what is filled in
	HeavyLine = 1.0  // over a step
	HairLine  = 0.25 // between printed rows
)

// Grey is the one grey, as a level from 0 (black) to 255 (white). It lies behind what is
// printed for the reader, never behind what is written. Site choice: black type on it
// still prints sharp on a laser printer.
const Grey = 226

// Heights in mm of what is written in by hand. Site choice: a gloved hand writes digits
// of 5 to 7 mm.
const (
	BoxHeight = 9.5
	RowHeight = 9.0
	TickSide  = 5.5 // a tick box beside a choice
	DigitMM   = 4.4 // the width a handwritten digit takes
)
