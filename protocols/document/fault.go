package document

import (
	"fmt"
	"strings"

	"spatsheet/protocols/remedy"
)

// Place is where something is written: a file with line and column, both from 1; or, where
// Line is 0, only the name of what gave it, such as a batch. The zero Place is nowhere.
type Place struct {
	File         string
	Line, Column int // in characters
}

// String is file:line:column, or the name alone; empty for nowhere.
func (p Place) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Fault is one thing wrong in what a person wrote or left out.
type Fault struct {
	Place   Place
	Setting string // the id of the setting it is about; empty where it is about none
	Says    string // what is wrong, and what to do where no Remedy says it
	Remedy  remedy.Remedy
	Excerpt string // the line with a caret under the column
	Err     error  // the cause, already told in Says
}

// Error prints file:line:column, what is wrong, the remedy in neutral words, and the excerpt.
func (f Fault) Error() string {
	s := f.Text()
	if place := f.Place.String(); place != "" {
		s = place + ": " + s
	}
	if f.Excerpt != "" {
		s += "\n" + f.Excerpt
	}
	return s
}

// Text is what is wrong and the remedy in neutral words, without place and excerpt.
func (f Fault) Text() string {
	if f.Remedy.Kind == remedy.None {
		return f.Says
	}
	return f.Says + "; " + f.Remedy.String()
}

// Unwrap gives the cause, where there is one.
func (f Fault) Unwrap() error { return f.Err }

// Faults are several faults, of a document in file order.
type Faults []Fault

// Err is the faults as an error; nil where there are none.
func (fs Faults) Err() error {
	if len(fs) == 0 {
		return nil
	}
	return fs
}

// Error prints every fault, one after the other.
func (fs Faults) Error() string {
	parts := make([]string, len(fs))
	for i, f := range fs {
		parts[i] = f.Error()
	}
	return strings.Join(parts, "\n")
}

// Unwrap gives the single faults, for errors.As.
func (fs Faults) Unwrap() []error {
	list := make([]error, len(fs))
	for i, f := range fs {
		list[i] = f
	}
	return list
}

// FaultsOf gives the single faults of an error: those of Faults and of errors joined
// together, in order; any other error, such as one that wraps a fault in words of its own, is
// one fault without a place. Nil gives none.
func FaultsOf(err error) Faults {
	switch e := err.(type) {
	case nil:
		return nil
	case Fault:
		return Faults{e}
	case Faults:
		return e
	case interface{ Unwrap() []error }:
		var all Faults
		var text []string
		for _, one := range e.Unwrap() {
			all = append(all, FaultsOf(one)...)
			text = append(text, one.Error())
		}
		if strings.Join(text, "\n") == err.Error() {
			return all
		}
	}
	return Faults{{Says: err.Error(), Err: err}}
}
