package seasonlog

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// helper starts this test binary as another program on the log.
func helper(task, path string, from, to int) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), helperTask+"="+task, helperLog+"="+path, helperFrom+"="+strconv.Itoa(from), helperTo+"="+strconv.Itoa(to))
	return c
}

// A collector is killed again and again, at instants spread over a collect. Each time
// the log must be sound, hold every acknowledged workbook whole, and nothing but whole
// ones. SEASONLOG_KILLS asks for more kills than the usual 20.
func TestKilledCollectorLosesNothing(t *testing.T) {
	kills := 20
	if n, err := strconv.Atoi(os.Getenv("SEASONLOG_KILLS")); err == nil {
		kills = n
	}
	path := newLog(t).Path()
	next, journals := 0, 0
	for life := range kills {
		// Waiting is what is tested here: the instant of the kill moves through a collect.
		acknowledged := killDuring(t, path, next, life%4, time.Duration(life*617%5000)*time.Microsecond)
		if info, err := os.Stat(path + "-journal"); err == nil && info.Size() > 0 {
			journals++
		}
		log, err := Open(path)
		if err != nil {
			t.Fatalf("life %d: %v", life, err)
		}
		sound(t, log)
		stored := history(t, log)
		if len(stored) < next+acknowledged || len(stored) > next+acknowledged+1 {
			t.Fatalf("life %d: %d workbooks stored; acknowledged %d", life, len(stored), next+acknowledged)
		}
		for n := next; n < len(stored); n++ {
			want := sample(n, 0)
			if content, err := log.Content(want.Batch, 1); err != nil || !bytes.Equal(content, want.Content) {
				t.Fatalf("life %d: workbook %d: other content, error %v", life, n, err)
			}
		}
		next = len(stored)
		log.Close()
	}
	t.Logf("%d kills, %d of them with a journal to roll back, %d workbooks stored", kills, journals, next)
}

// killDuring starts a collector at workbook `from`, kills it `delay` after its
// acknowledgement number `after`, and gives the number of acknowledgements.
func killDuring(t *testing.T, path string, from, after int, delay time.Duration) int {
	t.Helper()
	c := helper("collect", path, from, from+1_000_000)
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	must(t, err)
	must(t, c.Start())
	lines := bufio.NewScanner(out)
	acknowledged := 0
	for acknowledged <= after && lines.Scan() {
		acknowledged++
	}
	<-time.After(delay)
	must(t, c.Process.Kill())
	for lines.Scan() { // what it had said before it died
		acknowledged++
	}
	_ = c.Wait() // "signal: killed"
	if acknowledged <= after {
		t.Fatalf("the collector ended by itself after %d workbooks", acknowledged)
	}
	return acknowledged
}

// Two programs collect overlapping folders at once: both succeed, each file is there once.
func TestTwoProgramsCollectAtOnce(t *testing.T) {
	log := newLog(t)
	first, second := helper("collect", log.Path(), 0, 30), helper("collect", log.Path(), 15, 45)
	for _, c := range []*exec.Cmd{first, second} {
		c.Stderr = os.Stderr
		must(t, c.Start())
	}
	for _, c := range []*exec.Cmd{first, second} {
		if err := c.Wait(); err != nil {
			t.Error(err)
		}
	}
	sound(t, log)
	if got := len(history(t, log)); got != 45 {
		t.Errorf("got %d workbooks; want 45", got)
	}
}

// Corrections of one batch that arrive at once become revisions one after the other.
func TestCorrectionsAtOnce(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	var wait sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		own := reopen(t, log.Path())
		wait.Go(func() { _, _, errs[i] = own.Collect(sample(1, i+1)) })
	}
	wait.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Error(err)
	}
	sound(t, log)
	if revisions, err := log.Revisions("SK-26-00001"); err != nil || len(revisions) != 9 {
		t.Errorf("got %d revisions, error %v; want 9", len(revisions), err)
	}
}

// A writer that another program keeps waiting gives up, says so, and works again.
func TestBusyIsSaid(t *testing.T) {
	log, other := newLog(t), (*Log)(nil)
	other = reopen(t, log.Path())
	if _, err := log.db.Exec("PRAGMA busy_timeout=20"); err != nil {
		t.Fatal(err)
	}
	if _, err := other.db.Exec("BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := log.Collect(sample(1, 0)); !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "try again") {
		t.Errorf("got %v; want ErrBusy with the remedy", err)
	}
	if _, err := other.db.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	collect(t, log, sample(1, 0), Added, 1)
}

// A reader that stands in the way of a commit: nothing is stored, no transaction stays
// open, and the next collect works.
func TestBusyAtCommit(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	reader := reopen(t, log.Path())
	if _, err := log.db.Exec("PRAGMA busy_timeout=20"); err != nil {
		t.Fatal(err)
	}
	rows, err := reader.db.Query("SELECT key FROM reading")
	must(t, err)
	if !rows.Next() {
		t.Fatal("no rows")
	}
	if _, _, err := log.Collect(sample(2, 0)); !errors.Is(err, ErrBusy) {
		t.Errorf("got %v; want ErrBusy", err)
	}
	must(t, rows.Close())
	collect(t, log, sample(2, 0), Added, 1)
}

// The disk fills up at every page in turn: the log stays as it was, and takes the
// workbook once there is room. SQLite's page limit plays the disk.
func TestFullDiskLeavesLogWhole(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	before := history(t, log)
	var pages int
	must(t, log.db.QueryRow("PRAGMA page_count").Scan(&pages))
	refused := 0
	for room := 0; ; room++ {
		if _, err := log.db.Exec(fmt.Sprintf("PRAGMA max_page_count=%d", pages+room)); err != nil {
			t.Fatal(err)
		}
		_, _, err := log.Collect(sample(2, 0))
		sound(t, log)
		if err == nil {
			break
		}
		refused++
		if !errors.Is(err, ErrFull) || !strings.Contains(err.Error(), "make room") {
			t.Fatalf("room for %d pages: got %v; want ErrFull with the remedy", room, err)
		}
		if after := history(t, log); !reflect.DeepEqual(before, after) {
			t.Fatalf("room for %d pages: the log changed", room)
		}
	}
	if refused < 5 { // 21,000 bytes of workbook alone are 6 pages of 4,096
		t.Errorf("the disk was full %d times; want 5 or more", refused)
	}
	if got := len(history(t, log)); got != 2 {
		t.Errorf("got %d revisions; want 2", got)
	}
}
