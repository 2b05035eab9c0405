package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/render/seasonlog"
)

// programName stands in the log beside what this program read.
const programName = "spatsheet 0.1.0"

func (p *program) collectCommand() *cli.Command {
	return &cli.Command{
		Name:      "collect",
		Usage:     "collect filled workbooks into the season log",
		UsageText: "spatsheet collect [--reason <why>] <workbook or folder>...",
		Description: `Stores each workbook whole, with its readings and findings. The same file again
changes nothing; a corrected file becomes a new revision and needs a reason. Workbooks
with findings are collected too, and told.

   # everything in filled/
   spatsheet collect filled

   # a correction
   spatsheet collect filled/KS-26-01-corrected.xlsx --reason "count of window 4 misread"`,
		Flags: []cli.Flag{folderFlag(), &cli.StringFlag{Name: "reason", Usage: "`WHY` a batch is collected again"}},
		Action: func(c *cli.Context) error {
			arguments := c.Args().Slice()
			if len(arguments) == 0 {
				arguments = []string{filepath.Join(c.String("folder"), filledFolder)}
			}
			names, err := workbooksIn(arguments)
			if err != nil {
				return err
			}
			return p.collect(c.String("folder"), names, c.String("reason"))
		},
	}
}

// collect takes every workbook it can; faults of some do not keep the others out.
func (p *program) collect(folder string, names []string, reason string) error {
	log, err := seasonlog.Open(filepath.Join(folder, logFile))
	if err != nil {
		return logFault(err)
	}
	var worst error
	for _, name := range names {
		r, err := readBack(name)
		if err == nil {
			err = p.collectOne(log, r, reason)
		}
		if err != nil && !errors.Is(err, errFindings) {
			fmt.Fprintln(p.talk, "spatsheet:", err)
		}
		worst = worse(worst, err)
	}
	if err := log.Close(); err != nil {
		return logFault(err)
	}
	if worst != nil && !errors.Is(worst, errFindings) {
		return fault{kindOf(worst), fmt.Errorf("not everything was collected; see above")}
	}
	return worst
}

func (p *program) collectOne(log *seasonlog.Log, r *returned, reason string) error {
	sheet := r.sheet
	outcome, revision, err := log.Collect(seasonlog.Workbook{
		Content: r.content, FileName: filepath.Base(r.name), Batch: sheet.Plan.Batch,
		Protocol: sheet.Protocol.Ref(), ProtocolDigest: sheet.Protocol.Digest, Digest: sheet.Digest,
		ProtocolText: sheet.Protocol.Text, PlanText: sheet.Plan.Text, SiteText: sheet.Site.Text,
		Stage: sheet.Protocol.Stage, Species: sheet.Plan.Species, Start: sheet.Plan.Start,
		Readings: r.result.Readings, Findings: r.result.Findings,
		CollectedAt: p.now(), Program: programName, Reason: reason,
	})
	if err != nil {
		return logFault(fmt.Errorf("%s: %w", r.name, err))
	}
	behind := ""
	if outcome == seasonlog.Unchanged { // what was stored just now is the latest
		latest, err := log.Revisions(sheet.Plan.Batch)
		if err != nil {
			return logFault(err)
		}
		if n := len(latest); revision < n {
			behind = fmt.Sprintf(" (revision %d is the latest; to go back to this file, save it anew)", n)
		}
	}
	fmt.Fprintf(p.out, "%s: %s, revision %d%s, %s  (%s)\n", sheet.Plan.Batch, outcome, revision, behind, countWords(check.Levels(r.result.Findings)), r.name)
	if r.result.Worst() == protocols.Error {
		return errFindings
	}
	return nil
}

// worse keeps the error with the higher exit code.
func worse(a, b error) error {
	if exitCode(b) > exitCode(a) {
		return b
	}
	return a
}

func kindOf(err error) error {
	for _, kind := range []error{errLog, errInput, errFindings} {
		if errors.Is(err, kind) {
			return kind
		}
	}
	return errUsage
}
