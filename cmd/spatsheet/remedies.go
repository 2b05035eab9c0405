package main

import (
	"fmt"
	"strings"

	"spatsheet/cmd/station"
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
	case remedy.SayAtHand:
		return "say --have " + r.Of
	case remedy.GiveOwnValues:
		return "give your own with --set ID=..., or correct site.yaml"
	case remedy.MakeLog:
		return "fetch it from a copy, or, if nothing was collected yet, run `spatsheet start " + r.Of + "`"
	case remedy.RebuildLog:
		return "keep the file; make a new log of what is whole in it with `spatsheet season --rebuild`, which tells what to collect again"
	case remedy.GiveReason:
		return "give the reason of the correction with --reason \"what was corrected\""
	case remedy.ReasonOrCode:
		return "if the batch was planned again, give the reason with --reason; if it is another batch, give it another code"
	}
	return r.String()
}

// inWords is an error's text with the remedies of its faults in the words of this program.
func inWords(err error) string {
	text := withFolder(err, err.Error())
	for _, f := range writtenFaults(err) {
		if f.Remedy.Kind != remedy.None {
			text = strings.Replace(text, f.Error(), withWords(f).Error(), 1)
		}
	}
	for _, told := range within[remedy.Told](err) {
		if r := told.Do(); r.Kind != remedy.None {
			text = strings.Replace(text, told.Error(), strings.TrimSuffix(told.Error(), r.String())+remedyWords(r), 1)
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

// folderRemedies are those that take a command or a flag; %s is what they are about.
var folderRemedies = map[station.Remedy]string{
	station.MakeFolder:   "run `spatsheet start %s` to make a season folder, or name one with --folder",
	station.MakeOne:      "run `spatsheet start %s` to make one, or name one with --folder",
	station.MakeOrName:   "run `spatsheet start %s` to make a season folder, name one with --folder, or name a filled workbook",
	station.RestoreLog:   "fetch it from a copy, or make an empty one with `spatsheet start %s` and collect the filled workbooks again",
	station.SeePlanning:  "`spatsheet plan --help` shows how to make one",
	station.Replace:      "give --replace to overwrite it",
	station.NameWorkbook: "name a filled workbook or the folder they are in, such as filled/ of a season folder made by `spatsheet start`",
	station.TypePrinted:  "open the workbook that `spatsheet print` made, type into it and save it as .xlsx",
	station.CollectApart: "if this one is the correction, collect it by name with --reason; if %s is, collect this one so, and then that one, saved anew",
	station.CollectFirst: "collect the one that was typed first by name, then the correction by name with --reason",
}

// withFolder puts the remedies of a season folder's faults into what an error says.
func withFolder(err error, says string) string {
	for _, f := range within[*station.Fault](err) {
		if words, ok := folderRemedies[f.Remedy]; ok {
			if strings.Contains(words, "%s") {
				words = fmt.Sprintf(words, f.About)
			}
			says = strings.Replace(says, f.Error(), f.Error()+"; "+words, 1)
		}
	}
	return says
}

// within lists the errors of one type that an error is or wraps.
func within[T error](err error) []T {
	var list []T
	if found, ok := err.(T); ok {
		list = append(list, found)
	}
	switch inner := err.(type) {
	case interface{ Unwrap() error }:
		list = append(list, within[T](inner.Unwrap())...)
	case interface{ Unwrap() []error }:
		for _, e := range inner.Unwrap() {
			list = append(list, within[T](e)...)
		}
	}
	return list
}
