package station

import "errors"

// Kinds of faults, for errors.Is.
var (
	ErrInput = errors.New("input that cannot be used")
	ErrLog   = errors.New("season log trouble")
	ErrUse   = errors.New("wrong use")
)

// Fault is what is wrong, of which kind, and what can be done about it where that takes a
// command or a flag: these the station does not know.
type Fault struct {
	Kind   error // ErrInput, ErrLog or ErrUse
	Err    error // what is wrong, and where; with a remedy where it is none of those below
	Remedy Remedy
	About  string // what the remedy is about
}

// Error says what is wrong, without the remedy.
func (f *Fault) Error() string { return f.Err.Error() }

// Unwrap gives kind and cause.
func (f *Fault) Unwrap() []error { return []error{f.Kind, f.Err} }

// ofInput is a fault of what was read or named.
func ofInput(err error) error { return &Fault{Kind: ErrInput, Err: err} }

// ofLog is a fault of the season log.
func ofLog(err error) error { return &Fault{Kind: ErrLog, Err: err} }

// Remedy is what a person can do about a fault by a command or a flag, to be worded where
// these are known. The zero Remedy is none.
type Remedy int

// Remedies, and what About is for each.
const (
	_            Remedy = iota
	MakeFolder          // make a season folder, or name one; the folder
	MakeOne             // the same, where the fault says that it is none; the folder
	MakeOrName          // the same, or name a filled workbook; the folder
	RestoreLog          // fetch the season log from a copy, or make one and collect again; the folder
	SeePlanning         // see how a plan is made
	Replace             // allow that a file is overwritten
	NameWorkbook        // name a filled workbook or the folder they are in
	TypePrinted         // open the printed workbook and type into it
	CollectApart        // collect the correction by name, with a reason; the file that came first
	CollectFirst        // collect the first by name, then the correction by name, with a reason
)
