package main

import (
	"fmt"
	"os"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
	"spatsheet/render/seasonlog"
	"spatsheet/templates"
)

func (p *program) startCommand() *cli.Command {
	return &cli.Command{
		Name:      "start",
		Usage:     "make a season folder with a site file to fill in",
		UsageText: "spatsheet start <folder>",
		Description: `Makes the folder with a commented site file, places for plans, sheets and
filled workbooks, two pages for the people at the bench, and an empty season log.
Nothing that is there is changed; what is missing of a season folder is added.

   # a folder for the coming season
   spatsheet start season-2026`,
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usageFault("name one folder: spatsheet start season-2026")
			}
			return p.makeFolder(station.At(c.Args().First()), templates.Site)
		},
	}
}

// makeFolder lays out a season folder.
func (p *program) makeFolder(folder *station.Folder, site []byte) error {
	name, log := folder.File(station.SiteFile), folder.File(station.LogFile)
	if there(name) && hasLog(log) {
		return inputFault(fmt.Errorf("%s is there already; it is a season folder: go on with it, or name a new one", name))
	}
	for _, sub := range []string{station.PlansFolder, station.SheetsFolder, station.WorkbookFolder, station.FilledFolder} {
		if err := os.MkdirAll(folder.File(sub), 0o755); err != nil {
			return inputFault(station.WriteFault(folder.File(sub), err))
		}
	}
	for file, text := range map[string][]byte{station.SiteFile: site, station.BenchPage: templates.BenchWorker, station.MistakesPage: templates.Mistakes} {
		if file = folder.File(file); there(file) {
			continue
		}
		if err := station.WriteBytes(file, false, text); err != nil {
			return err
		}
	}
	if !hasLog(log) {
		if err := seasonlog.Create(log); err != nil {
			return logFault(err)
		}
	}
	fmt.Fprintf(p.out, "made %s\nnext: put your own tanks, glassware and counts into %s,\n"+
		"then plan a batch: spatsheet plan%s --help\n", folder.Path, name, inFolder(folder))
	return nil
}

// hasLog says whether something stands where the season log belongs; a file of no bytes is
// one that a killed start, or a service that synchronises folders, left behind.
func hasLog(name string) bool {
	info, err := os.Stat(name)
	return err == nil && (info.IsDir() || info.Size() > 0)
}
