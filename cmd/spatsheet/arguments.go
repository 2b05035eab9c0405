package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
	"spatsheet/protocols/spelling"
)

// flagsFirst moves flags before the other arguments of a command, so that
// `spatsheet print plan.yaml --replace` means what it says; the flag library stops
// reading flags at the first argument. What follows "--" stays where it is. A flag that has
// no value, or another flag in its place, is refused: moved, it would take the next
// argument for its value.
func flagsFirst(app *cli.App, args []string) ([]string, error) {
	commands, at := app.Commands, 1
	var flags []cli.Flag
	for at < len(args) {
		c := find(commands, args[at])
		if c == nil {
			break
		}
		flags, commands = c.Flags, c.Subcommands
		at++
	}
	head := append([]string(nil), args[:min(at, len(args))]...)
	var moved, rest []string
	for i := at; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			rest = append(rest, args[i:]...)
			break
		}
		if !strings.HasPrefix(a, "-") || a == "-" {
			rest = append(rest, a)
			continue
		}
		moved = append(moved, a)
		if !takesValue(flags, a) {
			continue
		}
		if i++; i == len(args) {
			return nil, usageFault("%s needs a value; `%s --help` shows the flags", a, strings.Join(append([]string{"spatsheet"}, args[1:at]...), " "))
		}
		if isFlag(flags, args[i]) || args[i] == "--" {
			return nil, usageFault("%s needs a value, and %s follows it", a, args[i])
		}
		moved = append(moved, args[i])
	}
	return append(append(head, moved...), rest...), nil
}

func find(commands []*cli.Command, name string) *cli.Command {
	for _, c := range commands {
		if c.HasName(name) {
			return c
		}
	}
	return nil
}

// takesValue says whether the flag's value is the next argument.
func takesValue(flags []cli.Flag, argument string) bool {
	f := flagNamed(flags, argument)
	_, isBool := f.(*cli.BoolFlag)
	return f != nil && !isBool
}

// flagNamed finds the flag that an argument is, or nil.
func flagNamed(flags []cli.Flag, argument string) cli.Flag {
	name := strings.TrimLeft(argument, "-")
	for _, f := range flags {
		if name != argument && slices.Contains(f.Names(), name) {
			return f
		}
	}
	return nil
}

// isFlag says whether an argument can only be a flag of the command: --name or --name=value.
func isFlag(flags []cli.Flag, argument string) bool {
	name, _, _ := strings.Cut(argument, "=")
	return strings.HasPrefix(name, "--") && flagNamed(flags, name) != nil
}

// Faults as the flag library words them.
var (
	noSuchFlag = regexp.MustCompile(`^flag provided but not defined: -(.+)$`)
	badValue   = regexp.MustCompile(`^invalid (?:boolean )?value (".*") for (?:flag )?-([^:]+): `)
)

// flagFault words a fault of the flag library as we do elsewhere; help is the command that
// shows the flags.
func flagFault(err error, flags []cli.Flag, help string) error {
	says, more := err.Error(), "; `"+help+"` shows the flags"
	if m := noSuchFlag.FindStringSubmatch(says); m != nil {
		var known []string
		for _, f := range flags {
			known = append(known, f.Names()[0]) // the long one
		}
		says = "there is no flag " + dashed(m[1])
		if near, ok := spelling.Nearest(m[1], known); ok {
			more = "; did you mean --" + near + "?"
		}
	}
	if m := badValue.FindStringSubmatch(says); m != nil {
		wants := "a whole number"
		if _, isBool := flagNamed(flags, "--"+m[2]).(*cli.BoolFlag); isBool {
			wants = "true, false or nothing"
		}
		says = fmt.Sprintf("%s takes %s, not %s", dashed(m[2]), wants, m[1])
	}
	return usageFault("%s%s", says, more)
}

// dashed writes a flag's name as it is typed.
func dashed(name string) string {
	if len(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

// meantOr proposes the known word that is near, or else says what to do.
func meantOr(word string, known []string, otherwise string) string {
	if near := station.DidYouMean(word, known); near != "" {
		return near
	}
	return "; " + otherwise
}
