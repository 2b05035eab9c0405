// Command spatsheet runs a hatchery's breeding work from versioned protocols: it scales a
// protocol to a batch, prints the bench sheet and a workbook, reads the filled workbook
// back, checks it, and keeps the season log.
//
// This package parses flags, opens files and prints; what is right or wrong about a batch
// is decided in calc. One file for each command.
package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/urfave/cli/v2"
)

func main() {
	os.Exit(run(os.Args, os.Stdout, os.Stderr, time.Now))
}

// run is the whole program: arguments in, exit code out. now is the only clock.
func run(args []string, out, talk io.Writer, now func() time.Time) int {
	checked := &checkedWriter{Writer: out}
	talk = plainWriter{talk}
	p := &program{out: plainWriter{checked}, talk: talk, now: now}
	say := func(err error) { fmt.Fprintln(talk, "spatsheet:", inWords(err)) }
	app := p.app()
	if p.completes(app, args) {
		return closing(nil, checked, say)
	}
	args, err := flagsFirst(app, args)
	if err == nil {
		err = app.Run(args)
	}
	return closing(err, checked, say)
}

func (p *program) app() *cli.App {
	app := &cli.App{
		Name:  "spatsheet",
		Usage: "bench sheets, workbooks and a season log from versioned hatchery protocols",
		Description: "A protocol, a site and a plan give a printable bench sheet and a blank workbook;\n" +
			"filled workbooks are checked and collected into one season log.\n\n" +
			"   # the first steps: an invented season, or a season folder of your own\n   spatsheet demo\n" +
			"   spatsheet start season-2026\n\n" + exitCodesHelp,
		Version: strings.TrimPrefix(programName, "spatsheet "),
		// A comma inside --set belongs to the value.
		DisableSliceFlagSeparator: true,
		HideHelpCommand:           true,
		Writer:                    p.out,
		ErrWriter:                 p.talk,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError: func(_ *cli.Context, err error, _ bool) error {
			return flagFault(err, []cli.Flag{cli.HelpFlag, cli.VersionFlag}, "spatsheet --help")
		},
		CommandNotFound: nil,
		Commands: []*cli.Command{
			p.startCommand(), p.protocolsCommand(), p.planCommand(), p.printCommand(),
			p.checkCommand(), p.collectCommand(), p.seasonCommand(), p.lineageCommand(), p.calendarCommand(), p.benchCommand(), p.demoCommand(),
			p.completionCommand(), p.manCommand(),
		},
	}
	app.Action = func(c *cli.Context) error {
		if c.Args().Present() {
			return usageFault("there is no command %q%s", c.Args().First(), meantOr(c.Args().First(), commandNames(app), "`spatsheet --help` lists them"))
		}
		return cli.ShowAppHelp(c)
	}
	for _, c := range app.Commands {
		finish(c, c.Name)
	}
	return app
}

func commandNames(app *cli.App) []string {
	var names []string
	for _, c := range app.Commands {
		names = append(names, c.Name)
	}
	return names
}
