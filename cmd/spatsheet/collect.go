package main

import (
	"errors"
	"fmt"
	"slices"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
)

// programName stands in the log beside what this program read.
const programName = "spatsheet 0.1.0"

func (p *program) collectCommand() *cli.Command {
	return &cli.Command{
		Name:      "collect",
		Usage:     "collect filled workbooks into the season log",
		UsageText: "spatsheet collect [--folder <folder>] [--reason <why>] [<workbook or folder>...]",
		Description: `Stores each workbook whole, with its readings and findings. The same file again
changes nothing; a corrected file becomes a new revision and needs a reason. Workbooks
with findings are collected too, and told; one with nothing filled in is not. Of two new
files of one batch neither is, since nobody can tell which came first: collect the first
by name, then the correction by name. Without a name, all in filled/.

   # everything in filled/
   spatsheet collect

   # a correction
   spatsheet collect filled/KS-26-01-corrected.xlsx --reason "count of window 4 misread"`,
		Flags: []cli.Flag{folderFlag(), &cli.StringFlag{Name: "reason", Usage: "`WHY` a batch is collected again"}},
		Action: func(c *cli.Context) error {
			arguments, err := filledIn(c)
			if err != nil {
				return err
			}
			names, err := station.WorkbooksIn(arguments)
			if err != nil {
				return err
			}
			p.tellPassedOver(arguments)
			return p.collectAs(folderOf(c), names, station.Collecting{Reason: c.String("reason"), Unnamed: !slices.Equal(names, arguments)})
		},
	}
}

// collect takes workbooks that were chosen one by one.
func (p *program) collect(folder *station.Folder, names []string, reason string) error {
	return p.collectAs(folder, names, station.Collecting{Reason: reason})
}

// collectAs collects and tells of every file.
func (p *program) collectAs(folder *station.Folder, names []string, how station.Collecting) error {
	bar := p.progress(len(names), "collecting")
	defer bar.Done()
	var worst error // of the files that were not collected
	how.Program, how.Now, how.Read = programName, p.now, bar.Step
	how.Tell = func(o station.Outcome) {
		if o.Err != nil {
			fmt.Fprintln(p.talk, "spatsheet:", inWords(o.Err))
			worst = worse(worst, o.Err)
			return
		}
		p.showCollected(o)
	}
	found, err := folder.Collect(names, how)
	switch {
	case err != nil:
		return err
	case worst != nil:
		return &station.Fault{Kind: kindOf(worst), Err: errors.New("not everything was collected; see above")}
	case found:
		return errFindings
	}
	return nil
}

// showCollected says what became of a file.
func (p *program) showCollected(o station.Outcome) {
	behind := ""
	if o.Revision < o.Latest {
		behind = fmt.Sprintf(" (revision %d is the latest; to go back to this file, save it anew)", o.Latest)
	}
	fmt.Fprintf(p.out, "%s: %s, revision %d%s, %s  (%s)\n", o.Batch, o.Stored, o.Revision, behind, countWords(o.Findings), o.Name)
}
