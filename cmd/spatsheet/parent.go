package main

import (
	"errors"
	"fmt"
	"math"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/quantity"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/render/seasonlog"
)

// takeParents fills settings from what collected batches hand over, and records which
// revision of which batch gave what: the link that lineage goes by.
func (p *program) takeParents(d *draft, folder string, protocol *protocols.Protocol, batches []string) (err error) {
	log, err := openLog(folder)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, log.Close()) }()
	given := map[string]string{} // setting by the batch that gave it
	for _, code := range batches {
		batch, err := latest(log, code)
		if err != nil {
			return err
		}
		left := season.HandsOver(batch)
		parent := calc.Parent{Batch: code, Revision: batch.Revision, Gave: map[string]string{}}
		for i := range protocol.Settings {
			s := &protocol.Settings[i]
			if _, set := d.settings[s.ID]; s.Handed == "" || (set && given[s.ID] == "") {
				continue // not handed over, or given on the command line
			}
			value, ok, err := handedOver(left, s)
			if err != nil {
				return inputFault(fmt.Errorf("parent %s: %s: %w", code, s.Handed, err))
			}
			if !ok {
				continue
			}
			if other := given[s.ID]; other != "" {
				return usageFault("both %s and %s hand over %s; say which counts with --set %s=...", other, code, s.Handed, s.ID)
			}
			given[s.ID], d.settings[s.ID], parent.Gave[s.ID] = code, value.String(), s.Handed
			fmt.Fprintf(p.out, "from %s: %s %s\n", code, s.ID, value.Format(0))
		}
		if n := check.Levels(batch.Findings)[protocols.Error]; n > 0 {
			fmt.Fprintf(p.talk, "spatsheet: %s has %s; what it hands over may be wrong: spatsheet check tells\n", code, counted(n, "error", "errors"))
		}
		d.parents = append(d.parents, parent)
	}
	return nil
}

func latest(log *seasonlog.Log, code string) (season.Batch, error) {
	revisions, err := log.Revisions(code)
	if errors.Is(err, seasonlog.ErrUnknown) {
		return season.Batch{}, logFault(fmt.Errorf("parent %s is not collected%s", code, meantOr(code, collectedCodes(log), "collect its filled workbook first: spatsheet collect")))
	}
	if err != nil {
		return season.Batch{}, logFault(fmt.Errorf("parent %s: %w", code, err))
	}
	batches, err := rebuildAll(log, revisions[len(revisions)-1:], season.Batch.Ready)
	if err != nil {
		return season.Batch{}, logFault(fmt.Errorf("parent %s: %w", code, err))
	}
	return batches[0], nil
}

func collectedCodes(log *seasonlog.Log) []string {
	revisions, _ := log.Batches() // only to propose one
	var codes []string
	for _, r := range revisions {
		codes = append(codes, r.Batch)
	}
	return codes
}

// handedOver finds what a batch hands over for a setting; ok is false when its protocol
// hands nothing of that name over, or a reading it needs is not there.
func handedOver(left []season.HandedOver, s *protocols.Setting) (value quantity.Quantity, ok bool, err error) {
	for _, h := range left {
		if h.ID != s.Handed {
			continue
		}
		if h.Err != nil || !h.Has {
			return value, false, h.Err
		}
		unit, err := quantity.ParseUnit(h.Unit)
		if err != nil {
			return value, false, err
		}
		q, err := quantity.New(h.Number, unit)
		if err != nil {
			return value, false, err
		}
		if q, err = q.In(s.Unit); err != nil {
			return value, false, err
		}
		if s.Whole {
			q, err = quantity.New(math.Floor(q.Value()+1e-9), s.Unit)
		}
		return q, err == nil, err
	}
	return value, false, nil
}
