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
	Workbooks []Kept // the whole ones, in the order of collecting
	Lost      []Loss // the others, as far as a trace of them is left
	file      *os.File
	pages     *pages
}

// Loss is a stored workbook that is not whole, or the end of the file when it was cut off.
type Loss struct {
	Fault
	Collected int    // order of collecting, from 1; 0 for the end of the file
	Batch     string // empty when its name is lost too
	Number    int    // revision of the batch
	Workbook  string // SHA-256 of the file when the record of its collecting is whole
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
	if found == nil && errors.Is(err, ErrDamaged) {
		return rescue(path, err)
	}
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
	s, declared, err := searchAll(file, info.Size())
	if err != nil {
		file.Close()
		return nil, &Error{Kind: ErrDisk, Path: path, Says: "the disk did not read",
			Remedy: "check that the disk or share is connected, and copy the file to another disk", Cause: err}
	}
	r := s.remains
	if refused != nil && len(r.Workbooks)+len(s.records) == 0 {
		file.Close()
		return nil, hopeless(path, refused)
	}
	if declared > r.pages.count {
		r.Lost = append(r.Lost, Loss{Fault: Fault{Place: "file",
			Says: fmt.Sprintf("it is cut short: %d pages of %d are left; what was collected last may be missing without "+
				"a trace", r.pages.count, declared), Remedy: remedyUnknown}})
	}
	return r, nil
}

// searchAll searches a file in every way that its pages may be laid out, and gives the
// search that found most.
func searchAll(file *os.File, bytes int64) (best *search, declared int, err error) {
	ways, declared := newPages(file, bytes)
	for _, p := range ways {
		s := newSearch(&Remains{file: file, pages: p})
		if err := s.run(); err != nil {
			return nil, declared, err
		}
		if best == nil || s.found() > best.found() {
			best = s
		}
	}
	return best, declared, nil
}

// hopeless says that nothing is whole in a log that could not be opened; what Open advises,
// to rescue what is whole, is left out.
func hopeless(path string, refused error) error {
	var ours *Error
	if !errors.Is(refused, ErrDamaged) || !errors.As(refused, &ours) {
		return refused
	}
	return &Error{Kind: ErrDamaged, Path: path, Says: "nothing in it is whole",
		Remedy: "fetch the log from a copy, or collect the filled workbooks again into a new one", Cause: ours.Cause}
}

// Close lets go of the file.
func (r *Remains) Close() error { return r.file.Close() }

// Content gives the workbook byte for byte. Error: ErrDamaged when it is no longer whole.
func (r *Remains) Content(k Kept) ([]byte, error) {
	content, err := r.content(k.row)
	if err != nil || sha256Hex(content) != k.Workbook {
		return nil, &Error{Kind: ErrDamaged, Path: r.file.Name(), Says: k.Place() + " was whole and is no longer",
			Remedy: "close what writes to the file and try again", Cause: err}
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
