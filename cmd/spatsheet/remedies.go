package main

import (
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/remedy"
)

// The names of commands and flags that tell what to do about a fault are put in here, and
// nowhere below.

// remedyWords says a remedy by the command or flag that does it; kinds that no command does
// keep their neutral words.
func remedyWords(r remedy.Remedy) string {
	switch r.Kind {
	case remedy.ShowSettings:
		return "see `spatsheet protocols show " + r.Of + "` for its settings"
	case remedy.LockProtocols:
		return "make the list anew with `spatsheet protocols lock`"
	}
	return r.String()
}

// inWords is an error's text with the remedies of its faults in the words of this program.
func inWords(err error) string {
	text := err.Error()
	for _, f := range writtenFaults(err) {
		if f.Remedy.Kind != remedy.None {
			text = strings.Replace(text, f.Error(), withWords(f).Error(), 1)
		}
	}
	return text
}

// withWords puts the words of a fault's remedy into what it says.
func withWords(f document.Fault) document.Fault {
	if f.Remedy.Kind != remedy.None {
		f.Says, f.Remedy = f.Says+"; "+remedyWords(f.Remedy), remedy.Remedy{}
	}
	return f
}

// writtenFaults finds every fault that an error is or wraps.
func writtenFaults(err error) document.Faults {
	switch e := err.(type) {
	case document.Fault:
		return document.Faults{e}
	case document.Faults:
		return e
	case interface{ Unwrap() error }:
		if inner := e.Unwrap(); inner != nil {
			return writtenFaults(inner)
		}
	case interface{ Unwrap() []error }:
		var all document.Faults
		for _, one := range e.Unwrap() {
			all = append(all, writtenFaults(one)...)
		}
		return all
	}
	return nil
}
