package main

import (
	"encoding/json"
	"io"
	"time"

	"github.com/urfave/cli/v2"
)

// program carries the streams and the clock to the commands.
type program struct {
	out, talk io.Writer
	now       func() time.Time
}

// finish gives every command the same habits: usage faults as such, exit codes in help.
func finish(c *cli.Command, called string) {
	c.OnUsageError = func(_ *cli.Context, err error, _ bool) error {
		return flagFault(err, c.Flags, "spatsheet "+called+" --help")
	}
	c.HideHelpCommand = true
	for _, f := range c.Flags {
		if b, isBool := f.(*cli.BoolFlag); isBool {
			b.DisableDefaultText = true // all are off
		}
	}
	if c.Description != "" {
		c.Description += "\n\n" + exitCodesHelp
	}
	for _, sub := range c.Subcommands {
		finish(sub, called+" "+sub.Name)
	}
}

func (p *program) printJSON(v any) error {
	e := json.NewEncoder(p.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
