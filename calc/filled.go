package calc

import "strings"

// Filled is what came back in a filled workbook: raw cells by the key of their box,
// nothing interpreted yet.
type Filled struct {
	Manifest Manifest
	Date1904 bool              // the workbook counts days from 1904 instead of 1900
	Cells    map[Key]Cell      // one for each box found
	Amounts  map[string]Cell   // locked amounts, by amount id
	Repeats  map[string][]Cell // the same amounts (or settings) printed again beside the steps
	Parts    map[string][]Cell // locked per-vessel parts, by amount id, in row order
	Lost     []string          // names the manifest lists that no longer point at a cell
	Changes  []Change          // what stands outside the boxes otherwise than it was printed
}

// ChangeKind is how something outside the boxes differs from what was printed.
type ChangeKind int

// The kinds of change.
const (
	TypedOutside   ChangeKind = iota // something was typed where nothing was printed
	PrintedChanged                   // something else stands where Was was printed
	PrintedGone                      // Was is gone; Cell has the sheet only
	SheetAdded                       // a sheet that was not printed; Cell is its first
)

// Change is a cell outside the boxes and the named amounts, or a whole sheet, that is not
// as printed.
type Change struct {
	Kind  ChangeKind
	Cell  Cell
	Was   string // what was printed, its blanks put together
	Cells int    // of an added sheet: how many hold something
}

// Manifest is the identity carried in a workbook.
type Manifest struct {
	Format         int    // version of the workbook form
	Batch          string // batch code
	Protocol       string // id@version
	ProtocolDigest string // full SHA-256 of the protocol text
	ProtocolText   string // the protocol's text, as it was when printed
	Digest         string // short digest of protocol, site and plan
	Plan           string // the plan's text, as it was when printed
	Site           string // the site's text, as it was when printed
}

// CellKind is what a workbook says a cell holds.
type CellKind int

// The kinds of cell.
const (
	CellBlank CellKind = iota
	CellNumber
	CellText
	CellTruth
	CellError
)

// Cell is a workbook cell as found.
type Cell struct {
	Sheet, Ref string // where it is now: sheet name and "B7"
	Kind       CellKind
	Text       string  // verbatim content of a text cell; the stored digits of a number
	Number     float64 // for CellNumber
	Format     string  // the number format, as stored
	DateLike   bool    // the format shows a date or time
	Percent    bool    // the format shows a percentage
	Formula    string  // a formula typed into the cell, without "="
	Merged     bool    // the cell lies in a merged range
	Hidden     bool    // its row or column is hidden
}

// State of a reading: three different kinds of nothing, and two of something.
type State string

// The states.
const (
	Given      State = "given"
	Blank      State = "blank"
	NotDone    State = "not done"
	Unreadable State = "unreadable"
)

// Spoken is the text of a reading that is a date or time, in ISO form, as people write it:
// 2026-02-14 22:30 for 2026-02-14T22:30:00.
//
// Range: a date, or a date and time to the second; other text comes back as it is unless it
// holds a T. Source: none needed.
func Spoken(iso string) string {
	day, clock, timed := strings.Cut(iso, "T")
	if !timed {
		return iso
	}
	return day + " " + strings.TrimSuffix(clock, ":00")
}

// Reading is one box as understood: the value, and always the text it came from.
type Reading struct {
	Key     Key
	Printed string
	Sheet   string // workbook sheet and cell it was read from
	Ref     string
	State   State
	Raw     string  // verbatim
	Number  float64 // in the entry's unit; for dates and times, seconds since 1970-01-01 as clock time, no zone
	Unit    string  // the entry's unit, plain form
	Text    string  // for text and choice; ISO form for dates and times
}
