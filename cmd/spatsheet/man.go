package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/cpuguy83/go-md2man/v2/md2man"
	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
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
			return writeMan(p.out, c.App)
		},
	}
}

// writeMan writes the manual page: what the command line library says of the commands, with
// their examples, and what it does not know of.
func writeMan(out io.Writer, app *cli.App) error {
	page := *app
	page.Description = examples(app.Description)
	page.Commands = withExamples("spatsheet", app.Commands)
	text, err := page.ToMarkdown()
	if err != nil {
		return err
	}
	head := fmt.Sprintf("%% spatsheet 1 %q %q \"User Commands\"\n\n", manDate, programName)
	_, err = out.Write(md2man.Render([]byte(head + text + "\n" + otherSections())))
	return err
}

// otherSections are the exit codes, the files and the environment, in Markdown.
func otherSections() string {
	var b strings.Builder
	section := func(title string, terms [][2]string) {
		fmt.Fprintf(&b, "\n# %s\n", title)
		for _, term := range terms {
			fmt.Fprintf(&b, "\n**%s**\n: %s\n", term[0], term[1])
		}
	}
	var codes [][2]string
	for _, e := range exitStatus {
		codes = append(codes, [2]string{strconv.Itoa(e.code), e.says})
	}
	section("EXIT STATUS", codes)
	section("FILES", seasonFiles)
	section("ENVIRONMENT", environment)
	return b.String()
}

// withExamples copies commands so that what is said of each stands on the page, which the
// library leaves out.
func withExamples(above string, list []*cli.Command) []*cli.Command {
	var out []*cli.Command
	for _, c := range list {
		page := *c
		page.Name = above + " " + c.Name
		if !strings.Contains(c.UsageText, "\n") { // several lines stand as they are
			page.UsageText = plainMarkdown.Replace(c.UsageText)
		}
		page.Usage = strings.ToUpper(c.Usage[:1]) + c.Usage[1:] + ".\n\n" + examples(c.Description)
		page.Subcommands = withExamples(page.Name, c.Subcommands)
		out = append(out, &page)
	}
	return out
}

// examples makes Markdown of a help text: its examples, which are indented, stay as they
// stand; the exit codes have a section of their own.
func examples(text string) string {
	text = strings.TrimSpace(strings.TrimSuffix(text, exitCodesHelp))
	blocks := strings.Split(text, "\n\n")
	for i, block := range blocks {
		if strings.HasPrefix(block, "   ") {
			blocks[i] = "```\n" + strings.ReplaceAll(strings.TrimPrefix(block, "   "), "\n   ", "\n") + "\n```"
			continue
		}
		blocks[i] = plainMarkdown.Replace(block)
	}
	return strings.Join(blocks, "\n\n")
}

// plainMarkdown keeps signs from being read as Markdown's own.
var plainMarkdown = strings.NewReplacer("*", `\*`, "_", `\_`, "<", `\<`, "#", `\#`)

// seasonFiles are the files of a season folder.
var seasonFiles = [][2]string{
	{station.SiteFile, "what the station owns: tanks, glassware, plates, counts; label stocks of its own"},
	{station.PlansFolder + "/CODE.yaml", "one plan for each batch"},
	{station.ProtocolsFolder + "/ID/VERSION.yaml", "protocols of the season's own; species profiles in " + station.ProtocolsFolder + "/species"},
	{station.ProtocolsFolder + "/" + station.ReleasedFile, "digests of the released ones, which may not change any more"},
	{station.SheetsFolder + "/CODE.pdf", "bench sheets; CODE-labels.pdf and CODE-card.pdf beside them"},
	{station.WorkbookFolder + "/CODE.xlsx", "blank workbooks"},
	{station.FilledFolder + "/", "the workbooks that were typed into, under any name"},
	{station.LogFile, "the season log: every collected workbook whole, with its readings and findings"},
	{station.OutFolder + "/", "season.xlsx, CSV files, datapackage.json, report.pdf and report.html"},
	{station.BenchPage, "how to fill sheet and workbook in, and what check tells"},
	{station.MistakesPage, "likely mistakes: what spatsheet says and what to do"},
	{station.CalendarFolder + "/", "calendar.pdf and calendar.ics"},
}

// environment are the variables that matter.
var environment = [][2]string{
	{"ACCESSIBLE", "set to 1, plan asks line by line, for screen readers"},
	{"CI", "where it is set, plan never asks"},
	{"TERM", "dumb: plan asks only with --ask, line by line"},
}
