package main

import (
	"errors"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"
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
func (a *answers) command(folder string, replace bool) string {
	words := []string{"spatsheet plan"}
	add := func(flag, value string) {
		if value != "" {
			words = append(words, flagText(flag, value))
		}
	}
	if folder != "." {
		add("folder", folder)
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
	of   origin
	says string
}

// excerptLine is a line of a file shown below a fault.
var excerptLine = regexp.MustCompile(`^ *\d* \| `)

// tell splits the faults of a drafted plan, whose file is not written yet, by the answers
// they are about.
func tell(err error, name string, origins []origin) []told {
	place := regexp.MustCompile(`^` + regexp.QuoteMeta(name) + `:(\d+):\d+: `)
	var all []told
	for _, line := range strings.Split(err.Error(), "\n") {
		at := place.FindStringSubmatch(line)
		switch {
		case at != nil:
			n, _ := strconv.Atoi(at[1]) // digits
			says := strings.TrimPrefix(line, at[0])
			if n > 0 && n <= len(origins) {
				all = append(all, told{origins[n-1], says})
			} else {
				all = append(all, told{says: says})
			}
		case excerptLine.MatchString(line): // nobody has seen that file
		case len(all) > 0 && strings.HasPrefix(line, " "):
			all[len(all)-1].says += "\n" + line
		default:
			all = append(all, told{says: line})
		}
	}
	return all
}

// needsSetting is the fault of a setting that nobody gave.
var needsSetting = regexp.MustCompile(`the plan needs settings: (\S+) .*; add it$`)

// byFlags words the faults of a drafted plan by the flags they come from.
func byFlags(err error, name string, origins []origin) error {
	var lines []string
	for _, t := range tell(err, name, origins) {
		if t.of.flag != "" {
			t.says = t.of.flag + ": " + t.says
		} else if id := needsSetting.FindStringSubmatch(t.says); id != nil {
			t.says += ": --set " + id[1] + "=..."
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
