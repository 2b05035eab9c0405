package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spatsheet/cmd/station"
	"spatsheet/render/scratch"
)

// watchedFolder is a folder under watch whose ticks the test gives.
type watchedFolder struct {
	t         *testing.T
	folder    string
	tick      chan time.Time
	out, talk bytes.Buffer
	end       func() error
}

func watchFolder(t *testing.T, folder string) *watchedFolder {
	w := &watchedFolder{t: t, folder: folder, tick: make(chan time.Time)}
	p := &program{out: &w.out, talk: &w.talk, now: func() time.Time { return time.Date(2026, 2, 14, 18, 30, 0, 0, time.UTC) }}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- p.watch(ctx, station.At(folder), w.tick, []string{folder}) }()
	w.end = func() error { stop(); return <-ended }
	return w
}

// looks gives so many ticks; each is taken when the look before it is through, and the last
// one's look may still be going on.
func (w *watchedFolder) looks(n int) {
	for range n {
		w.tick <- time.Time{}
	}
}

func (w *watchedFolder) put(name string, content []byte) {
	w.t.Helper()
	if err := os.WriteFile(filepath.Join(w.folder, name), content, 0o644); err != nil {
		w.t.Fatal(err)
	}
}

// demoWorkbooks are the filled workbooks of the demo, by name.
func demoWorkbooks(t *testing.T) map[string][]byte {
	t.Helper()
	dir := filepath.Join(scratch.Folder(t), "d")
	if err := layDemo(dir); err != nil {
		t.Fatal(err)
	}
	names, err := station.WorkbooksIn([]string{filepath.Join(dir, station.FilledFolder)})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, name := range names {
		if out[filepath.Base(name)], err = os.ReadFile(name); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// inTurn wants texts one after the other.
func inTurn(t *testing.T, text string, want ...string) {
	t.Helper()
	rest := text
	for _, w := range want {
		_, after, ok := strings.Cut(rest, w)
		if !ok {
			t.Fatalf("%q is not there, or not after what comes before it, in\n%s", w, text)
		}
		rest = after
	}
}

func TestWatchTellsWhatChanged(t *testing.T) {
	books := demoWorkbooks(t)
	folder := scratch.Folder(t)
	faulty := books["KS-26-02.xlsx"]
	w := watchFolder(t, folder)
	w.looks(1)
	w.put("KS-26-02.xlsx", faulty[:len(faulty)/2]) // a copy on its way
	w.put("~$KS-26-02.xlsx", []byte("lock"))
	w.put(".~lock.KS-26-02.xlsx#", []byte("lock"))
	w.looks(1) // and the one going on while it was put: fewer than looksAfterSave
	w.put("KS-26-02.xlsx", faulty)
	w.looks(5)
	w.put("KS-26-01.xlsx", books["KS-26-01.xlsx"])
	w.looks(5) // so that a look cannot see the next one first
	w.put("KS-26-02.xlsx", books["KS-26-02-corrected.xlsx"])
	w.looks(5)
	w.put("KS-26-02.xlsx", faulty)
	w.looks(2)
	if err := w.end(); !errors.Is(err, errFindings) {
		t.Errorf("got %v, want findings", err)
	}
	inTurn(t, w.out.String(), "watching 0 workbooks",
		"KS-26-02.xlsx:", "5 new, 0 mended; now 3 errors, 2 notes; 1 box, table or step still blank", "typed: about 80",
		"KS-26-01.xlsx:", "0 new, 0 mended; now no findings",
		"KS-26-02.xlsx:", "0 new, 5 mended; now no findings", "mended   B", "Motile",
		"KS-26-02.xlsx:", "5 new, 0 mended", "2 workbooks: 1 without findings, 1 with errors")
	if n := strings.Count(w.out.String(), "18:30:00"); n != 4 {
		t.Errorf("told %d times, want 4:\n%s", n, w.out.String())
	}
	if w.talk.Len() > 0 {
		t.Errorf("got %q on stderr, want nothing", w.talk.String())
	}
}

func TestWatchTellsWhatCannotBeReadOnce(t *testing.T) {
	books := demoWorkbooks(t)
	folder := scratch.Folder(t)
	for name, content := range books {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	w := watchFolder(t, folder)
	w.looks(1)
	w.put("broken.xlsx", []byte("this is no workbook"))
	w.looks(2 * looksAfterSave)
	if err := os.Remove(filepath.Join(folder, "KS-26-02.xlsx")); err != nil {
		t.Fatal(err)
	}
	w.looks(2 * looksAfterSave)
	if err := w.end(); !errors.Is(err, station.ErrInput) || !strings.Contains(err.Error(), "broken.xlsx could not be read") {
		t.Errorf("got %v, want the file that could not be read", err)
	}
	if n := strings.Count(w.talk.String(), "broken.xlsx: not a spatsheet workbook"); n != 1 {
		t.Errorf("the broken file was told %d times, want once: %s", n, w.talk.String())
	}
	inTurn(t, w.out.String(), "KS-26-01.xlsx:", "no findings", "watching 4 workbooks", "KS-26-02.xlsx:", "is gone",
		"4 workbooks: 3 without findings, 0 with errors, 1 not readable")
}

func TestWatchTellsThatAFileCanBeReadAgain(t *testing.T) {
	content := demoWorkbooks(t)["KS-26-01.xlsx"]
	w := watchFolder(t, scratch.Folder(t))
	w.put("KS-26-01.xlsx", content)
	w.looks(2 * looksAfterSave)
	w.put("KS-26-01.xlsx", content[:100])
	w.looks(2 * looksAfterSave)
	w.put("KS-26-01.xlsx", content)
	w.looks(2 * looksAfterSave)
	if err := w.end(); err != nil {
		t.Errorf("got %v, want nothing", err)
	}
	inTurn(t, w.out.String(), "KS-26-01.xlsx:", "no findings", "KS-26-01.xlsx:", "can be read again, as it was before", "1 without findings")
	if n := strings.Count(w.out.String(), "read again"); n != 1 {
		t.Errorf("told %d times, want once: %s", n, w.out.String())
	}
}

func TestWatchOutlivesAFolderThatIsAway(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "share")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	w := watchFolder(t, folder)
	w.looks(1)
	if err := os.Rename(folder, folder+"-away"); err != nil {
		t.Fatal(err)
	}
	w.looks(3)
	if err := os.Rename(folder+"-away", folder); err != nil {
		t.Fatal(err)
	}
	w.looks(2)
	if err := w.end(); err != nil {
		t.Errorf("got %v, want nothing", err)
	}
	if n := strings.Count(w.talk.String(), "is not there"); n != 1 {
		t.Errorf("the folder was told %d times, want once: %q", n, w.talk.String())
	}
	p := &program{out: &bytes.Buffer{}, talk: &bytes.Buffer{}, now: time.Now}
	if err := p.watch(context.Background(), station.At(folder), nil, []string{folder + "-nowhere"}); !errors.Is(err, station.ErrInput) {
		t.Errorf("got %v for a folder that is not there, want an input fault", err)
	}
}
