package main

import (
	"bytes"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
)

// damage changes a log's bytes. The pages of a log have 4,096 bytes; the first dozen of a
// page say what it holds and how many rows, the next where they stand.
type damage struct {
	name string
	do   func(random *rand.Rand, file []byte) []byte
}

const logPage = 4096

var damages = []damage{
	{"a bit", func(random *rand.Rand, file []byte) []byte {
		file[random.IntN(len(file))] ^= 1 << random.IntN(8)
		return file
	}},
	{"a bit in the head of a page", func(random *rand.Rand, file []byte) []byte {
		pages := len(file) / logPage
		at := 100 // page 1 begins with the head of the file
		if page := random.IntN(pages); page > 0 {
			at = page * logPage
		}
		file[at+random.IntN(24)] ^= 1 << random.IntN(8)
		return file
	}},
	{"a row less on a page of rows", func(random *rand.Rand, file []byte) []byte {
		pages := len(file) / logPage
		for range 10 * pages {
			at := (1 + random.IntN(pages-1)) * logPage
			rows := binary.BigEndian.Uint16(file[at+3:])
			if kind := file[at]; (kind == 13 || kind == 10 || kind == 5 || kind == 2) && rows > 1 {
				binary.BigEndian.PutUint16(file[at+3:], rows-1)
				break
			}
		}
		return file
	}},
	{"bytes here and there", func(random *rand.Rand, file []byte) []byte {
		for range 2 + random.IntN(30) {
			file[random.IntN(len(file))] = byte(random.Uint32())
		}
		return file
	}},
	{"a page of zeros", func(random *rand.Rand, file []byte) []byte {
		at := random.IntN(len(file)/logPage) * logPage
		clear(file[at : at+logPage])
		return file
	}},
	{"a page of another place", func(random *rand.Rand, file []byte) []byte {
		to, from := random.IntN(len(file)/logPage)*logPage, random.IntN(len(file)/logPage)*logPage
		copy(file[to:to+logPage], file[from:from+logPage])
		return file
	}},
	{"cut short", func(random *rand.Rand, file []byte) []byte {
		return file[:1+random.IntN(len(file)-1)]
	}},
}

// TestDamagedLog damages a season log at random places. Each time the season is the same as
// before or is refused; --verify tells whatever makes a difference; --rebuild gives a sound
// log of the workbooks that are whole and names every other one. DAMAGES=500 asks for more
// than one of each kind.
func TestDamagedLog(t *testing.T) {
	tries := wanted(t, "DAMAGES", len(damages))
	d := newDamaged(t)
	random := rand.New(rand.NewPCG(2026, 500))
	for try := range tries {
		kind := damages[try%len(damages)]
		d.try(t, fmt.Sprintf("try %d, %s", try, kind.name), kind.do(random, bytes.Clone(d.whole)))
		if t.Failed() {
			break
		}
	}
	t.Logf("%d damaged logs: %d harmless, %d told; of %d workbooks %d were rescued, %d without their record, %d named as lost; %d files were no log any more",
		tries, d.harmless, d.told, d.rescued+d.lost, d.rescued, d.unrecorded, d.lost, d.hopeless)
}

// damaged is a log to damage, what its season is, and what the tries met.
type damaged struct {
	whole                                               []byte
	history                                             []seasonlog.Revision
	season                                              string
	harmless, told, rescued, unrecorded, lost, hopeless int
}

// newDamaged collects six batches, and two of them again.
func newDamaged(t *testing.T) *damaged {
	t.Helper()
	_, folder := laid(t, nil)
	collect := []string{"collect", "-f", folder}
	for n := 1; n <= 6; n++ {
		collect = append(collect, filepath.Join(folder, "filled", fmt.Sprintf("KS-26-%02d.xlsx", n)))
	}
	again := []string{"collect", "-f", folder, "--reason", crashReason}
	for n := 2; n <= 3; n++ {
		again = append(again, filepath.Join(folder, "corrected", fmt.Sprintf("KS-26-%02d-corrected.xlsx", n)))
	}
	for _, line := range [][]string{collect, again} {
		if _, talk, code := inProcess(seasonCollected, line...); code != exitGood {
			t.Fatalf("exit code %d: %s", code, talk)
		}
	}
	d := &damaged{}
	log := filepath.Join(folder, station.LogFile)
	d.history = historyOf(t, log)
	var err error
	if d.whole, err = os.ReadFile(log); err != nil {
		t.Fatal(err)
	}
	said, code := d.compile(t, folder)
	if code != exitGood {
		t.Fatalf("season: exit code %d: %s", code, said)
	}
	d.season = said
	return d
}

// compile gives the season's tables as one text, or what was said instead.
func (d *damaged) compile(t *testing.T, folder string) (said string, code int) {
	t.Helper()
	out := filepath.Join(folder, "season")
	if err := os.RemoveAll(out); err != nil {
		t.Fatal(err)
	}
	_, talk, code := inProcess(seasonCollected, "season", "-f", folder)
	if code != exitGood {
		return talk, code
	}
	tables, err := filepath.Glob(filepath.Join(out, "*.csv"))
	if err != nil || len(tables) < 8 {
		t.Fatalf("got %d tables, error %v", len(tables), err)
	}
	var all strings.Builder
	for _, name := range tables {
		content, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&all, "%s\n%s\n", filepath.Base(name), content)
	}
	return all.String(), code
}

// try takes one damaged file through season, --verify and --rebuild.
func (d *damaged) try(t *testing.T, name string, file []byte) {
	t.Helper()
	folder := scratch.Folder(t)
	log := filepath.Join(folder, station.LogFile)
	if err := os.WriteFile(log, file, 0o644); err != nil {
		t.Fatal(err)
	}
	said, code := d.compile(t, folder)
	if code == exitGood && said != d.season {
		t.Errorf("%s: season gave other tables and did not say so", name)
	}
	if code != exitGood && code != exitLog {
		t.Errorf("%s: season: exit code %d: %s", name, code, said)
	}
	verified, talk, verdict := inProcess(seasonCollected, "season", "-f", folder, "--verify")
	switch {
	case verdict == exitGood && (code != exitGood || !strings.Contains(verified, fmt.Sprintf("%d workbooks", len(d.history)))):
		t.Errorf("%s: --verify finds nothing, season has exit code %d: %s%s", name, code, said, verified)
	case verdict == exitGood:
		d.harmless++
	case verdict == exitLog:
		d.told++
	default:
		t.Errorf("%s: --verify: exit code %d: %s%s", name, verdict, verified, talk)
	}
	d.rebuild(t, name, folder, verdict == exitGood)
}

// rebuild makes a new log of a damaged one and wants every workbook in it or named.
func (d *damaged) rebuild(t *testing.T, name, folder string, whole bool) {
	t.Helper()
	to := filepath.Join(folder, "new.sqlite")
	out, talk, code := inProcess(seasonCollected, "season", "-f", folder, "--rebuild", to)
	if _, err := os.Stat(to); errors.Is(err, os.ErrNotExist) {
		d.hopeless++
		d.lost += len(d.history)
		if code != exitLog || whole || !strings.Contains(talk, "not a season log") &&
			!strings.Contains(talk, "nothing in it is whole") && !strings.Contains(talk, "newer") {
			t.Errorf("%s: no new log, exit code %d: %s%s", name, code, out, talk)
		}
		return
	}
	got := map[string]seasonlog.Revision{}
	for _, r := range historyOf(t, to) {
		got[r.Workbook] = r
	}
	for _, was := range d.history {
		r, there := got[was.Workbook]
		delete(got, was.Workbook)
		place := fmt.Sprintf("batch %s revision %d", was.Batch, was.Number)
		number := fmt.Sprintf("workbook number %d in the order", was.Collected)
		named := strings.Contains(out, "lost    "+place) || strings.Contains(out, "lost    "+number) || strings.Contains(out, "cut short")
		switch {
		case there && r.ReadingsDigest != was.ReadingsDigest:
			t.Errorf("%s: %s has other readings in the new log", name, place)
		case there && r.Reason != was.Reason && !strings.Contains(out, "differs "+number):
			t.Errorf("%s: %s lost its record, which is not said: %s", name, place, out)
		case there:
			d.rescued++
			if r.Reason != was.Reason {
				d.unrecorded++
			}
		case !named:
			t.Errorf("%s: %s is lost, which is not said: %s", name, place, out)
		default:
			d.lost++
		}
	}
	if len(got) > 0 {
		t.Errorf("%s: the new log holds what was never collected: %v", name, got)
	}
	if complete := !strings.Contains(out, "lost  ") && !strings.Contains(out, "differs"); complete != (code == exitGood) {
		t.Errorf("%s: --rebuild: exit code %d: %s%s", name, code, out, talk)
	}
}

// TestLostRevision damages one stored workbook of a batch with two revisions. --verify tells
// one fault, with the remedy for that revision, and whose initials are left; --rebuild names
// what the new log lacks and does not propose to use it.
func TestLostRevision(t *testing.T) {
	d := newDamaged(t)
	s, err := crashSeason()
	if err != nil {
		t.Fatal(err)
	}
	const again, older = "collect the filled workbook again", "an older revision: do not collect it again, it would become the latest; keep the old log"
	for _, c := range []struct {
		revision               int
		content                []byte
		signed, remedy, unlike string
	}{
		{1, s.filled["KS-26-02.xlsx"], "KS-26-02   revision 2  done by ", older, again},
		{2, s.corrected["KS-26-02-corrected.xlsx"], "KS-26-02   revision 2 is lost, with who signed it; revision 1  done by ", again, older},
	} {
		folder := scratch.Folder(t)
		if err := os.WriteFile(filepath.Join(folder, station.LogFile), damagedIn(t, d.whole, c.content), 0o644); err != nil {
			t.Fatal(err)
		}
		out, talk, code := inProcess(seasonCollected, "season", "-f", folder, "--verify")
		for _, want := range []string{c.signed, c.remedy, ": 1 fault\n", fmt.Sprintf("fault   batch KS-26-02 revision %d ", c.revision)} {
			if code != exitLog || !strings.Contains(out, want) || strings.Contains(out+talk, c.unlike) {
				t.Errorf("revision %d: --verify: exit code %d, want %d with %q: %s%s", c.revision, code, exitLog, want, out, talk)
			}
		}
		out, talk, code = inProcess(seasonCollected, "season", "-f", folder, "--rebuild", filepath.Join(folder, "new.sqlite"))
		for _, want := range []string{c.remedy, fmt.Sprintf("missing in the new log: batch KS-26-02 revision %d; keep ", c.revision)} {
			if code != exitLog || !strings.Contains(out, want) || strings.Contains(out+talk, c.unlike) || strings.Contains(out, "to use the new log") {
				t.Errorf("revision %d: --rebuild: exit code %d, want %d with %q: %s%s", c.revision, code, exitLog, want, out, talk)
			}
		}
	}
}

// damagedIn changes bytes of one stored workbook that stand nowhere else in a log.
func damagedIn(t *testing.T, log, content []byte) []byte {
	t.Helper()
	for at := len(content) / 2; at+32 <= len(content); at += 32 {
		if piece := content[at : at+32]; bytes.Count(log, piece) == 1 {
			return bytes.Replace(log, piece, make([]byte, 32), 1)
		}
	}
	t.Fatal("no piece of the workbook stands once in the log")
	return nil
}

// TestForgedReadingIsTold stores a workbook with another reading than it holds, under digests
// that fit: only reading the stored workbook again can tell, and --verify does.
func TestForgedReadingIsTold(t *testing.T) {
	s, folder := laid(t, nil)
	r, err := station.At("").Understand("KS-26-01.xlsx", s.filled["KS-26-01.xlsx"])
	if err != nil {
		t.Fatal(err)
	}
	i := 0
	for r.Result.Readings[i].Number == 0 {
		i++
	}
	forged := &r.Result.Readings[i]
	forged.Number++
	forged.Raw = fmt.Sprint(forged.Number)
	log, err := seasonlog.Open(filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := log.Collect(r.Workbook(seasonCollected, programName, "")); err != nil {
		t.Fatal(err)
	}
	if faults, err := log.Verify(); err != nil || len(faults) > 0 {
		t.Fatalf("the digests do not fit: %v, error %v", faults, err)
	}
	log.Close()
	out, _, code := inProcess(seasonCollected, "season", "-f", folder, "--verify")
	if want := "fault   batch KS-26-01 revision 1: the readings stored are not those of the stored workbook: " +
		forged.Printed; code != exitLog || !strings.Contains(out, want) {
		t.Errorf("exit code %d, want %d with %q: %s", code, exitLog, want, out)
	}
	to := filepath.Join(folder, "new.sqlite")
	if out, _, code := inProcess(seasonCollected, "season", "-f", folder, "--rebuild", to); code != exitLog ||
		!strings.Contains(out, "the new one has those of the workbook") {
		t.Errorf("--rebuild: exit code %d: %s", code, out)
	}
}

// TestChangedReadingIsNamed changes one number in the log behind its triggers.
func TestChangedReadingIsNamed(t *testing.T) {
	s, folder := laid(t, nil)
	log, err := seasonlog.Open(filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	r, err := station.At("").Understand("KS-26-01.xlsx", s.filled["KS-26-01.xlsx"])
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(r.Result.Readings, func(r calc.Reading) bool { return r.Number != 0 })
	if _, _, err := log.Collect(r.Workbook(seasonCollected, programName, "")); err != nil {
		t.Fatal(err)
	}
	log.Close()
	db, err := sql.Open("sqlite", filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{"DROP TRIGGER reading_no_UPDATE", "UPDATE reading SET number = number + 1 WHERE position = " + fmt.Sprint(i+1)} {
		if _, err := db.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
	db.Close()
	out, _, code := inProcess(seasonCollected, "season", "-f", folder, "--verify")
	if code != exitLog {
		t.Errorf("exit code %d, want %d", code, exitLog)
	}
	for _, want := range []string{"something was changed", "missing or changed: trigger reading_no_UPDATE\n", r.Result.Readings[i].Printed + " is stored as"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in\n%s", want, out)
		}
	}
}

// TestNewerProgramIsNoDamage stores other findings, and what a cell means otherwise, as an
// older program may have done: a note, counted, and exit code 0.
func TestNewerProgramIsNoDamage(t *testing.T) {
	s, folder := laid(t, nil)
	log, err := seasonlog.Open(filepath.Join(folder, station.LogFile))
	if err != nil {
		t.Fatal(err)
	}
	for n, name := range []string{"KS-26-01.xlsx", "KS-26-02.xlsx"} {
		r, err := station.At("").Understand(name, s.filled[name])
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			r.Result.Findings = append(r.Result.Findings, check.Finding{Level: "note", Code: "older", Says: "x", Remedy: "y"})
		} else {
			r.Result.Readings[0].Unit = "older"
		}
		w := r.Workbook(seasonCollected, programName, "")
		w.Program = "spatsheet 0.0.9"
		if _, _, err := log.Collect(w); err != nil {
			t.Fatal(err)
		}
	}
	log.Close()
	out, talk, code := inProcess(seasonCollected, "season", "-f", folder, "--verify")
	for _, want := range []string{"0 findings now, 1 when spatsheet 0.0.9 collected it; the readings are the same",
		"(collected by spatsheet 0.0.9, this is spatsheet 0.1.0)",
		"all as stored; 2 workbooks are understood otherwise by this program, which is no damage"} {
		if code != exitGood || !strings.Contains(out, want) {
			t.Errorf("exit code %d, want 0 with %q: %s%s", code, want, out, talk)
		}
	}
}
