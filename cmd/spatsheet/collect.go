package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/check"
	"spatsheet/cmd/station"
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
			return p.collectAs(folderOf(c), names, collecting{reason: c.String("reason"), unnamed: !slices.Equal(names, arguments)})
		},
	}
}

// collect takes workbooks that were chosen one by one.
func (p *program) collect(folder *station.Folder, names []string, reason string) error {
	return p.collectAs(folder, names, collecting{reason: reason})
}

// collectAs takes every workbook it can; faults of some do not keep the others out.
func (p *program) collectAs(folder *station.Folder, names []string, c collecting) error {
	log, err := folder.OpenLog()
	if err != nil {
		return err
	}
	c.program, c.folder, c.log = p, folder, log
	if err = c.look(); err == nil {
		station.BoundGarbage()
		bar := p.progress(len(names), "collecting")
		err = station.InOrder(names, c.bring, func(_ string, b brought) error { c.take(b); bar.Step(); return nil })
		c.store()
		bar.Done()
	}
	if err := errors.Join(err, log.Close()); err != nil {
		return logFault(err)
	}
	if c.worst != nil {
		return &station.Fault{Kind: kindOf(c.worst), Err: errors.New("not everything was collected; see above")}
	}
	return c.found()
}

// collecting is one run of collect.
type collecting struct {
	*program
	folder  *station.Folder
	log     *seasonlog.Log
	reason  string                     // goes with corrections only
	unnamed bool                       // a folder was named, not each workbook
	known   map[string]seasonlog.Known // files in the log before this run, by digest
	batches map[string]bool            // those in the log before this run
	held                               // what waits to be stored
	met     map[string]seasonlog.Known // of each batch the newest revision that was told
	stopped error                      // the trouble after which nothing more is stored
	worst   error                      // of the files that were not collected
}

// look asks the log what is in it.
func (c *collecting) look() (err error) {
	c.batches, c.met, c.came = map[string]bool{}, map[string]seasonlog.Known{}, map[string]arrival{}
	c.known, err = c.log.KnownFiles()
	for _, k := range c.known {
		c.batches[k.Batch] = true
	}
	return err
}

// brought is a file on its way into the log: known there, new, or not to be collected.
type brought struct {
	name   string
	digest string // of its bytes
	known  *seasonlog.Known
	fresh  *seasonlog.Workbook
	err    error
}

// bring reads a file; one that the log knows by its bytes is not taken apart again.
func (c *collecting) bring(name string) brought {
	content, err := os.ReadFile(name)
	if err != nil {
		return brought{name: name, err: inputFault(station.ReadFault(name, err))}
	}
	digest := seasonlog.DigestOf(content)
	if k, ok := c.known[digest]; ok {
		return brought{name: name, digest: digest, known: &k}
	}
	r, err := c.folder.Understand(name, content)
	if err == nil && r.Untouched() {
		err = inputFault(fmt.Errorf("%s: nothing is filled in, it is the blank workbook of %s; collect the one that was typed into, saved into %s/", name, r.Sheet.Plan.Batch, station.FilledFolder))
	}
	if err != nil {
		return brought{name: name, err: err}
	}
	w := c.workbook(r)
	return brought{name: name, digest: digest, fresh: &w}
}

// storedAtOnce is how many workbooks go into the log together: enough to make syncing the
// disk cheap, few enough to lose little work when the program is stopped.
const storedAtOnce = 16

// store puts what is waiting into the log and tells of each, in order.
func (c *collecting) store() {
	c.refuseUnsure()
	for group := range slices.Chunk(c.waiting, storedAtOnce) {
		c.storeGroup(group)
	}
	c.waiting, c.fresh, c.bytes = nil, 0, 0
}

func (c *collecting) storeGroup(group []brought) {
	var list []seasonlog.Workbook
	for _, b := range group {
		if b.fresh != nil {
			b.fresh.CollectedAt = c.now() // here, so that the times have the order of storing
			list = append(list, *b.fresh)
		}
	}
	outcomes := c.collectAll(list)
	for _, b := range group {
		var stored seasonlog.Collected
		if b.fresh != nil {
			stored, outcomes = outcomes[0], outcomes[1:]
		}
		c.tell(b, stored)
	}
}

// collectAll stores workbooks; after trouble with the log none that comes later, even if
// it could be stored by then: the order of collecting is that of the files.
func (c *collecting) collectAll(list []seasonlog.Workbook) []seasonlog.Collected {
	if c.stopped != nil {
		return slices.Repeat([]seasonlog.Collected{{Err: c.stopped}}, len(list))
	}
	if len(list) == 0 {
		return nil
	}
	outcomes := c.log.CollectAll(list)
	for _, o := range outcomes {
		if seasonlog.EndsCollecting(o.Err) {
			c.stopped = o.Err
		}
	}
	return outcomes
}

// workbook is what the log takes of a filled workbook. The reason is that of a correction:
// the first workbook of a batch has none.
func (c *collecting) workbook(r *station.Returned) seasonlog.Workbook {
	sheet, reason := r.Sheet, ""
	if c.batches[sheet.Plan.Batch] {
		reason = c.reason
	}
	return seasonlog.Workbook{
		Content: r.Content, FileName: filepath.Base(r.Name), Batch: sheet.Plan.Batch,
		Protocol: sheet.Protocol.Ref(), ProtocolDigest: sheet.Protocol.Digest, Digest: sheet.Digest,
		ProtocolText: sheet.Protocol.Text, PlanText: sheet.Plan.Text, SiteText: sheet.Site.Text,
		Stage: sheet.Protocol.Stage, Species: sheet.Plan.Species, Start: sheet.Plan.Start,
		Readings: r.Result.Readings, Findings: r.Result.Findings,
		CollectedAt: c.now(), Program: programName, Reason: reason,
	}
}

// tell says what became of a file.
func (c *collecting) tell(b brought, stored seasonlog.Collected) {
	err := b.err
	if stored.Err != nil {
		err = logFault(fmt.Errorf("%s: %w", b.name, stored.Err))
	}
	if err != nil {
		fmt.Fprintln(c.talk, "spatsheet:", inWords(err))
		c.worst = worse(c.worst, err)
		return
	}
	k := seasonlog.Known{Latest: stored.Revision, Revision: stored.Revision}
	if b.known != nil {
		k, stored.Outcome = *b.known, seasonlog.Unchanged
	} else if k.Batch, k.Findings = b.fresh.Batch, check.Levels(b.fresh.Findings); stored.Outcome == seasonlog.Unchanged {
		k.Latest = c.latest(k)
	}
	k.Latest = max(k.Latest, c.met[k.Batch].Revision)
	if k.Revision >= c.met[k.Batch].Revision {
		c.met[k.Batch] = k
	}
	behind := ""
	if k.Revision < k.Latest {
		behind = fmt.Sprintf(" (revision %d is the latest; to go back to this file, save it anew)", k.Latest)
	}
	fmt.Fprintf(c.out, "%s: %s, revision %d%s, %s  (%s)\n", k.Batch, stored.Outcome, k.Revision, behind, countWords(k.Findings), b.name)
}

// found says whether a batch has findings at error level in its latest revision; those of
// one that was corrected are history.
func (c *collecting) found() error {
	for _, k := range c.met {
		if k.Revision == k.Latest && k.Findings[protocols.Error] > 0 {
			return errFindings
		}
	}
	return nil
}

// latest asks for the last revision of a batch, when its file came into the log during
// this run.
func (c *collecting) latest(k seasonlog.Known) int {
	revisions, err := c.log.Revisions(k.Batch)
	if err != nil {
		c.worst = worse(c.worst, logFault(err))
		fmt.Fprintln(c.talk, "spatsheet:", inWords(err))
	}
	return max(k.Revision, len(revisions))
}
