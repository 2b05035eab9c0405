// Package seasonlog keeps the season log: one SQLite file that holds every collected
// workbook whole, with its readings, its findings and the texts it was scaled from.
//
// The log is append-only. A workbook is stored by the SHA-256 of its bytes; collecting
// it again changes nothing; a corrected one for the same batch becomes the next revision,
// with a reason, and the older ones stay readable. Whatever is stored can be compiled
// again from the stored workbooks.
//
// The file uses a rollback journal, not a write-ahead log: between writes the log is one
// plain file that can be copied, and two computers may write it over a network share
// whose file locks work. A write-ahead log needs memory shared by all its writers, which
// a network share does not give.
//
// What may enter: bytes and readings handed in, times as arguments, the path of the log.
// What may not: reading workbooks (the caller does that), the clock, judgements about
// readings, any other file.
package seasonlog

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"spatsheet/protocols/remedy"
	"strconv"
	"strings"
	"sync/atomic"

	_ "modernc.org/sqlite" // the database driver
)

// Log is an open season log. Goroutines may share it; each call waits for its turn.
//
// While a Log is open, its process must not open and close the file by other means (to
// copy it, for instance): POSIX drops a process's locks on a file with the first handle
// it closes.
type Log struct {
	path       string
	db         *sql.DB
	isComplete atomic.Bool // see complete
}

// waitMS is how long a call waits for another program that is writing, in milliseconds.
// Site choice: a collect takes some ten milliseconds, so this is a queue of hundreds.
const waitMS = 10000

// Create makes a new, empty season log at path.
//
// The folder must exist. Error: ErrExists when something stands there already, ErrNoLog
// when the folder does not exist, ErrReadOnly, ErrFull. A creation that was killed leaves
// an empty file behind, which Create takes over.
func Create(path string) error {
	if err := vacant(path); err != nil {
		return err
	}
	log, err := connect(path, "rwc")
	if err != nil {
		return err
	}
	defer log.Close()
	return log.write(func(c *sql.Conn) error {
		var objects int // another program may have created it in the meantime
		if err := c.QueryRowContext(background, "SELECT count(*) FROM sqlite_schema").Scan(&objects); err != nil {
			return err
		}
		if objects > 0 {
			return exists(path)
		}
		return execAll(c, schema()...)
	})
}

// vacant refuses a path where a log can't be created, before SQLite touches the file.
func vacant(path string) error {
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return &Error{Kind: ErrNoLog, Path: path, Says: "there is no folder " + folder, Remedy: "make the folder first", Cause: err}
	}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return &Error{Kind: ErrReadOnly, Path: path, Says: "cannot be looked at", Remedy: remedyReadOnly, Cause: err}
	}
	_, journal := os.Stat(path + "-journal")
	if info.IsDir() || info.Size() > 0 && journal != nil {
		return exists(path)
	}
	return nil
}

func exists(path string) error {
	return &Error{Kind: ErrExists, Path: path, Says: "exists already", Remedy: "collect into it, or choose another name; a season log is never overwritten"}
}

// Open opens an existing season log for reading and collecting.
//
// Error: ErrNoLog when nothing is there, ErrNotALog when the file is something else,
// ErrNewer when a newer spatsheet made it, ErrDamaged when the file is cut short or its
// description can't be read, ErrBusy. A log that may not be written opens well and can be
// read; Collect then refuses with ErrReadOnly.
func Open(path string) (*Log, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &Error{Kind: ErrNoLog, Path: path, Says: "there is no such file", Remedy: "name the season log, or make an empty one", Cause: err}
	}
	if err == nil && info.IsDir() {
		return nil, &Error{Kind: ErrNotALog, Path: path, Says: "is a folder", Remedy: "name the season log file inside it"}
	}
	log, err := connect(path, "rw")
	if err != nil {
		return nil, err
	}
	if err := log.settle(); err != nil {
		log.Close()
		return nil, err
	}
	return log, nil
}

// settle tells whether the file is a log of ours, and only then sets its journal mode.
func (l *Log) settle() error {
	var pages, application, format, objects int
	err := l.db.QueryRow("SELECT (SELECT page_count FROM pragma_page_count), (SELECT application_id FROM "+
		"pragma_application_id), (SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)").
		Scan(&pages, &application, &format, &objects)
	if err != nil {
		return l.trouble(err)
	}
	switch {
	case pages == 0:
		return &Error{Kind: ErrNotALog, Path: l.path, Says: "is empty",
			Takes: remedy.Remedy{Kind: remedy.MakeLog, Of: filepath.Dir(l.path)}}
	case application != applicationID || format < 1:
		return &Error{Kind: ErrNotALog, Path: l.path, Says: "is a database, but not a season log", Remedy: "name the season log; this file was left as it was"}
	case format > Format:
		return &Error{Kind: ErrNewer, Path: l.path, Remedy: "use a newer spatsheet; this file was left as it was",
			Says: "has format " + strconv.Itoa(format) + ", and this program knows formats up to " + strconv.Itoa(Format)}
	}
	var mode string
	if err := l.db.QueryRow("PRAGMA journal_mode=DELETE").Scan(&mode); err != nil {
		return l.trouble(err)
	}
	if mode != "delete" {
		return &Error{Kind: ErrBusy, Path: l.path, Says: "another program keeps it in journal mode " + mode, Remedy: "close that program and try again"}
	}
	return nil
}

// Close lets go of the file.
func (l *Log) Close() error { return l.db.Close() }

// Path is where the log is, as it was given to Open.
func (l *Log) Path() string { return l.path }

// connect opens the file without changing anything in it; mode is SQLite's: "rw" or "rwc".
//
// synchronous EXTRA also syncs the folder after the journal is deleted: without that a
// power cut could bring the journal back and take an acknowledged workbook away again.
// fullfsync matters on macOS only, where a plain fsync leaves data in the drive's cache.
func connect(path, mode string) (*Log, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, &Error{Kind: ErrNoLog, Path: path, Says: "has no full path", Remedy: "name it by its full path", Cause: err}
	}
	slashed := filepath.ToSlash(full)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // Windows: C:/season/log
	}
	query := "mode=" + mode + "&_defensive=1&_dqs=0"
	for _, pragma := range []string{
		"busy_timeout(" + strconv.Itoa(waitMS) + ")", "foreign_keys(1)", "synchronous(EXTRA)",
		"fullfsync(1)", "trusted_schema(0)", "cell_size_check(1)",
	} {
		query += "&_pragma=" + pragma
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: slashed, RawQuery: query}).String())
	if err != nil {
		return nil, (&Log{path: path}).trouble(err)
	}
	db.SetMaxOpenConns(1)
	return &Log{path: path, db: db}, nil
}

// background stands in where database/sql wants a context: a collect is not cut off
// half-way, it is short.
var background = context.Background()

// write runs do in one transaction that holds the write lock from its start.
//
// BEGIN and COMMIT are ours because database/sql forgets a transaction whose COMMIT
// found the file busy, and would leave it open.
func (l *Log) write(do func(*sql.Conn) error) error { return l.transact("BEGIN IMMEDIATE", do) }

// read runs do on one unchanging state of the log.
func (l *Log) read(do func(*sql.Conn) error) error { return l.transact("BEGIN", do) }

func (l *Log) transact(begin string, do func(*sql.Conn) error) error {
	c, err := l.db.Conn(background)
	if err != nil {
		return l.trouble(err)
	}
	defer c.Close()
	if err := execAll(c, begin); err != nil {
		return l.trouble(err)
	}
	err = do(c)
	if err == nil {
		err = execAll(c, "COMMIT")
	}
	if err != nil {
		// After a full disk SQLite has rolled back by itself; this then does nothing.
		_, _ = c.ExecContext(background, "ROLLBACK")
		return l.trouble(err)
	}
	return nil
}

func execAll(c *sql.Conn, statements ...string) error {
	for _, s := range statements {
		if _, err := c.ExecContext(background, s); err != nil {
			return err
		}
	}
	return nil
}
