package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
)

// nextWord is a word that may come next, and what it is, which may be empty.
type nextWord struct{ word, says string }

// unfinished is a command line as far as it is typed.
type unfinished struct {
	path     string // the command: "protocols show"
	commands []*cli.Command
	flags    []cli.Flag
	given    map[string][]string // values of flags by the flag's first name
	values   cli.Flag            // the flag that waits for its value, or nil
	typed    []string            // arguments
}

// nextWords lists what may stand for the word that is being typed, after words.
func nextWords(app *cli.App, words []string, word string) []nextWord {
	u := unfinished{commands: app.Commands, flags: []cli.Flag{cli.HelpFlag, cli.VersionFlag}, given: map[string][]string{}}
	for _, w := range words {
		u.take(w)
	}
	var list []nextWord
	flag, value, hasValue := strings.Cut(word, "=")
	switch f := u.flag(flag); {
	case u.values != nil:
		list = u.valuesOf(u.values, word)
	case hasValue && f != nil:
		for _, c := range u.valuesOf(f, value) {
			list = append(list, nextWord{flag + "=" + c.word, c.says})
		}
	case strings.HasPrefix(word, "-"):
		list = u.flagNames(strings.HasPrefix(word, "--"))
	default:
		list = append(u.commandNames(), u.arguments(word)...)
	}
	return slices.DeleteFunc(list, func(c nextWord) bool { return !startsWith(c.word, word) })
}

// startsWith takes small letters for capital ones: batch codes are in capitals.
func startsWith(s, start string) bool {
	return len(s) >= len(start) && strings.EqualFold(s[:len(start)], start)
}

// take reads one finished word.
func (u *unfinished) take(word string) {
	if u.values != nil {
		u.give(u.values, word)
		u.values = nil
		return
	}
	if name, value, hasValue := strings.Cut(word, "="); strings.HasPrefix(word, "-") {
		switch f := u.flag(name); {
		case f == nil:
		case !hasValue && takesValue(u.flags, word):
			u.values = f
		default:
			u.give(f, value)
		}
		return
	}
	if c := find(u.commands, word); c != nil && len(u.typed) == 0 {
		u.path = strings.TrimSpace(u.path + " " + c.Name)
		u.commands, u.flags = c.Subcommands, append(slices.Clone(c.Flags), cli.HelpFlag)
		return
	}
	u.typed = append(u.typed, word)
}

func (u *unfinished) give(f cli.Flag, value string) {
	u.given[f.Names()[0]] = append(u.given[f.Names()[0]], value)
}

// flag finds a flag as it is typed.
func (u *unfinished) flag(typed string) cli.Flag {
	return flagNamed(u.flags, typed)
}

// value is the last value given to a flag.
func (u *unfinished) value(flag, otherwise string) string {
	if list := u.given[flag]; len(list) > 0 {
		return list[len(list)-1]
	}
	return otherwise
}

func (u *unfinished) folder() *station.Folder { return station.At(atHome(u.value("folder", "."))) }

// flagNames lists the flags that may still be given.
func (u *unfinished) flagNames(longOnly bool) []nextWord {
	var list []nextWord
	for _, f := range u.flags {
		_, repeats := f.(*cli.StringSliceFlag)
		if len(u.given[f.Names()[0]]) > 0 && !repeats {
			continue
		}
		for _, name := range f.Names() {
			if dashes := "--"; len(name) > 1 || !longOnly {
				if len(name) == 1 {
					dashes = "-"
				}
				list = append(list, nextWord{dashes + name, flagSays(f)})
			}
		}
	}
	return list
}

// flagSays is a flag's line of help, without the marks around the name of its value.
func flagSays(f cli.Flag) string {
	if d, ok := f.(cli.DocGenerationFlag); ok {
		return strings.ReplaceAll(d.GetUsage(), "`", "")
	}
	return ""
}

func (u *unfinished) commandNames() []nextWord {
	if len(u.typed) > 0 {
		return nil
	}
	var list []nextWord
	for _, c := range u.commands {
		if !c.Hidden {
			list = append(list, nextWord{c.Name, c.Usage})
		}
	}
	return list
}

// atHome is a name as the shell would have it.
func atHome(name string) string {
	if home, err := os.UserHomeDir(); err == nil && (name == "~" || strings.HasPrefix(name, "~/")) {
		return home + name[1:]
	}
	return name
}

// filesFor lists folders, and the files with one of the endings, that the word may become.
func filesFor(word string, endings ...string) []nextWord {
	at := strings.LastIndexAny(word, "/"+string(filepath.Separator)) + 1
	within := word[:at]
	dir := within
	if dir == "" {
		dir = "."
	}
	entries, err := os.ReadDir(atHome(dir))
	if err != nil {
		return nil
	}
	var list []nextWord
	for _, e := range entries {
		name := e.Name()
		if info, err := os.Stat(filepath.Join(atHome(dir), name)); err == nil && info.IsDir() {
			name += string(filepath.Separator)
		} else if !slices.Contains(endings, strings.ToLower(filepath.Ext(name))) || station.IsLockFile(name) {
			continue
		}
		if !strings.HasPrefix(name, ".") || strings.HasPrefix(word[at:], ".") {
			list = append(list, nextWord{word: within + name})
		}
	}
	return list
}
