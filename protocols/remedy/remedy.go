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
)

// Remedy is one thing to do.
type Remedy struct {
	Kind Kind
	Of   string // what it is done with or to; see Kind
}

// neutral are the words of each kind without commands or flags.
var neutral = map[Kind]string{
	GiveSetting:   "add it",
	GiveAtSite:    "add it",
	ShowSettings:  "see its settings",
	LockProtocols: "make the list anew",
}

// String says it without the names of commands and flags; empty for None.
func (r Remedy) String() string { return neutral[r.Kind] }
