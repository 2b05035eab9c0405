package station

import (
	"spatsheet/calc/season"
	"spatsheet/render/seasonlog"
)

// Corrections lists every revision after the first, in the order of collecting, with what
// it changed.
func Corrections(log *seasonlog.Log, history []seasonlog.Revision) ([]season.Correction, error) {
	var out []season.Correction
	before := map[string]int{} // the revision of a batch before the one at hand
	for _, r := range history {
		was, corrected := before[r.Batch]
		before[r.Batch] = r.Number
		if !corrected {
			continue
		}
		changes, err := changed(log, r.Batch, was, r.Number)
		if err != nil {
			return nil, err
		}
		out = append(out, season.Correction{Batch: r.Batch, Number: r.Number, At: r.CollectedAt, Reason: r.Reason, Changes: changes})
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
