package seasonlog

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// Remains is what is whole in a log's file, be the log sound or damaged.
//
// Everything in it has proved itself: a workbook by its SHA-256, the record of its
// collecting by the record's digest.
type Remains struct {
	Workbooks []Kept  // the whole ones, in the order of collecting
	Lost      []Fault // the others, as far as a trace of them is left
	file      *os.File
	pages     *pages
}

// Kept is a stored workbook that is whole.
type Kept struct {
	Collected int      // order of collecting, from 1
	Workbook  string   // SHA-256 of the file, in hex
	Recorded  bool     // the record of its collecting is whole too
	Record    Revision // only when Recorded: batch, file name, reason, time...
	row       pageRow
}

// Place is the workbook for people: "batch KS-26-01 revision 2", or its number when the
// record is lost.
func (k Kept) Place() string {
	if k.Recorded {
		return "batch " + k.Record.place()
	}
	return fmt.Sprintf("workbook number %d in the order of collecting", k.Collected)
}

// SameReadings says whether these are the readings that were stored with the workbook.
func (k Kept) SameReadings(readings []calc.Reading) bool {
	return k.Recorded && len(readings) == k.Record.Readings && digestReadings(readings) == k.Record.ReadingsDigest
}

// SameFindings says whether these are the findings that were stored with the workbook.
func (k Kept) SameFindings(findings []check.Finding) bool {
	return k.Recorded && len(findings) == k.Record.Findings && digestFindings(findings) == k.Record.FindingsDigest
}

// Rescue finds what is whole in the file of a log, whatever is damaged in it. The file is
// read from; a journal left by a killed program is rolled back first, as by Open.
//
// The caller closes what it gives. Error: ErrNoLog, ErrNewer, ErrBusy, ErrDisk, and
// ErrNotALog or ErrDamaged when there is no trace of a workbook in the file.
func Rescue(path string) (*Remains, error) {
	log, err := Open(path)
	if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNotALog) {
		return nil, err
	}
	if err != nil {
		return rescue(path, err)
	}
	defer log.Close()
	var found *Remains
	err = log.read(func(c *sql.Conn) error {
		if err := execAll(c, "SELECT 1 FROM sqlite_schema"); err != nil { // from here on nobody else writes
			return err
		}
		found, err = rescue(path, nil)
		return err
	})
	return found, err
}

// rescue reads the pages; refused is why Open would not.
func rescue(path string, refused error) (*Remains, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrPermission) {
		return nil, &Error{Kind: ErrReadOnly, Path: path, Says: "it may not be read", Remedy: remedyReadOnly, Cause: err}
	}
	if err != nil {
		return nil, &Error{Kind: ErrDisk, Path: path, Says: "it cannot be opened", Remedy: "check that the disk or share is connected", Cause: err}
	}
	info, err := file.Stat()
	if err != nil || info.IsDir() {
		file.Close()
		return nil, errors.Join(refused, err)
	}
	r := &Remains{file: file}
	declared := 0
	r.pages, declared = newPages(file, info.Size())
	s := newSearch(r)
	if err := s.run(); err != nil {
		file.Close()
		return nil, &Error{Kind: ErrDisk, Path: path, Says: "the disk did not read", Remedy: "check that the disk or share is connected, and copy the file to another disk", Cause: err}
	}
	if refused != nil && len(r.Workbooks)+len(s.records) == 0 {
		file.Close()
		if errors.Is(refused, ErrDamaged) {
			return nil, &Error{Kind: ErrDamaged, Path: path, Says: "nothing in it is whole", Remedy: "fetch the log from a copy, or collect the filled workbooks again into a new one", Cause: refused}
		}
		return nil, refused
	}
	if declared > r.pages.count {
		r.Lost = append(r.Lost, Fault{Place: "file", Says: fmt.Sprintf("it is cut short: %d pages of %d are left; what was collected last may be missing without a trace", r.pages.count, declared), Remedy: remedyLost})
	}
	return r, nil
}

// Close lets go of the file.
func (r *Remains) Close() error { return r.file.Close() }

// Content gives the workbook byte for byte. Error: ErrDamaged when it is no longer whole.
func (r *Remains) Content(k Kept) ([]byte, error) {
	content, err := r.content(k.row)
	if err != nil || sha256Hex(content) != k.Workbook {
		return nil, &Error{Kind: ErrDamaged, Path: r.file.Name(), Says: k.Place() + " was whole and is no longer", Remedy: "close what writes to the file and try again", Cause: err}
	}
	return content, nil
}

func (r *Remains) content(at pageRow) ([]byte, error) {
	record, err := r.pages.whole(at)
	if err != nil {
		return nil, err
	}
	values, err := columns(record)
	if err != nil {
		return nil, err
	}
	content, ok := values[len(values)-1].([]byte)
	if !ok {
		return nil, errRow
	}
	return content, nil
}
