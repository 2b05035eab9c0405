package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

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
		UsageText: "spatsheet collect [--folder <folder>] [--reason <why>] [<workbook or folder>...]",
		Description: `Stores each workbook whole, with its readings and findings. The same file again
changes nothing; a corrected file becomes a new revision and needs a reason. Workbooks
with findings are collected too, and told; one with nothing filled in is not. Without a name, all in filled/.

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
	log, err := openLog(folder)
	if err != nil {
		return err
	}
	c := collecting{program: p, log: log, reason: reason}
	if c.known, err = log.KnownFiles(); err == nil {
		boundGarbage(passing)
		bar := p.progress(len(names), "collecting")
		err = inOrder(names, c.bring, func(_ string, b brought) error { c.take(b); bar.Step(); return nil })
		c.store()
		bar.Done()
	}
	if err := errors.Join(err, log.Close()); err != nil {
		return logFault(err)
	}
	if c.worst != nil && !errors.Is(c.worst, errFindings) {
		return fault{kindOf(c.worst), fmt.Errorf("not everything was collected; see above")}
	}
	return c.worst
}

// collecting is one run of collect.
type collecting struct {
	*program
	log     *seasonlog.Log
	reason  string
	known   map[string]seasonlog.Known // files in the log, by digest
	waiting []brought
	stopped error // the trouble after which nothing more is stored
	worst   error
}

// brought is a file on its way into the log: known there, read, or not readable.
type brought struct {
	name  string
	known *seasonlog.Known
	*returned
	err error
}

// bring reads a file; one that the log knows by its bytes is not taken apart again.
func (c *collecting) bring(name string) brought {
	content, err := os.ReadFile(name)
	if err != nil {
		return brought{name: name, err: inputFault(readFault(name, err))}
	}
	if k, ok := c.known[seasonlog.DigestOf(content)]; ok {
		return brought{name: name, known: &k}
	}
	r, err := understand(name, content)
	if err == nil && r.untouched() {
		err = inputFault(fmt.Errorf("%s: nothing is filled in, it is the blank workbook of %s; collect the one that was typed into, saved into %s/", name, r.sheet.Plan.Batch, filledFolder))
	}
	if err != nil {
		return brought{name: name, err: err}
	}
	return brought{name: name, returned: r}
}

// storedAtOnce is how many workbooks go into the log together: enough to make syncing the
// disk cheap, few enough to lose little work when the program is stopped.
const storedAtOnce = 16

func (c *collecting) take(b brought) {
	if c.waiting = append(c.waiting, b); len(c.waiting) == storedAtOnce {
		c.store()
	}
}

// store puts what is waiting into the log and tells of each, in order.
func (c *collecting) store() {
	var list []seasonlog.Workbook
	for _, b := range c.waiting {
		if b.returned != nil {
			list = append(list, c.workbook(b.returned))
		}
	}
	outcomes := c.collectAll(list)
	for _, b := range c.waiting {
		var stored seasonlog.Collected
		if b.returned != nil {
			stored, outcomes = outcomes[0], outcomes[1:]
		}
		c.tell(b, stored)
	}
	c.waiting = c.waiting[:0]
}

// collectAll stores workbooks; after a full or failing disk none that comes later, even if
// there were room for it: the order of collecting is that of the files.
func (c *collecting) collectAll(list []seasonlog.Workbook) []seasonlog.Collected {
	if c.stopped != nil {
		return slices.Repeat([]seasonlog.Collected{{Err: c.stopped}}, len(list))
	}
	if len(list) == 0 {
		return nil
	}
	outcomes := c.log.CollectAll(list)
	for _, o := range outcomes {
		if errors.Is(o.Err, seasonlog.ErrFull) || errors.Is(o.Err, seasonlog.ErrDisk) {
			c.stopped = o.Err
		}
	}
	return outcomes
}

func (c *collecting) workbook(r *returned) seasonlog.Workbook {
	sheet := r.sheet
	return seasonlog.Workbook{
		Content: r.content, FileName: filepath.Base(r.name), Batch: sheet.Plan.Batch,
		Protocol: sheet.Protocol.Ref(), ProtocolDigest: sheet.Protocol.Digest, Digest: sheet.Digest,
		ProtocolText: sheet.Protocol.Text, PlanText: sheet.Plan.Text, SiteText: sheet.Site.Text,
		Stage: sheet.Protocol.Stage, Species: sheet.Plan.Species, Start: sheet.Plan.Start,
		Readings: r.result.Readings, Findings: r.result.Findings,
		CollectedAt: c.now(), Program: programName, Reason: c.reason,
	}
}

// tell says what became of a file.
func (c *collecting) tell(b brought, stored seasonlog.Collected) {
	err := b.err
	if stored.Err != nil {
		err = logFault(fmt.Errorf("%s: %w", b.name, stored.Err))
	}
	if err != nil {
		fmt.Fprintln(c.talk, "spatsheet:", err)
		c.worst = worse(c.worst, err)
		return
	}
	k := seasonlog.Known{Latest: stored.Revision, Revision: stored.Revision}
	if b.known != nil {
		k, stored.Outcome = *b.known, seasonlog.Unchanged
	} else if k.Batch, k.Findings = b.sheet.Plan.Batch, check.Levels(b.result.Findings); stored.Outcome == seasonlog.Unchanged {
		k.Latest = c.latest(k)
	}
	behind := ""
	if k.Revision < k.Latest {
		behind = fmt.Sprintf(" (revision %d is the latest; to go back to this file, save it anew)", k.Latest)
	}
	fmt.Fprintf(c.out, "%s: %s, revision %d%s, %s  (%s)\n", k.Batch, stored.Outcome, k.Revision, behind, countWords(k.Findings), b.name)
	if k.Findings[protocols.Error] > 0 {
		c.worst = worse(c.worst, errFindings)
	}
}

// latest asks for the last revision of a batch, when its file came into the log during
// this run.
func (c *collecting) latest(k seasonlog.Known) int {
	revisions, err := c.log.Revisions(k.Batch)
	if err != nil {
		c.worst = worse(c.worst, logFault(err))
		fmt.Fprintln(c.talk, "spatsheet:", err)
	}
	return max(k.Revision, len(revisions))
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
