package seasonlog

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"spatsheet/render/scratch"
	"strings"
	"testing"
)

// A changed byte in anything stored is told, both when it is asked for and by Verify.
func TestChangedBytesAreFound(t *testing.T) {
	cases := []struct {
		name, mark string
		ask        func(*Log) error
	}{
		{"workbook", "WORKBOOK-BYTES", func(l *Log) error { _, err := l.Content("SK-26-00001", 1); return err }},
		{"protocol", "PROTOCOL-TEXT", func(l *Log) error { _, err := l.Text(sample(1, 0).ProtocolDigest); return err }},
		{"plan", "PLAN-TEXT", func(l *Log) error { _, err := l.Text(sha256Hex(sample(1, 0).PlanText)); return err }},
		{"site", "SITE-TEXT", func(l *Log) error { _, err := l.Text(sha256Hex(sample(1, 0).SiteText)); return err }},
		{"reading", "RAW-READING", func(l *Log) error { _, err := l.Readings("SK-26-00001", 0); return err }},
		{"finding", "FINDING-SAYS", func(l *Log) error { _, err := l.Findings("SK-26-00001", 0); return err }},
		{"reason", "WHY-REVISED", func(l *Log) error { _, err := l.Revisions("SK-26-00001"); return err }},
		{"time", "2026-05-03T17:01", func(l *Log) error { _, err := l.Batches(); return err }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			log := newLog(t)
			w := sample(1, 0)
			copy(w.Content[9000:], "WORKBOOK-BYTES")
			w.Readings[5].Raw, w.Findings[0].Says, w.Reason = "RAW-READING", "FINDING-SAYS", "WHY-REVISED"
			collect(t, log, w, Added, 1)
			must(t, log.Close())
			file, err := os.ReadFile(log.Path())
			must(t, err)
			changed := []byte(c.mark)
			changed[len(changed)-1] ^= 1
			if !bytes.Contains(file, []byte(c.mark)) {
				t.Fatalf("%q does not stand in the file", c.mark)
			}
			// All of them: moving rows between pages leaves old bytes in unused space.
			must(t, os.WriteFile(log.Path(), bytes.ReplaceAll(file, []byte(c.mark), changed), 0o644))

			log = reopen(t, log.Path())
			if err := c.ask(log); !errors.Is(err, ErrDamaged) {
				t.Errorf("got %v; want ErrDamaged", err)
			}
			if faults, err := log.Verify(); err != nil || len(faults) == 0 {
				t.Errorf("got faults %v, error %v; want a fault", faults, err)
			}
		})
	}
}

// Wherever one bit of the file changes, either Open or Verify tells, or nothing stored
// reads differently.
func TestAnyChangedBitIsFoundOrHarmless(t *testing.T) {
	log := newLog(t)
	for n := range 2 {
		w := sample(n, 0)
		w.Content = w.Content[:6000] // a small file, so that the bits hit everything else too
		w.Readings = w.Readings[:20]
		collect(t, log, w, Added, 1)
	}
	want := everything(log)
	must(t, log.Close())
	whole, err := os.ReadFile(log.Path())
	must(t, err)
	random := rand.New(rand.NewPCG(2026, 5))
	path := filepath.Join(scratch.Folder(t), "log")
	found := 0
	const bits = 300
	for i := range bits {
		at := random.IntN(len(whole))
		if i < 100 {
			at = i // the whole header of the file, then anywhere
		}
		file := bytes.Clone(whole)
		file[at] ^= 1 << random.IntN(8)
		must(t, os.WriteFile(path, file, 0o644))
		log, err := Open(path)
		if err != nil {
			found++
			continue
		}
		faults, err := log.Verify()
		if err != nil || len(faults) > 0 {
			found++
		} else if got := everything(log); got != want {
			t.Errorf("byte %d: not found, and the log reads differently", at)
		}
		log.Close()
	}
	t.Logf("%d of %d changed bits found, the others harmless", found, bits)
	if found < bits/4 {
		t.Errorf("only %d of %d changed bits were found", found, bits)
	}
}

// everything is all that the log gives, as text.
func everything(log *Log) string {
	var all strings.Builder
	list, err := log.History()
	fmt.Fprintln(&all, list, err)
	for _, r := range list {
		readings, err1 := log.Readings(r.Batch, r.Number)
		findings, err2 := log.Findings(r.Batch, r.Number)
		content, err3 := log.Content(r.Batch, r.Number)
		plan, err4 := log.Text(r.PlanText)
		fmt.Fprintln(&all, readings, findings, sha256Hex(content), string(plan), err1, err2, err3, err4)
	}
	return all.String()
}

func TestCutShortIsFound(t *testing.T) {
	for _, share := range []int{1, 2, 3} {
		log := newLog(t)
		collect(t, log, sample(1, 0), Added, 1)
		must(t, log.Close())
		info, err := os.Stat(log.Path())
		must(t, err)
		must(t, os.Truncate(log.Path(), info.Size()*int64(share)/4))
		if _, err := Open(log.Path()); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "make a new log of what is whole in it") {
			t.Errorf("%d quarters: got %v; want ErrDamaged with the remedy", share, err)
		}
	}
}

// What a person with an SQL program can do to the file is told.
func TestVerifyFindsTampering(t *testing.T) {
	cases := []struct{ name, statements, says string }{
		{"trigger dropped", "DROP TRIGGER reading_no_update", "trigger reading_no_update"},
		{"last reading deleted", "DROP TRIGGER reading_no_DELETE; DELETE FROM reading WHERE position = 150",
			"the readings are not as they were stored: 149, were 150"},
		{"number changed", "DROP TRIGGER reading_no_UPDATE; UPDATE reading SET number = number + 1e-9 " +
			"WHERE position = 9", "the readings are not as they were stored"},
		{"finding changed", "DROP TRIGGER finding_no_UPDATE; UPDATE finding SET level = 'note'", "the findings are not as they were stored"},
		{"reason changed", "DROP TRIGGER revision_no_UPDATE; UPDATE revision SET reason = 'none' WHERE revision = 2", "the record is not as it was stored"},
		{"revision deleted", "PRAGMA foreign_keys=0; DROP TRIGGER revision_no_DELETE; DELETE FROM revision WHERE batch " +
			"= 'SK-26-00001' AND revision = 1", "revision 1 is missing"},
		{"workbook deleted", "PRAGMA foreign_keys=0; DROP TRIGGER workbook_no_DELETE; DELETE FROM workbook", "points to a missing workbook"},
		{"stray text", "INSERT INTO document VALUES ('" + sha256Hex([]byte{0}) + "', x'00')", "no revision names it"},
		{"workbook changed", "DROP TRIGGER workbook_no_UPDATE; UPDATE workbook SET content = x'00'", "the content has digest " + sha256Hex([]byte{0})},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			log := newLog(t)
			collect(t, log, sample(1, 0), Added, 1)
			collect(t, log, sample(1, 1), Revised, 2)
			collect(t, log, sample(2, 0), Added, 1)
			must(t, log.Close())
			database(t, log.Path(), c.statements)
			faults, err := reopen(t, log.Path()).Verify()
			if err != nil || !strings.Contains(strings.ToLower(fmt.Sprint(faults)), strings.ToLower(c.says)) {
				t.Errorf("got faults %v, error %v; want %q", faults, err, c.says)
			}
		})
	}
}

// Damage to an index changes no stored byte, but may hide rows: SQLite's own check tells.
func TestVerifyFindsBrokenIndex(t *testing.T) {
	log := newLog(t)
	w := sample(1, 0)
	collect(t, log, w, Added, 1)
	var page, size int
	must(t, log.db.QueryRow("SELECT rootpage, (SELECT page_size FROM pragma_page_size) FROM sqlite_schema WHERE name = "+
		"'sqlite_autoindex_document_1'").Scan(&page, &size))
	must(t, log.Close())
	file, err := os.ReadFile(log.Path())
	must(t, err)
	index := file[(page-1)*size : page*size]
	at := bytes.Index(index, []byte(sha256Hex(w.SiteText)))
	if at < 0 {
		t.Fatal("the site text is not in the index")
	}
	index[at+63] ^= 1
	must(t, os.WriteFile(log.Path(), file, 0o644))
	faults, err := reopen(t, log.Path()).Verify()
	if err != nil || !strings.Contains(fmt.Sprint(faults), "missing from index") {
		t.Errorf("got faults %v, error %v; want a row missing from its index", faults, err)
	}
}
