package main

import (
	"errors"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
	"spatsheet/protocols/document"
	"spatsheet/protocols/remedy"
)

// answers is what a person says about a new batch, by flags or in the form.
type answers struct {
	protocol, batch, species, date, start, note, profile string
	parents                                              []string
	settings                                             map[string]string
}

// neededFlags are those without which there is no plan, in the order they are told.
var neededFlags = []string{"protocol", "batch", "species", "date", "start"}

// text is the place of an answer by its flag's name.
func (a *answers) text(flag string) *string {
	return map[string]*string{"protocol": &a.protocol, "batch": &a.batch, "species": &a.species, "date": &a.date,
		"start": &a.start, "note": &a.note, "profile": &a.profile}[flag]
}

// answersOf reads the flags of plan.
func answersOf(c *cli.Context) (answers, error) {
	a := answers{parents: c.StringSlice("parent"), settings: map[string]string{}}
	for _, flag := range append([]string{"note", "profile"}, neededFlags...) {
		*a.text(flag) = c.String(flag)
	}
	for _, pair := range c.StringSlice("set") {
		name, value, ok := strings.Cut(pair, "=")
		if name, value = strings.TrimSpace(name), strings.TrimSpace(value); !ok || name == "" || value == "" {
			return a, usageFault("--set %q: write NAME=VALUE, such as females=18", pair)
		}
		if before, twice := a.settings[name]; twice {
			return a, usageFault("--set %s is given twice, %s and %s; keep one", name, before, value)
		}
		a.settings[name] = value
	}
	return a, nil
}

// command is the command line that gives these answers.
func (a *answers) command(folder *station.Folder, replace bool) string {
	words := []string{"spatsheet plan"}
	add := func(flag, value string) {
		if value != "" {
			words = append(words, flagText(flag, value))
		}
	}
	if folder.Path != "." {
		add("folder", folder.Path)
	}
	if replace {
		words = append(words, "--replace")
	}
	for _, flag := range append(slices.Clone(neededFlags), "note", "profile") {
		add(flag, *a.text(flag))
	}
	for _, parent := range a.parents {
		add("parent", parent)
	}
	for _, id := range slices.Sorted(maps.Keys(a.settings)) {
		add("set", id+"="+a.settings[id])
	}
	return strings.Join(words, " ")
}

// bare is a word that a shell takes as it stands.
var bare = regexp.MustCompile(`^[A-Za-z0-9@%_+=:,./-]+$`)

// flagText writes a flag as a shell takes it: in double quotes where it must be, which
// all shells know, in single ones where a double quote would not keep it whole.
func flagText(flag, value string) string {
	switch {
	case bare.MatchString(value):
	case strings.ContainsAny(value, "\"$`\\!"):
		value = "'" + strings.ReplaceAll(value, "'", `'\''`) + "'"
	default:
		value = `"` + value + `"`
	}
	return "--" + flag + " " + value
}

// origin says where a line of a drafted plan is from.
type origin struct {
	key  string // the answer: "species", or "set females"
	flag string // as it is given: --set females=18
}

func settingKey(id string) string { return "set " + id }

// told is one fault of a draft: about one answer, or about none of them alone.
type told struct {
	of    origin
	says  string
	lacks string // the id of the setting that the plan lacks
}

// tell splits the faults of a drafted plan, whose file is not written yet, by the answers
// they are about.
func tell(err error, name string, origins []origin) []told {
	var tied *station.Fault
	if errors.As(err, &tied) {
		err = tied.Err
	}
	var all []told
	for _, f := range document.FaultsOf(err) {
		t := told{says: withWords(f).Text()}
		switch n := f.Place.Line; {
		case f.Place.File != name && f.Place != document.Place{}:
			t.says = f.Place.String() + ": " + t.says
		case n > 0 && n <= len(origins):
			t.of = origins[n-1]
		}
		if f.Remedy.Kind == remedy.GiveSetting {
			t.lacks = f.Remedy.Of
		}
		all = append(all, t)
	}
	return all
}

// byFlags words the faults of a drafted plan by the flags they come from.
func byFlags(err error, name string, origins []origin) error {
	var lines []string
	for _, t := range tell(err, name, origins) {
		switch {
		case t.of.flag != "":
			t.says = t.of.flag + ": " + t.says
		case t.lacks != "":
			t.says += ": --set " + t.lacks + "=..."
		}
		lines = append(lines, t.says)
	}
	return reworded{err, strings.Join(lines, "\n")}
}

// reworded is an error told in other words.
type reworded struct {
	err  error
	says string
}

func (r reworded) Error() string { return r.says }
func (r reworded) Unwrap() error { return r.err }

// errStopped is told where a person stops the form.
var errStopped = errors.New("stopped; nothing was written")
