package station

import (
	"errors"
	"fmt"
	"os"
	"time"

	"spatsheet/render/seasonlog"
)

// RebuildInto fills the new log, verifies it and gives its history.
func RebuildInto(folder *Folder, name string, remains *seasonlog.Remains, now func() time.Time,
	program string) (rebuilt []seasonlog.Rebuilt, history []seasonlog.Revision, err error) {
	log, err := seasonlog.Open(name)
	if err != nil {
		return nil, nil, err
	}
	defer func() { err = errors.Join(err, log.Close()) }()
	rebuilt, err = remains.Rebuild(log, func(content []byte) (seasonlog.Workbook, error) {
		r, err := folder.Understand("a stored workbook", content)
		if err != nil {
			return seasonlog.Workbook{}, err
		}
		return r.Workbook(now(), program, ""), nil
	})
	if err != nil {
		return nil, nil, err
	}
	faults, err := log.Verify()
	if err != nil {
		return nil, nil, err
	}
	if len(faults) > 0 {
		return nil, nil, fmt.Errorf("the new log is not sound: %s", faults[0])
	}
	history, err = log.History()
	return rebuilt, history, err
}

// PutNew gives a file its name unless something stands there by now.
func PutNew(from, to string) error {
	err := os.Link(from, to) // refuses to overwrite; not every file system can
	if err == nil {
		return os.Remove(from)
	}
	if _, there := os.Lstat(to); there == nil {
		return fmt.Errorf("%s is there already; a season log is never overwritten: name a new file", to)
	}
	return os.Rename(from, to)
}

// Likeness counts what is the same in two logs.
type Likeness struct {
	Workbooks, Numbers, Records, Readings, Findings int
	Differ, Notes                                   []string
}

// CompareLogs holds the new log against what is known of the old one.
func CompareLogs(rebuilt []seasonlog.Rebuilt, now []seasonlog.Revision) Likeness {
	byWorkbook := map[string]seasonlog.Revision{}
	for _, r := range now {
		byWorkbook[r.Workbook] = r
	}
	var like Likeness
	for _, one := range rebuilt {
		r, there := byWorkbook[one.Workbook]
		if one.Err != nil || !there {
			like.Differ = append(like.Differ, fmt.Sprintf("%s: not in the new log: %v", one.Place(), one.Err))
			continue
		}
		like.Workbooks++
		if !one.Recorded {
			like.Differ = append(like.Differ, fmt.Sprintf("%s: it is batch %s revision %d; its file name, reason and "+
				"time of collecting are lost", one.Place(), r.Batch, r.Number))
			continue
		}
		like.take(one.Record, r)
	}
	return like
}

// take compares a revision that is in both logs.
func (like *Likeness) take(was, now seasonlog.Revision) {
	place := fmt.Sprintf("batch %s revision %d", was.Batch, was.Number)
	if was.Batch == now.Batch && was.Number == now.Number {
		like.Numbers++
	} else {
		like.Differ = append(like.Differ, fmt.Sprintf("%s is batch %s revision %d in the new log: an older one is lost", place, now.Batch, now.Number))
	}
	if was.FileName == now.FileName && was.Reason == now.Reason && was.CollectedAt.Equal(now.CollectedAt) {
		like.Records++
	} else {
		like.Differ = append(like.Differ, place+": file name, reason or time of collecting is another")
	}
	by := fmt.Sprintf("(read by %s, now by %s)", was.Program, now.Program)
	switch {
	case was.ReadingsDigest != now.ReadingsDigest && was.Program == now.Program:
		like.Differ = append(like.Differ, place+": the old log held other readings than its workbook gives; the new one has those of the workbook")
	case was.ReadingsDigest != now.ReadingsDigest:
		like.Notes = append(like.Notes, place+": the readings are understood otherwise "+by)
	default:
		like.Readings++
	}
	if was.FindingsDigest == now.FindingsDigest {
		like.Findings++
	} else {
		like.Notes = append(like.Notes, place+": other findings "+by)
	}
}
