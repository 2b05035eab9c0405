package main

import (
	"regexp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/labels"
)

// valuesOf lists values of a flag. A flag means the same in every command, so that its name
// tells what goes with it.
func (u *unfinished) valuesOf(f cli.Flag, word string) []nextWord {
	switch f.Names()[0] {
	case "folder", "out", "dir":
		return filesFor(word)
	case "notes":
		return filesFor(word, ".xlsx")
	case "pdf", "svg":
		return filesFor(word, "."+f.Names()[0])
	case "rebuild":
		return filesFor(word, ".sqlite")
	case "protocol", "from", "have":
		return u.protocolNames(word)
	case "profile":
		return append(u.profileNames(word), nextWord{"none", "no profile"})
	case "parent", "plan":
		return u.batches()
	case "labels":
		return append(u.stocks(), nextWord{"list", "tell the stocks"})
	case "set":
		return u.settingWords()
	}
	return choicesOf(f)
}

// arguments lists what a command takes besides flags.
func (u *unfinished) arguments(word string) []nextWord {
	switch u.path {
	case "print":
		if strings.ContainsAny(word, `/\`) {
			return filesFor(word, ".yaml")
		}
		return u.batches()
	case "check", "collect":
		return filesFor(word, ".xlsx")
	case "lineage":
		return u.batches()
	case "protocols show":
		return append(u.protocolNames(word), u.profileNames(word)...)
	case "protocols compare":
		return u.protocolNames(word)
	case "start", "demo":
		return filesFor(word)
	case "completion":
		var list []nextWord
		for _, shell := range shells {
			list = append(list, nextWord{word: shell})
		}
		return list
	}
	return nil
}

// writtenChoices are written as `one|other` in the help of a flag.
var writtenChoices = regexp.MustCompile("`([^`|]+(?:\\|[^`|]+)+)`")

func choicesOf(f cli.Flag) []nextWord {
	d, ok := f.(cli.DocGenerationFlag)
	if !ok {
		return nil
	}
	found := writtenChoices.FindStringSubmatch(d.GetUsage())
	if found == nil {
		return nil
	}
	var list []nextWord
	for _, choice := range strings.Split(found[1], "|") {
		list = append(list, nextWord{word: choice})
	}
	return list
}

// batches lists the codes of the plans in the season folder that are not named yet.
func (u *unfinished) batches() []nextWord {
	var list []nextWord
	for _, code := range u.folder().PlannedCodes() {
		if !slices.Contains(u.typed, code) {
			list = append(list, nextWord{word: code})
		}
	}
	return list
}

func (u *unfinished) protocolNames(word string) []nextWord {
	own, _ := u.folder().OwnRefs("") // what cannot be read is not proposed
	return refNames(append(own, library.Refs()...), word)
}

func (u *unfinished) profileNames(word string) []nextWord {
	own, _ := u.folder().OwnRefs("species/")
	return refNames(append(own, library.ProfileRefs()...), word)
}

// refNames are ids, each once, and versions where an @ is typed.
func refNames(refs []string, word string) []nextWord {
	var list []nextWord
	seen := map[string]bool{}
	for _, ref := range refs {
		if id, _, _ := strings.Cut(ref, "@"); !strings.Contains(word, "@") {
			ref = id
		}
		if !seen[ref] {
			list = append(list, nextWord{word: ref})
		}
		seen[ref] = true
	}
	return list
}

func (u *unfinished) stocks() []nextWord {
	site, err := u.folder().Site()
	if err != nil {
		site = calc.Site{}
	}
	var list []nextWord
	for _, s := range labels.Stocks(site) {
		list = append(list, nextWord{s.Name, labels.Describe(s)})
	}
	return list
}

// settingWords lists the settings of the protocol that is named, those that a plan must give
// first.
func (u *unfinished) settingWords() []nextWord {
	usual := ""
	if f, ok := u.flag("--protocol").(*cli.StringFlag); ok {
		usual = f.Value
	}
	protocol, err := u.folder().Protocol(u.value("protocol", usual))
	if err != nil {
		return nil
	}
	var first, rest []nextWord
	for _, s := range protocol.Settings {
		c := nextWord{s.ID + "=", s.Label}
		if s.GivenBy == protocols.ByPlan {
			first = append(first, c)
		} else {
			rest = append(rest, c)
		}
	}
	return append(first, rest...)
}
