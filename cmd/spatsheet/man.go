package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"
)

// manDate stands on the manual page: the day of the version, so that the page does not
// change from day to day.
const manDate = "2026-11-25"

func (p *program) manCommand() *cli.Command {
	return &cli.Command{
		Name:      "man",
		Usage:     "print the manual page",
		UsageText: "spatsheet man",
		Description: `Prints every command with its flags as one manual page.

   # read it
   spatsheet man > spatsheet.1
   man ./spatsheet.1`,
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("man takes no argument %q; the page holds every command", c.Args().First())
			}
			writeMan(p.out, c.App)
			return nil
		},
	}
}

// writeMan writes the command tree as roff, the language of manual pages.
func writeMan(out io.Writer, app *cli.App) {
	m := manual{out}
	m.line(".TH SPATSHEET 1 %s \"%s\" \"User Commands\"", manDate, programName)
	m.line(".nh\n.ad l") // no word is broken: many are file names and flags
	m.line(".SH NAME")
	m.line("spatsheet \\- %s", roff(app.Usage))
	m.line(".SH SYNOPSIS\n.B spatsheet\n.I command\n[\n.I arguments\n]")
	m.line(".SH DESCRIPTION")
	m.prose(app.Description)
	m.line(".SH COMMANDS")
	for _, c := range app.Commands {
		m.command("spatsheet", c)
	}
	m.line(".SH EXIT STATUS")
	for _, e := range exitStatus {
		m.line(".TP\n.B %d\n%s", e.code, roff(e.says))
	}
	m.line(".SH FILES\nIn a season folder, as\n.B spatsheet start\nmakes it:")
	for _, f := range seasonFiles {
		m.line(".TP\n.I %s\n%s", roff(f[0]), roff(f[1]))
	}
	m.line(".SH ENVIRONMENT")
	for _, e := range environment {
		m.line(".TP\n.B %s\n%s", e[0], roff(e[1]))
	}
}

// seasonFiles are the files of a season folder.
var seasonFiles = [][2]string{
	{siteFile, "what the station owns: tanks, glassware, plates, counts; label stocks of its own"},
	{plansFolder + "/CODE.yaml", "one plan for each batch"},
	{protocolsFolder + "/ID/VERSION.yaml", "protocols of the season's own; species profiles in " + protocolsFolder + "/species"},
	{protocolsFolder + "/" + releasedFile, "digests of the released ones, which may not change any more"},
	{sheetsFolder + "/CODE.pdf", "bench sheets; CODE-labels.pdf and CODE-card.pdf beside them"},
	{workbookFolder + "/CODE.xlsx", "blank workbooks"},
	{filledFolder + "/", "the workbooks that were typed into, under any name"},
	{logFile, "the season log: every collected workbook whole, with its readings and findings"},
	{outFolder + "/", "season.xlsx, CSV files, datapackage.json, report.pdf and report.html"},
	{benchPage, "how to fill sheet and workbook in, and what check tells"},
	{mistakesPage, "likely mistakes: what spatsheet says and what to do"},
	{calendarFolder + "/", "calendar.pdf and calendar.ics"},
}

// environment are the variables that matter.
var environment = [][2]string{
	{"ACCESSIBLE", "set to 1, plan asks line by line, for screen readers"},
	{"CI", "where it is set, plan never asks"},
	{"TERM", "dumb: plan asks only with --ask, line by line"},
}

// manual writes roff.
type manual struct{ out io.Writer }

func (m manual) line(format string, args ...any) { fmt.Fprintf(m.out, format+"\n", args...) }

// command writes a command and those below it.
func (m manual) command(called string, c *cli.Command) {
	if c.Hidden {
		return
	}
	called += " " + c.Name
	m.line(".SS %s", roff(called))
	m.line("%s", roff(strings.ToUpper(c.Usage[:1])+c.Usage[1:]+"."))
	if c.UsageText != "" {
		m.line(".PP\n.RS 4\n%s\n.RE", roff(c.UsageText))
	}
	if c.Description != "" {
		m.line(".PP")
		m.prose(c.Description)
	}
	for _, f := range c.Flags {
		m.flag(f)
	}
	for _, sub := range c.Subcommands {
		m.command(called, sub)
	}
}

// flag writes a flag with what its value is called: `DAY` in its line of help.
func (m manual) flag(f cli.Flag) {
	if f == cli.HelpFlag {
		return
	}
	d, ok := f.(cli.DocGenerationFlag)
	if !ok {
		return
	}
	var names []string
	for _, n := range f.Names() {
		names = append(names, "\\fB"+roff(dashed(n))+"\\fR")
	}
	value := ""
	if d.TakesValue() {
		value = "VALUE"
		if parts := strings.Split(d.GetUsage(), "`"); len(parts) > 2 {
			value = parts[1]
		}
		value = " \\fI" + roff(value) + "\\fR"
	}
	m.line(".TP\n%s%s\n%s", strings.Join(names, ", "), value, roff(flagSays(f)))
}

// prose writes paragraphs, and as they stand the examples, whose lines are indented. The
// exit codes have a section of their own.
func (m manual) prose(text string) {
	for i, block := range strings.Split(strings.TrimSpace(strings.TrimSuffix(text, exitCodesHelp)), "\n\n") {
		if strings.HasPrefix(block, "   ") {
			m.line(".PP\n.RS 4\n.nf\n%s\n.fi\n.RE", roff(strings.ReplaceAll(strings.TrimPrefix(block, "   "), "\n   ", "\n")))
			continue
		}
		if i > 0 {
			m.line(".PP")
		}
		m.line("%s", roff(block))
	}
}

// roffSigns writes signs that roff reads as its own, or would print as others.
var roffSigns = strings.NewReplacer(`\`, `\e`, "-", `\-`, "`", `\(ga`, "'", `\(aq`, "^", `\(ha`, "~", `\(ti`)

// roff writes text so that a manual page shows it as it is.
func roff(text string) string {
	lines := strings.Split(roffSigns.Replace(text), "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
