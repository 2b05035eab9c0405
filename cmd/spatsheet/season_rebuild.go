package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"spatsheet/cmd/station"
	"spatsheet/render/seasonlog"
)

// rebuildSeason makes a new season log of the workbooks stored in the old one, as far as
// they are whole, and compares the two. The old log is only read from.
func (p *program) rebuildSeason(folder *station.Folder, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return inputFault(fmt.Errorf("%s is there already; a season log is never overwritten: name a new file", to))
	}
	path := folder.File(station.LogFile)
	remains, err := seasonlog.Rescue(path)
	if err != nil {
		return folder.NoLog(err)
	}
	defer remains.Close() // only read from
	unfinished := to + ".unfinished"
	if err := seasonlog.Create(unfinished); err != nil {
		if errors.Is(err, seasonlog.ErrExists) {
			err = fmt.Errorf("%s is there already: a rebuild was cut off; delete it and try again", unfinished)
		}
		return logFault(err)
	}
	rebuilt, now, err := p.rebuildInto(folder, unfinished, remains)
	if err == nil {
		err = putNew(unfinished, to)
	}
	if err != nil {
		return logFault(errors.Join(err, os.Remove(unfinished)))
	}
	fmt.Fprintf(p.out, "made %s of %s\n", to, path)
	return p.showRebuilt(remains, rebuilt, now, path)
}

// rebuildInto fills the new log, verifies it and gives its history.
func (p *program) rebuildInto(folder *station.Folder, name string, remains *seasonlog.Remains) (rebuilt []seasonlog.Rebuilt, now []seasonlog.Revision, err error) {
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
		return r.Workbook(p.now(), programName, ""), nil
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
	now, err = log.History()
	return rebuilt, now, err
}

// putNew gives a file its name unless something stands there by now.
func putNew(from, to string) error {
	err := os.Link(from, to) // refuses to overwrite; not every file system can
	if err == nil {
		return os.Remove(from)
	}
	if _, there := os.Lstat(to); there == nil {
		return fmt.Errorf("%s is there already; a season log is never overwritten: name a new file", to)
	}
	return os.Rename(from, to)
}

// likeness counts what is the same in two logs.
type likeness struct {
	workbooks, numbers, records, readings, findings int
	differ, notes                                   []string
}

// compareLogs holds the new log against what is known of the old one.
func compareLogs(rebuilt []seasonlog.Rebuilt, now []seasonlog.Revision) likeness {
	byWorkbook := map[string]seasonlog.Revision{}
	for _, r := range now {
		byWorkbook[r.Workbook] = r
	}
	var like likeness
	for _, one := range rebuilt {
		r, there := byWorkbook[one.Workbook]
		if one.Err != nil || !there {
			like.differ = append(like.differ, fmt.Sprintf("%s: not in the new log: %v", one.Place(), one.Err))
			continue
		}
		like.workbooks++
		if !one.Recorded {
			like.differ = append(like.differ, fmt.Sprintf("%s: it is batch %s revision %d; its file name, reason and time of collecting are lost", one.Place(), r.Batch, r.Number))
			continue
		}
		like.take(one.Record, r)
	}
	return like
}

// take compares a revision that is in both logs.
func (like *likeness) take(was, now seasonlog.Revision) {
	place := fmt.Sprintf("batch %s revision %d", was.Batch, was.Number)
	if was.Batch == now.Batch && was.Number == now.Number {
		like.numbers++
	} else {
		like.differ = append(like.differ, fmt.Sprintf("%s is batch %s revision %d in the new log: an older one is lost", place, now.Batch, now.Number))
	}
	if was.FileName == now.FileName && was.Reason == now.Reason && was.CollectedAt.Equal(now.CollectedAt) {
		like.records++
	} else {
		like.differ = append(like.differ, place+": file name, reason or time of collecting is another")
	}
	by := fmt.Sprintf("(read by %s, now by %s)", was.Program, now.Program)
	switch {
	case was.ReadingsDigest != now.ReadingsDigest && was.Program == now.Program:
		like.differ = append(like.differ, place+": the old log held other readings than its workbook gives; the new one has those of the workbook")
	case was.ReadingsDigest != now.ReadingsDigest:
		like.notes = append(like.notes, place+": the readings are understood otherwise "+by)
	default:
		like.readings++
	}
	if was.FindingsDigest == now.FindingsDigest {
		like.findings++
	} else {
		like.notes = append(like.notes, place+": other findings "+by)
	}
}

func (p *program) showRebuilt(remains *seasonlog.Remains, rebuilt []seasonlog.Rebuilt, now []seasonlog.Revision, old string) error {
	like := compareLogs(rebuilt, now)
	for _, row := range []struct {
		what string
		same int
	}{
		{"workbooks, byte for byte", like.workbooks}, {"batch and revision number", like.numbers},
		{"file name, reason, time of collecting", like.records}, {"readings", like.readings}, {"findings", like.findings},
	} {
		fmt.Fprintf(p.out, "  the same: %-38s %d of %d\n", row.what, row.same, len(rebuilt))
	}
	fmt.Fprintf(p.out, "  %s in the new log\n", counted(batchesIn(now), "batch", "batches"))
	for _, n := range like.notes {
		fmt.Fprintf(p.out, "note    %s\n", n)
	}
	for _, d := range like.differ {
		fmt.Fprintf(p.out, "differs %s\n", d)
	}
	for _, f := range remains.Lost {
		fmt.Fprintf(p.out, "lost    %s: %s\n        → %s\n", f.Place, f.Says, f.Remedy)
	}
	if missing := missingIn(remains, rebuilt); len(missing) > 0 {
		fmt.Fprintf(p.out, "missing in the new log: %s; keep %s\n", strings.Join(missing, ", "), old)
	} else {
		fmt.Fprintf(p.out, "to use the new log, move %s away and give the new one its name\n", old)
	}
	if len(like.differ)+len(remains.Lost) > 0 {
		return logFault(errors.New("the new log is sound, but not everything is the same; see above"))
	}
	return nil
}

// missingIn names the workbooks of the old log that are not in the new one.
func missingIn(remains *seasonlog.Remains, rebuilt []seasonlog.Rebuilt) []string {
	var list []string
	for _, l := range remains.Lost {
		switch {
		case l.Collected == 0:
			list = append(list, "perhaps what was collected last")
		case l.Batch == "":
			list = append(list, l.Place)
		default:
			list = append(list, fmt.Sprintf("batch %s revision %d", l.Batch, l.Number))
		}
	}
	for _, one := range rebuilt {
		if one.Err != nil {
			list = append(list, one.Place())
		}
	}
	return list
}

func batchesIn(list []seasonlog.Revision) int {
	codes := map[string]bool{}
	for _, r := range list {
		codes[r.Batch] = true
	}
	return len(codes)
}
