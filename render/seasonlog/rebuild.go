package seasonlog

// Rebuilt is what became of a workbook that was put into a new log.
type Rebuilt struct {
	Kept
	Batch    string
	Revision int   // of the batch, in the new log
	Err      error // why it was not put in
}

// noRecord stands where the reason was that a lost record held.
const noRecord = "the record of its collecting was lost; rescued"

// Rebuild puts every workbook that is whole into another log, in the order of collecting,
// and gives one answer for each.
//
// read makes a workbook of its bytes, as for Collect; file name, reason and time of
// collecting are carried over from the record. Where that is lost, the reason says so, the
// time is that of the workbook collected before, and of none the time that read gave.
// A workbook that cannot be read or stored keeps the others not out. Error: what ends the
// rebuild, such as ErrFull.
func (r *Remains) Rebuild(into *Log, read func(content []byte) (Workbook, error)) ([]Rebuilt, error) {
	var list []Rebuilt
	var before Revision
	for _, k := range r.Workbooks {
		one := Rebuilt{Kept: k}
		if k.Recorded {
			before = k.Record
		}
		w, err := r.reread(k, before, read)
		if err == nil {
			one.Batch = w.Batch
			_, one.Revision, err = into.Collect(w)
		}
		one.Err = err
		list = append(list, one)
		if EndsCollecting(err) {
			return list, err
		}
	}
	return list, nil
}

// reread makes a workbook to collect of one that was kept.
func (r *Remains) reread(k Kept, before Revision, read func([]byte) (Workbook, error)) (Workbook, error) {
	content, err := r.Content(k)
	if err != nil {
		return Workbook{}, err
	}
	w, err := read(content)
	if err != nil {
		return Workbook{}, err
	}
	w.Content, w.FileName, w.Reason = content, k.Record.FileName, k.Record.Reason
	if !k.Recorded {
		w.FileName, w.Reason = "", noRecord
	}
	if !before.CollectedAt.IsZero() {
		w.CollectedAt = before.CollectedAt
	}
	return w, nil
}
