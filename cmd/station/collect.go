package station

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/render/seasonlog"
)

// Collecting says how workbooks are collected, and who hears of it.
type Collecting struct {
	Reason  string // goes with corrections only
	Unnamed bool   // a folder was named, not each workbook
	Held    int    // new workbooks held until every file is read; 0: heldFiles
	Program string // stands in the log beside what it read
	Now     func() time.Time
	Tell    func(Outcome) // of each file, in their order; and of trouble with one
	Read    func()        // after each file is read
}

// Outcome is what became of a file.
type Outcome struct {
	Name   string
	Err    error // why it was not collected; the rest is empty then
	Stored seasonlog.Outcome
	seasonlog.Known
}

// Collect takes every workbook it can into the season log; faults of some do not keep the
// others out. found is set where a batch has findings at error level in its latest revision.
// Error: trouble with the log as a whole.
func (f *Folder) Collect(names []string, how Collecting) (found bool, err error) {
	log, err := f.OpenLog()
	if err != nil {
		return false, err
	}
	c := collecting{folder: f, log: log, how: how}
	if err = c.look(); err == nil {
		BoundGarbage()
		err = InOrder(names, c.bring, func(_ string, b brought) error { c.take(b); how.Read(); return nil })
		c.store()
	}
	if err := errors.Join(err, log.Close()); err != nil {
		return false, ofLog(err)
	}
	return c.found(), nil
}

// collecting is one run of collect.
type collecting struct {
	how     Collecting
	folder  *Folder
	log     *seasonlog.Log
	known   map[string]seasonlog.Known // files in the log before this run, by digest
	batches map[string]bool            // those in the log before this run
	held                               // what waits to be stored
	met     map[string]seasonlog.Known // of each batch the newest revision that was told
	stopped error                      // the trouble after which nothing more is stored
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
		return brought{name: name, err: ofInput(ReadFault(name, err))}
	}
	digest := seasonlog.DigestOf(content)
	if k, ok := c.known[digest]; ok {
		return brought{name: name, digest: digest, known: &k}
	}
	r, err := c.folder.Understand(name, content)
	if err == nil && r.Untouched() {
		err = ofInput(fmt.Errorf("%s: nothing is filled in, it is the blank workbook of %s; collect the one that was "+
			"typed into, saved into %s/", name, r.Sheet.Plan.Batch, FilledFolder))
	}
	if err != nil {
		return brought{name: name, err: err}
	}
	reason := ""
	if c.batches[r.Sheet.Plan.Batch] {
		reason = c.how.Reason
	}
	w := r.Workbook(c.how.Now(), c.how.Program, reason)
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
			b.fresh.CollectedAt = c.how.Now() // here, so that the times have the order of storing
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

// Workbook is what the log takes of a filled workbook. The reason is that of a correction:
// the first workbook of a batch has none.
func (r *Returned) Workbook(collectedAt time.Time, program, reason string) seasonlog.Workbook {
	sheet := r.Sheet
	return seasonlog.Workbook{
		Content: r.Content, FileName: filepath.Base(r.Name), Batch: sheet.Plan.Batch,
		Protocol: sheet.Protocol.Ref(), ProtocolDigest: sheet.Protocol.Digest, Digest: sheet.Digest,
		ProtocolText: sheet.Protocol.Text, PlanText: sheet.Plan.Text, SiteText: sheet.Site.Text,
		Stage: sheet.Protocol.Stage, Species: sheet.Plan.Species, Start: sheet.Plan.Start,
		Readings: r.Result.Readings, Findings: r.Result.Findings,
		CollectedAt: collectedAt, Program: program, Reason: reason,
	}
}

// tell says what became of a file.
func (c *collecting) tell(b brought, stored seasonlog.Collected) {
	err := b.err
	if stored.Err != nil {
		err = ofLog(fmt.Errorf("%s: %w", b.name, stored.Err))
	}
	if err != nil {
		c.how.Tell(Outcome{Name: b.name, Err: err})
		return
	}
	k := seasonlog.Known{Latest: stored.Revision, Revision: stored.Revision}
	if b.known != nil {
		k, stored.Outcome = *b.known, seasonlog.Unchanged
	} else if k.Batch, k.Findings = b.fresh.Batch, check.Levels(b.fresh.Findings); stored.Outcome == seasonlog.Unchanged {
		k.Latest = c.latest(b.name, k)
	}
	k.Latest = max(k.Latest, c.met[k.Batch].Revision)
	if k.Revision >= c.met[k.Batch].Revision {
		c.met[k.Batch] = k
	}
	c.how.Tell(Outcome{Name: b.name, Stored: stored.Outcome, Known: k})
}

// found says whether a batch has findings at error level in its latest revision; those of
// one that was corrected are history.
func (c *collecting) found() bool {
	for _, k := range c.met {
		if k.Revision == k.Latest && k.Findings[protocols.Error] > 0 {
			return true
		}
	}
	return false
}

// latest asks for the last revision of a batch, when its file came into the log during
// this run.
func (c *collecting) latest(name string, k seasonlog.Known) int {
	revisions, err := c.log.Revisions(k.Batch)
	if err != nil {
		c.how.Tell(Outcome{Name: name, Err: ofLog(err)})
	}
	return max(k.Revision, len(revisions))
}
