// Package remedy is the closed list of what a person can do about a fault with this program.
//
// Below the command line a remedy is a value; whoever shows it puts in the words, with the
// names of commands and flags. The package imports nothing, so that every room may use it.
package remedy

// Kind is what to do. Source: the list is ours.
type Kind int

// The kinds. Of says what Remedy.Of holds; in neutral words each stands in Remedy.String.
const (
	None          Kind = iota
	GiveSetting        // give a setting in the plan; Of: its id
	GiveAtSite         // give a setting in the site file; Of: its id
	ShowSettings       // look a protocol's settings up; Of: its id
	LockProtocols      // make the list of released protocols anew
	SayAtHand          // say that what a protocol yields is at hand; Of: its id
	GiveOwnValues      // give settings values of one's own, or correct the site file
	MakeLog            // fetch a season log from a copy, or make an empty one; Of: its folder
	RebuildLog         // make a new season log of what is whole in the old one
	GiveReason         // give the reason of a correction
	ReasonOrCode       // give the reason why a batch was planned again, or another batch a code of its own
)

// Remedy is one thing to do.
type Remedy struct {
	Kind Kind
	Of   string // what it is done with or to; see Kind
}

// neutral are the words of each kind that needs no Of, without commands or flags.
var neutral = map[Kind]string{
	GiveSetting:   "add it",
	GiveAtSite:    "add it",
	ShowSettings:  "see its settings",
	LockProtocols: "make the list anew",
	GiveOwnValues: "give values of your own, or correct the site file",
	MakeLog:       "fetch it from a copy, or, if nothing was collected yet, make an empty one",
	RebuildLog:    "keep the file; make a new log of what is whole in it, and see what to collect again",
	GiveReason:    "give the reason of the correction",
	ReasonOrCode:  "if the batch was planned again, give the reason; if it is another batch, give it another code",
}

// Told is an error whose text ends with what to do about it, in neutral words.
type Told interface {
	error
	Do() Remedy // of Kind None where the text says it in words of its own
}

// Error is an error with one thing to do about it.
type Error struct {
	Err error
	To  Remedy
}

// Error prints the error and the remedy in neutral words.
func (e *Error) Error() string { return e.Err.Error() + "; " + e.To.String() }

// Do is the remedy.
func (e *Error) Do() Remedy { return e.To }

// Unwrap gives the error without the remedy.
func (e *Error) Unwrap() error { return e.Err }

// String says it without the names of commands and flags; empty for None.
func (r Remedy) String() string {
	if r.Kind == SayAtHand {
		return "say that the yield of " + r.Of + " is at hand"
	}
	return neutral[r.Kind]
}
