package station

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Bounds on what is held until every file is read: this many new workbooks, or bytes of
// them. A year of a small station is below it; beyond, the run stores as it reads, so that
// memory does not grow with the number of files. Site choice.
const (
	heldFiles = 200
	heldBytes = 32 << 20
)

// held is what waits to be stored. Nothing is stored before every file is read, as long as
// that fits the bounds: only then is it known whether two new files are of one batch. Of
// these none is taken, since the first to be stored becomes revision 1, and the order of
// their names ("KS-26-07-again.xlsx" comes before "KS-26-07.xlsx") says nothing about which
// was typed first, nor do the times of copied files. Once past the bounds, a second file is
// refused when it comes, and told which one is stored.
type held struct {
	waiting []brought
	fresh   int                // new workbooks in it
	bytes   int                // of these
	past    bool               // the bounds were reached once
	came    map[string]arrival // new workbooks handed to the log, or refused, by batch
	revised map[string]bool    // batches in the log that this run's reason was given for
}

// arrival is the first new file of a batch in this run.
type arrival struct {
	name, digest string
	refused      bool
}

func (c *collecting) take(b brought) {
	c.waiting = append(c.waiting, b)
	if b.fresh != nil {
		c.fresh++
		c.bytes += len(b.fresh.Content)
	}
	full := c.fresh >= cmp.Or(c.how.Held, heldFiles) || c.bytes >= heldBytes
	if c.past {
		full = c.fresh >= storedAtOnce
	}
	if full {
		c.store()
		c.past = true
	}
}

// refuseUnsure takes out of what is waiting the new files that somebody has to name.
func (c *collecting) refuseUnsure() {
	files := map[string][]*brought{}
	for i := range c.waiting {
		if b := &c.waiting[i]; b.fresh != nil {
			files[b.fresh.Batch] = append(files[b.fresh.Batch], b)
		}
	}
	for batch, list := range files {
		c.refuseTwins(batch, list)
	}
	c.refuseSharedReason(files)
}

// refuseTwins refuses new files of one batch whose bytes differ; list is not empty.
func (c *collecting) refuseTwins(batch string, list []*brought) {
	first, before := c.came[batch]
	if !before {
		first = arrival{name: list[0].name, digest: list[0].digest}
	}
	var others []*brought
	for _, b := range list {
		if b.digest != first.digest {
			others = append(others, b)
		}
	}
	stored := before && !first.refused
	first.refused = !stored && (first.refused || len(others) > 0)
	c.came[batch] = first
	for _, b := range list {
		other := first.name
		switch differs := slices.Contains(others, b); {
		case stored && differs:
			b.refuse(&Fault{Kind: ErrInput, Remedy: CollectApart, About: other,
				Err: fmt.Errorf("%s: %s came before it in this run, for batch %s", b.name, other, batch)})
		case first.refused:
			if !differs && len(others) > 0 {
				other = others[0].name
			}
			b.refuse(&Fault{Kind: ErrInput, Remedy: CollectFirst, Err: fmt.Errorf("%s: batch %s comes twice, and %s differs", b.name, batch, other)})
		}
	}
}

// refuseSharedReason refuses one reason for corrections of several batches, unless each
// workbook was named.
func (c *collecting) refuseSharedReason(files map[string][]*brought) {
	if c.how.Reason == "" || !c.how.Unnamed {
		return
	}
	if c.revised == nil {
		c.revised = map[string]bool{}
	}
	var corrections []*brought
	for batch, list := range files {
		for _, b := range list {
			if b.fresh != nil && c.batches[batch] {
				corrections = append(corrections, b)
				c.revised[batch] = true
			}
		}
	}
	if len(c.revised) < 2 {
		return
	}
	codes := strings.Join(slices.Sorted(maps.Keys(c.revised)), ", ")
	for _, b := range corrections {
		b.refuse(&Fault{Kind: ErrUse, Err: fmt.Errorf("%s: the reason would go with corrections of %s; name the workbook that it is for", b.name, codes)})
	}
}

// refuse keeps a file out of the log.
func (b *brought) refuse(err error) { b.fresh, b.err = nil, err }
