package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/report"
	"spatsheet/render/seasonlog"
)

// writeReport writes report.pdf and report.html beside the season's tables.
func (p *program) writeReport(r season.Report, out string, replace bool, stamp time.Time) error {
	paper, page := filepath.Join(out, "report.pdf"), filepath.Join(out, "report.html")
	if err := writeWhole(paper, replace, func(f *os.File) error { return report.WritePDF(f, r, stamp) }); err != nil {
		return err
	}
	if err := writeWhole(page, replace, func(f *os.File) error { return report.WriteHTML(f, r, stamp) }); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "wrote %s and %s\n", paper, page)
	return nil
}

// corrections lists every revision after the first, in the order of collecting, with what
// it changed.
func corrections(log *seasonlog.Log, s season.Season) ([]season.Correction, error) {
	type dated struct {
		season.Correction
		collected int
	}
	var list []dated
	for _, b := range s.Batches {
		batch := b.Sheet.Plan.Batch
		revisions, err := log.Revisions(batch)
		if err != nil {
			return nil, err
		}
		for i := 1; i < len(revisions); i++ {
			changes, err := changed(log, batch, revisions[i-1].Number, revisions[i].Number)
			if err != nil {
				return nil, err
			}
			r := revisions[i]
			list = append(list, dated{season.Correction{Batch: batch, Number: r.Number, At: r.CollectedAt, Reason: r.Reason, Changes: changes}, r.Collected})
		}
	}
	slices.SortFunc(list, func(a, b dated) int { return a.collected - b.collected })
	var out []season.Correction
	for _, d := range list {
		out = append(out, d.Correction)
	}
	return out, nil
}

func changed(log *seasonlog.Log, batch string, was, now int) ([]season.Change, error) {
	before, err := log.Readings(batch, was)
	if err != nil {
		return nil, err
	}
	after, err := log.Readings(batch, now)
	if err != nil {
		return nil, err
	}
	return season.Changes(before, after), nil
}
