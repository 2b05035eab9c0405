package seasonlog

import (
	"errors"
	"slices"
	"spatsheet/protocols/remedy"

	"modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"
)

// ErrTrouble is wrapped by every error of this package.
var ErrTrouble = errors.New("season log trouble")

// The kinds of trouble, for errors.Is.
var (
	ErrNoLog       = errors.New("no season log")
	ErrExists      = errors.New("already there")
	ErrNotALog     = errors.New("not a season log")
	ErrNewer       = errors.New("made by a newer spatsheet")
	ErrNeedsReason = errors.New("a correction needs a reason")
	ErrOtherSheet  = errors.New("another sheet under the same batch code")
	ErrUnfit       = errors.New("not fit to store") // the workbook as handed in contradicts itself
	ErrUnknown     = errors.New("not in the log")
	ErrBusy        = errors.New("in use")
	ErrFull        = errors.New("no room")
	ErrReadOnly    = errors.New("may not be written")
	ErrDisk        = errors.New("disk fault")
	ErrDamaged     = errors.New("damaged")
)

// EndsCollecting says whether an error is trouble with the log itself, and not with one
// workbook: nothing that comes later should be stored, for the order of collecting is that
// of the files.
func EndsCollecting(err error) bool {
	return slices.ContainsFunc([]error{ErrFull, ErrDisk, ErrBusy, ErrReadOnly, ErrNoLog}, func(kind error) bool { return errors.Is(err, kind) })
}

// Error is trouble with a season log: what, where and what to do.
type Error struct {
	Kind   error  // one of the kinds above
	Path   string // the log
	Says   string
	Remedy string
	Takes  remedy.Remedy // what to do where that takes a command or a flag; Remedy is then empty
	Cause  error         // from below, may be nil
}

// Error prints the log, the trouble and the remedy.
func (e *Error) Error() string {
	text := "season log"
	if e.Path != "" {
		text += " " + e.Path
	}
	return text + ": " + e.Trouble() + "; " + e.Remedy + e.Takes.String()
}

// Do is the remedy where it takes a command or a flag.
func (e *Error) Do() remedy.Remedy { return e.Takes }

// Trouble prints what is wrong alone, for where another remedy is told.
func (e *Error) Trouble() string {
	if e.Cause == nil {
		return e.Says
	}
	return e.Says + " (" + e.Cause.Error() + ")"
}

// Unwrap gives ErrTrouble, the kind and the cause.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{ErrTrouble, e.Kind}
	}
	return []error{ErrTrouble, e.Kind, e.Cause}
}

const (
	remedyLost     = "collect the filled workbook again, from the season folder or a copy"
	remedyOlder    = "an older revision: do not collect it again, it would become the latest; keep the old log"
	remedyUnknown  = "collect the newest filled workbook of the batch again if it is the one that is missing; not an older one, which would become the latest"
	remedyReadOnly = "allow writing to the file and to its folder (the journal stands beside the log), or copy the log to a folder of your own"
)

// rebuildIt is what to do with a damaged log.
var rebuildIt = remedy.Remedy{Kind: remedy.RebuildLog}

// sayings are the troubles SQLite reports, by primary result code.
var sayings = map[int]Error{
	codes.SQLITE_BUSY:     {Kind: ErrBusy, Says: "another program is using it", Remedy: "wait until that program is done, then try again; nothing was stored"},
	codes.SQLITE_LOCKED:   {Kind: ErrBusy, Says: "another program is using it", Remedy: "wait until that program is done, then try again; nothing was stored"},
	codes.SQLITE_FULL:     {Kind: ErrFull, Says: "the disk is full", Remedy: "make room and collect again; nothing was stored and the log is as it was"},
	codes.SQLITE_READONLY: {Kind: ErrReadOnly, Says: "it may not be written", Remedy: remedyReadOnly},
	codes.SQLITE_CANTOPEN: {Kind: ErrReadOnly, Says: "it or its journal cannot be opened", Remedy: remedyReadOnly},
	codes.SQLITE_PERM:     {Kind: ErrReadOnly, Says: "it may not be opened", Remedy: remedyReadOnly},
	codes.SQLITE_IOERR: {Kind: ErrDisk, Says: "the disk did not read or write",
		Remedy: "check that the disk or share is connected and has room, then collect again; a workbook stored already is not stored twice"},
	codes.SQLITE_CORRUPT: {Kind: ErrDamaged, Says: "the file is damaged", Takes: rebuildIt},
	codes.SQLITE_NOTADB:  {Kind: ErrNotALog, Says: "is not a season log", Remedy: "name the season log; if this was one, fetch it from a copy"},
}

// trouble puts what SQLite reports in words; errors of ours get the path.
func (l *Log) trouble(err error) error {
	if err == nil {
		return nil
	}
	var ours *Error
	if errors.As(err, &ours) {
		if ours.Path == "" {
			ours.Path = l.path
		}
		return err
	}
	var theirs *sqlite.Error
	if errors.As(err, &theirs) {
		if saying, ok := sayings[theirs.Code()&0xff]; ok {
			saying.Path, saying.Cause = l.path, err
			return &saying
		}
	}
	return &Error{Kind: ErrDamaged, Path: l.path, Says: "an unexpected answer from the database",
		Remedy: "verify the log; if it is sound, report this", Cause: err}
}
