package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"spatsheet/cmd/station"
	"spatsheet/protocols/quantity"
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
	rebuilt, now, err := station.RebuildInto(folder, unfinished, remains, p.now, programName)
	if err == nil {
		err = station.PutNew(unfinished, to)
	}
	if err != nil {
		return logFault(errors.Join(err, os.Remove(unfinished)))
	}
	fmt.Fprintf(p.out, "made %s of %s\n", to, path)
	return p.showRebuilt(remains, rebuilt, now, path)
}

func (p *program) showRebuilt(remains *seasonlog.Remains, rebuilt []seasonlog.Rebuilt, now []seasonlog.Revision, old string) error {
	like := station.CompareLogs(rebuilt, now)
	for _, row := range []struct {
		what string
		same int
	}{
		{"workbooks, byte for byte", like.Workbooks}, {"batch and revision number", like.Numbers},
		{"file name, reason, time of collecting", like.Records}, {"readings", like.Readings}, {"findings", like.Findings},
	} {
		fmt.Fprintf(p.out, "  the same: %-38s %d of %d\n", row.what, row.same, len(rebuilt))
	}
	fmt.Fprintf(p.out, "  %s in the new log\n", quantity.Counted(batchesIn(now), "batch", "batches"))
	for _, n := range like.Notes {
		fmt.Fprintf(p.out, "note    %s\n", n)
	}
	for _, d := range like.Differ {
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
	if len(like.Differ)+len(remains.Lost) > 0 {
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
