package station

import (
	"errors"
	"fmt"
	"runtime"
	"slices"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/seasonlog"
)

// Collected rebuilds every batch from the texts and readings in the log. Of each is kept
// what keep leaves.
func (f *Folder) Collected(log *seasonlog.Log, keep func(season.Batch) season.Batch) ([]season.Batch, error) {
	revisions, err := log.Batches()
	if err != nil {
		return nil, err
	}
	return f.RebuildAll(log, revisions, keep)
}

// AllCollected is collected for the log of a season folder.
func (f *Folder) AllCollected(keep func(season.Batch) season.Batch) (batches []season.Batch, err error) {
	log, err := f.OpenLog()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, log.Close()) }()
	if batches, err = f.Collected(log, keep); err != nil {
		return nil, ofLog(err)
	}
	return batches, nil
}

// LastCollected is the time of the latest collecting of some revisions.
func LastCollected(revisions []seasonlog.Revision) (last time.Time) {
	for _, r := range revisions {
		if r.CollectedAt.After(last) {
			last = r.CollectedAt
		}
	}
	return last
}

// readAtOnce is how many revisions are read from the log together.
const readAtOnce = 32

// RebuildAll rebuilds batches on all cores, each with the log opened for itself.
func (f *Folder) RebuildAll(log *seasonlog.Log, revisions []seasonlog.Revision, keep func(season.Batch) season.Batch) ([]season.Batch, error) {
	logs := make(chan *seasonlog.Log, runtime.GOMAXPROCS(0))
	logs <- log
	for len(logs) < cap(logs) && len(logs)*readAtOnce < len(revisions) {
		other, err := seasonlog.Open(log.Path())
		if err != nil {
			return nil, err
		}
		defer other.Close() // only read from
		logs <- other
	}
	type rebuilt struct {
		batches []season.Batch
		err     error
	}
	work := func(some []seasonlog.Revision) rebuilt {
		own := <-logs
		stored, err := own.StoredOf(some)
		logs <- own
		if err != nil {
			return rebuilt{err: err}
		}
		var r rebuilt
		for _, s := range stored {
			b, err := f.rebuild(s)
			if err != nil {
				return rebuilt{err: fmt.Errorf("batch %s, revision %d: %w", s.Revision.Batch, s.Revision.Number, err)}
			}
			r.batches = append(r.batches, keep(b))
		}
		return r
	}
	var batches []season.Batch
	err := InOrder(slices.Collect(slices.Chunk(revisions, readAtOnce)), work, func(_ []seasonlog.Revision, r rebuilt) error {
		batches = append(batches, r.batches...)
		return r.err
	})
	return batches, err
}

func (f *Folder) rebuild(s seasonlog.Stored) (season.Batch, error) {
	protocol, err := f.loadOnce(s.Revision.Protocol+" in the log", s.ProtocolText)
	if err != nil {
		return season.Batch{}, err
	}
	sheet, err := f.rescale(protocol, s.PlanText, s.SiteText)
	if err != nil {
		return season.Batch{}, err
	}
	return season.Batch{Sheet: sheet, Readings: s.Readings, Findings: s.Findings, Revision: s.Revision.Number}, nil
}
