package seasonlog

import (
	"bytes"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"spatsheet/render/scratch"
	"strings"
	"testing"
)

func TestOpenRefuses(t *testing.T) {
	cases := []struct {
		name   string
		make   func(t *testing.T, path string)
		kind   error
		remedy string
	}{
		{"nothing there", func(*testing.T, string) {}, ErrNoLog, "make an empty one"},
		{"a folder", func(t *testing.T, path string) { must(t, os.Mkdir(path, 0o755)) }, ErrNotALog, "inside it"},
		{"a text file", func(t *testing.T, path string) { must(t, os.WriteFile(path, []byte("batch: SK-26-01\n"), 0o644)) }, ErrNotALog, "name the season log"},
		{"a large text file", func(t *testing.T, path string) {
			must(t, os.WriteFile(path, bytes.Repeat([]byte("batch: SK-26-01\n"), 1000), 0o644))
		}, ErrNotALog, "name the season log"},
		{"an empty file", func(t *testing.T, path string) { must(t, os.WriteFile(path, nil, 0o644)) }, ErrNotALog,
			"is empty; fetch it from a copy, or, if nothing was collected yet, make an empty one"},
		{"another program's database", func(t *testing.T, path string) { database(t, path, "CREATE TABLE stock (n)") }, ErrNotALog, "name the season log"},
		{"another program's database with a write-ahead log", func(t *testing.T, path string) {
			database(t, path, "PRAGMA journal_mode=WAL; CREATE TABLE stock (n)")
		}, ErrNotALog, "name the season log"},
		{"a newer format", func(t *testing.T, path string) {
			must(t, Create(path))
			database(t, path, "PRAGMA user_version=2")
		}, ErrNewer, "use a newer spatsheet"},
		{"format 0", func(t *testing.T, path string) {
			must(t, Create(path))
			database(t, path, "PRAGMA user_version=0")
		}, ErrNotALog, "name the season log"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(scratch.Folder(t), "log")
			c.make(t, path)
			before, _ := os.ReadFile(path)
			log, err := Open(path)
			if log != nil || !errors.Is(err, c.kind) || !errors.Is(err, ErrTrouble) {
				t.Fatalf("got %v; want %v", err, c.kind)
			}
			if !strings.Contains(err.Error(), path) || !strings.Contains(err.Error(), c.remedy) {
				t.Errorf("got %q; want the path and the remedy %q", err, c.remedy)
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
				t.Error("the file was changed")
			}
		})
	}
}

func TestCreateRefuses(t *testing.T) {
	folder := scratch.Folder(t)
	path := filepath.Join(folder, "log")
	must(t, Create(path))
	note := filepath.Join(folder, "note.txt")
	must(t, os.WriteFile(note, []byte("tank 3"), 0o644))
	for name, c := range map[string]struct {
		path string
		kind error
	}{
		"a log": {path, ErrExists}, "a text": {note, ErrExists}, "a folder": {folder, ErrExists},
		"no folder": {filepath.Join(folder, "none", "log"), ErrNoLog},
	} {
		if err := Create(c.path); !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.path) {
			t.Errorf("%s: got %v; want %v and the path", name, err, c.kind)
		}
	}
	sound(t, reopen(t, path))
}

// Two programs that create at once: one does, the other is told, the log is whole.
func TestCreateTwiceAtOnce(t *testing.T) {
	path := filepath.Join(scratch.Folder(t), "log")
	results := make(chan error, 2)
	for range 2 {
		go func() { results <- Create(path) }()
	}
	first, second := <-results, <-results
	if (first == nil) == (second == nil) || !errors.Is(errors.Join(first, second), ErrExists) {
		t.Errorf("got %v and %v; want one success and one ErrExists", first, second)
	}
	sound(t, reopen(t, path))
}

// A creation that was killed leaves an empty file, or one with its journal.
func TestCreateTakesOverWhatWasCutOff(t *testing.T) {
	path := filepath.Join(scratch.Folder(t), "log")
	must(t, os.WriteFile(path, nil, 0o644))
	must(t, Create(path))
	sound(t, reopen(t, path))
}

// A log that another program switched to a write-ahead log is switched back, so that it
// is one file again.
func TestOpenLeavesWriteAheadLog(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	must(t, log.Close())
	database(t, log.Path(), "PRAGMA journal_mode=WAL")
	log = reopen(t, log.Path())
	collect(t, log, sample(2, 0), Added, 1)
	entries, err := os.ReadDir(filepath.Dir(log.Path()))
	if err != nil || len(entries) != 1 {
		t.Errorf("got %v, error %v; want one file", entries, err)
	}
}

// The settings that durability rests on hold on the connection.
func TestDurableSettings(t *testing.T) {
	log := newLog(t)
	for pragma, want := range map[string]string{"journal_mode": "delete", "synchronous": "3", "foreign_keys": "1", "busy_timeout": "10000", "fullfsync": "1"} {
		var got string
		if err := log.db.QueryRow("PRAGMA " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s: got %q, error %v; want %q", pragma, got, err, want)
		}
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// database changes a file with SQL, as another program would.
func database(t *testing.T, path, statements string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	must(t, err)
	defer db.Close()
	_, err = db.Exec(statements)
	must(t, err)
}
