package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/protocols/document"
)

// flagsFirst moves flags before the other arguments of a command, so that
// `spatsheet print plan.yaml --replace` means what it says; the flag library stops
// reading flags at the first argument. What follows "--" stays where it is.
func flagsFirst(app *cli.App, args []string) []string {
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
		if takesValue(flags, a) && i+1 < len(args) {
			i++
			moved = append(moved, args[i])
		}
	}
	return append(append(head, moved...), rest...)
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
	name := strings.TrimLeft(argument, "-")
	if strings.Contains(name, "=") {
		return false
	}
	for _, f := range flags {
		for _, n := range f.Names() {
			if n == name {
				_, isBool := f.(*cli.BoolFlag)
				return !isBool
			}
		}
	}
	return false
}

func didYouMean(word string, known []string) string {
	if near, ok := document.Nearest(word, known); ok {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}
