package seasonlog

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"spatsheet/render/scratch"
	"strings"
	"testing"
)

// fourCollected makes a log of three batches, one of them corrected, and gives the
// workbooks in the order of collecting.
func fourCollected(t *testing.T) (path string, list []Workbook) {
	t.Helper()
	log := newLog(t)
	list = []Workbook{sample(1, 0), sample(2, 0), sample(1, 1), sample(3, 0)}
	for _, w := range list {
		if _, _, err := log.Collect(w); err != nil {
			t.Fatal(err)
		}
	}
	must(t, log.Close())
	return log.Path(), list
}

// looked plays reading a workbook by looking it up by its bytes; what the record carries
// over is taken out first.
func looked(list []Workbook) func([]byte) (Workbook, error) {
	return func(content []byte) (Workbook, error) {
		for _, w := range list {
			if bytes.Equal(w.Content, content) {
				w.FileName, w.Reason = "", ""
				return w, nil
			}
		}
		return Workbook{}, errors.New("not one of ours")
	}
}

// A log made again from the remains of a sound one is the same in everything.
func TestRebuildOfSoundLogIsTheSame(t *testing.T) {
	path, list := fourCollected(t)
	remains, err := Rescue(path)
	must(t, err)
	defer remains.Close()
	if len(remains.Workbooks) != 4 || len(remains.Lost) != 0 {
		t.Fatalf("got %d workbooks, lost %v; want 4, none", len(remains.Workbooks), remains.Lost)
	}
	again := newLog(t)
	rebuilt, err := remains.Rebuild(again, looked(list))
	if err != nil || len(rebuilt) != 4 {
		t.Fatalf("got %+v, error %v", rebuilt, err)
	}
	sound(t, again)
	if got, want := history(t, again), history(t, reopen(t, path)); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v; want %+v", got, want)
	}
}

// What Rescue reads page by page is what SQLite reads, for rows of any length.
func TestRescueReadsWhatSQLiteReads(t *testing.T) {
	log := newLog(t)
	sizes := []int{1, 60, 3800, 3900, 3950, 3980, 3990, 4000, 4050, 4096, 8150, 8190, 8200, 300_000}
	for n, size := range sizes {
		w := sample(n, 0)
		w.Content = bytes.Repeat(w.Content, 1+size/len(w.Content))[:size]
		w.Content[0] = 0xff // no text
		if n%2 == 1 {
			w.FileName = strings.Repeat("long name ", size/10) // records over several pages too
		}
		w.Readings = w.Readings[:3]
		collect(t, log, w, Added, 1)
	}
	want := history(t, log)
	remains, err := Rescue(log.Path())
	must(t, err)
	defer remains.Close()
	if len(remains.Workbooks) != len(sizes) || len(remains.Lost) != 0 {
		t.Fatalf("got %d workbooks, lost %v; want %d", len(remains.Workbooks), remains.Lost, len(sizes))
	}
	for i, k := range remains.Workbooks {
		content, err := remains.Content(k)
		if err != nil || len(content) != sizes[i] || k.Record != want[i] {
			t.Errorf("%d bytes: got %d, error %v, record %+v; want %+v", sizes[i], len(content), err, k.Record, want[i])
		}
	}
}

// Whatever page is zeroed, or two of them, nothing comes back that was not stored, every
// workbook is either there or told as lost, and one page costs one workbook at most, but for
// the page that holds the beginnings of all four.
func TestRescueAfterAnyZeroedPage(t *testing.T) {
	path, list := fourCollected(t)
	whole, err := os.ReadFile(path)
	must(t, err)
	random := rand.New(rand.NewPCG(2026, 11))
	pages, unrecorded, costly := len(whole)/newPageSize, 0, 0
	for n := range 2 * pages {
		file := bytes.Clone(whole)
		clear(file[n%pages*newPageSize : (n%pages+1)*newPageSize])
		if n >= pages { // a second one
			at := random.IntN(pages) * newPageSize
			clear(file[at : at+newPageSize])
		}
		remains := rescued(t, file)
		if remains == nil {
			t.Fatalf("page %d: nothing rescued", n%pages+1)
		}
		if n < pages && len(remains.Workbooks) < 3 {
			costly++
		}
		if got := len(remains.Workbooks) + len(remains.Lost); got != 4 {
			t.Errorf("page %d, try %d: %d there, lost %v; want 4 together", n%pages+1, n, len(remains.Workbooks), remains.Lost)
		}
		for _, k := range remains.Workbooks {
			content, err := remains.Content(k)
			if err != nil || !bytes.Equal(content, list[k.Collected-1].Content) {
				t.Errorf("page %d: %s: other content, error %v", n%pages+1, k.Place(), err)
			}
			if !k.Recorded {
				unrecorded++
			}
		}
		remains.Close()
	}
	if costly > 1 {
		t.Errorf("%d pages each cost more than one workbook; want one page at most", costly)
	}
	if unrecorded == 0 {
		t.Error("no record was ever lost; the test does not test that")
	}
}

// Any changed bytes: Rescue answers, and gives nothing that was not stored.
func TestRescueNeverGivesOtherBytes(t *testing.T) {
	path, list := fourCollected(t)
	whole, err := os.ReadFile(path)
	must(t, err)
	stored := map[string]bool{}
	for _, w := range list {
		stored[sha256Hex(w.Content)] = true
	}
	random := rand.New(rand.NewPCG(7, 11))
	for range 200 {
		file := bytes.Clone(whole)
		for range 1 + random.IntN(40) {
			file[random.IntN(len(file))] = byte(random.Uint32())
		}
		if random.IntN(4) == 0 {
			file = file[:random.IntN(len(file))]
		}
		remains := rescued(t, file)
		if remains == nil {
			continue
		}
		for _, k := range remains.Workbooks {
			if content, err := remains.Content(k); err != nil || !stored[sha256Hex(content)] {
				t.Errorf("%s: got bytes that were never stored, error %v", k.Place(), err)
			}
		}
		remains.Close()
	}
}

// rescued gives the remains of a file, nil when there is no trace of a log in it.
func rescued(t *testing.T, file []byte) *Remains {
	t.Helper()
	path := filepath.Join(scratch.Folder(t), "damaged.log")
	must(t, os.WriteFile(path, file, 0o644))
	remains, err := Rescue(path)
	if err != nil && !errors.Is(err, ErrTrouble) {
		t.Fatalf("got an error of no kind: %v", err)
	}
	if err != nil {
		return nil
	}
	return remains
}

// One damaged byte in the file's header, be it one that says how the pages are laid out,
// costs no workbook; only the format's number, when it says that a newer program made the
// log, is believed.
func TestRescueAfterAnyDamagedHeaderByte(t *testing.T) {
	path, _ := fourCollected(t)
	whole, err := os.ReadFile(path)
	must(t, err)
	for at := range fileHeader {
		for _, value := range []byte{0, 1, 16, 32, 255} {
			if at >= 60 && at < 64 { // user_version
				continue
			}
			file := bytes.Clone(whole)
			file[at] = value
			remains := rescued(t, file)
			if remains == nil {
				t.Errorf("byte %d is %d: nothing rescued", at, value)
				continue
			}
			if len(remains.Workbooks) != 4 {
				t.Errorf("byte %d is %d: %d workbooks; want 4", at, value, len(remains.Workbooks))
			}
			for _, l := range remains.Lost {
				if l.Place != "file" || at < pageCountAt || at >= pageCountAt+4 {
					t.Errorf("byte %d is %d: lost %s", at, value, l)
				}
			}
			remains.Close()
		}
	}
}

// Wherever the file is cut off, a workbook whose pages are all there is rescued. The
// beginnings of the first workbooks do not stand first in the file: when the page that held
// them overflows, they move behind what is there by then.
func TestRescueAfterAnyCut(t *testing.T) {
	path, list := fourCollected(t)
	whole, err := os.ReadFile(path)
	must(t, err)
	pieces := make([][]int, len(list)) // the pages that hold 16 bytes of it or more
	for n, w := range list {
		for page := range len(whole) / newPageSize {
			for at := 0; at+16 <= len(w.Content); at += 16 {
				if bytes.Contains(whole[page*newPageSize:(page+1)*newPageSize], w.Content[at:at+16]) {
					pieces[n] = append(pieces[n], page)
					break
				}
			}
		}
	}
	for pages := range len(whole)/newPageSize + 1 {
		want := 0
		for _, p := range pieces {
			if p[len(p)-1] < pages {
				want++
			}
		}
		remains := rescued(t, whole[:pages*newPageSize])
		if remains == nil && want == 0 {
			continue
		}
		if remains == nil || len(remains.Workbooks) < want {
			t.Fatalf("%d pages: got %+v; want %d workbooks", pages, remains, want)
		}
		remains.Close()
	}
}

// A record whose head goes on over the row's own page may say more columns than it did
// there; it is no record, and no panic.
func TestRecordWithTooManyColumns(t *testing.T) {
	record := append([]byte{31}, bytes.Repeat([]byte{15}, 30)...) // thirty texts of one byte
	record = append(record, bytes.Repeat([]byte{'x'}, 30)...)
	here := 1 + revisionWidth // of it on the row's own page
	file := make([]byte, 2*newPageSize)
	copy(file[newPageSize+4:], record[here:])
	ways, _ := newPages(bytes.NewReader(file), int64(len(file)))
	s := newSearch(&Remains{pages: ways[0]})
	s.take(pageRow{table: true, id: 1, length: len(record), begins: record[:here], overflow: 2})
	if len(s.records) != 0 {
		t.Errorf("got %+v; want no record", s.records)
	}
}

// A lost older revision must not be collected again: it would become the latest.
func TestLostRevisionsRemedy(t *testing.T) {
	path, list := fourCollected(t) // the first and the third are one batch
	whole, err := os.ReadFile(path)
	must(t, err)
	for n, want := range []string{remedyOlder, remedyLost, remedyLost, remedyLost} {
		piece := list[n].Content[12000:12016]
		if !bytes.Contains(whole, piece) {
			t.Fatalf("workbook %d: its middle is not in one piece", n)
		}
		remains := rescued(t, bytes.ReplaceAll(whole, piece, make([]byte, len(piece))))
		if len(remains.Lost) != 1 || remains.Lost[0].Remedy != want || remains.Lost[0].Batch != list[n].Batch {
			t.Errorf("workbook %d: lost %+v; want one of batch %s with %q", n, remains.Lost, list[n].Batch, want)
		}
		remains.Close()
	}
}

// What Open advises, to rescue what is whole, is no advice where nothing is.
func TestNothingWholeAdvisesNoRebuild(t *testing.T) {
	path, _ := fourCollected(t)
	must(t, os.Truncate(path, 2*newPageSize))
	_, err := Rescue(path)
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "nothing in it is whole") || strings.Contains(err.Error(), "make a new log") {
		t.Errorf("got %v; want that nothing is whole, without --rebuild", err)
	}
}

// A lost record: the workbook comes into the new log all the same, and says so.
func TestRebuildWithoutARecord(t *testing.T) {
	path, list := fourCollected(t)
	file, err := os.ReadFile(path)
	must(t, err)
	mark := []byte("batch 2.xlsx")
	must(t, os.WriteFile(path, bytes.ReplaceAll(file, mark, []byte("batch 9.xlsx")), 0o644))
	remains, err := Rescue(path)
	must(t, err)
	defer remains.Close()
	again := newLog(t)
	rebuilt, err := remains.Rebuild(again, looked(list))
	if err != nil || len(rebuilt) != 4 {
		t.Fatalf("got %+v, error %v", rebuilt, err)
	}
	sound(t, again)
	for i, r := range history(t, again) {
		w := list[i]
		if i == 1 {
			w.FileName, w.Reason, w.CollectedAt = "", noRecord, list[0].CollectedAt
		}
		if want := w.revision(sha256Hex(w.Content), r.Collected, r.Number); fmt.Sprint(r) != fmt.Sprint(want) {
			t.Errorf("got %+v; want %+v", r, want)
		}
	}
}

func TestRescueRefuses(t *testing.T) {
	folder := scratch.Folder(t)
	text := filepath.Join(folder, "notes.txt")
	must(t, os.WriteFile(text, []byte(strings.Repeat("no log at all\n", 1000)), 0o644))
	for name, c := range map[string]struct {
		path string
		want error
	}{"nothing there": {filepath.Join(folder, "none"), ErrNoLog}, "a text": {text, ErrNotALog}, "a folder": {folder, ErrNotALog}} {
		t.Run(name, func(t *testing.T) {
			if _, err := Rescue(c.path); !errors.Is(err, c.want) {
				t.Errorf("got %v; want %v", err, c.want)
			}
		})
	}
}

// A page that says it has one row less hides the latest revision, and each one left is
// sound: it is told all the same, be it the page of the table or of one of its indexes.
func TestHiddenRevisionIsTold(t *testing.T) {
	path, _ := fourCollected(t)
	log := reopen(t, path)
	var pages []int
	rows, err := log.db.Query("SELECT rootpage FROM sqlite_schema WHERE tbl_name = 'revision' AND rootpage > 0")
	must(t, err)
	for rows.Next() {
		var page int
		must(t, rows.Scan(&page))
		pages = append(pages, page)
	}
	must(t, errors.Join(rows.Err(), rows.Close(), log.Close()))
	if len(pages) != 3 {
		t.Fatalf("got pages %v; want those of the table and its two indexes", pages)
	}
	whole, err := os.ReadFile(path)
	must(t, err)
	for _, page := range pages {
		file := bytes.Clone(whole)
		if at := (page-1)*newPageSize + 3; file[at+1] != 4 { // how many rows, in two bytes
			t.Fatalf("page %d has %d rows; want 4", page, file[at+1])
		} else {
			file[at+1] = 3
		}
		must(t, os.WriteFile(path, file, 0o644))
		log := reopen(t, path)
		if list, err := log.Batches(); !errors.Is(err, ErrDamaged) {
			t.Errorf("page %d: got %d batches, error %v; want ErrDamaged", page, len(list), err)
		}
		if faults, err := log.Verify(); err != nil || len(faults) == 0 {
			t.Errorf("page %d: got faults %v, error %v; want a fault", page, faults, err)
		}
		log.Close()
	}
}
