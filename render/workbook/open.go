package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Limits on what is read. A workbook of the largest batch that can be planned is far
// below them; a small file that unpacks to gigabytes is refused by them. Site choice.
const (
	maxFile     = 32 << 20 // bytes of the file
	maxUnpacked = 64 << 20 // bytes of all its parts
	maxPart     = 16 << 20 // bytes of one part
	maxParts    = 2000

	// Of the parts that are XML, thirty times those of the longest workbook printed.
	maxXML    = 4 << 20
	maxXMLAll = 8 << 20

	// The workbook library takes time with the square of the rows of a sheet: minutes for
	// 90,000. They are counted in parts of more bytes than plainXML, which no printed workbook has.
	maxRows  = 5_000
	plainXML = 100 << 10
)

// use is what a workbook is opened for; one that is only read cannot be written again.
type use int

const (
	toRead use = iota
	toWrite
)

// open reads the parts of a workbook, or says why not.
func open(content []byte, u use) (*excelize.File, error) {
	archive, err := inspect(content)
	if err == nil && u == toRead {
		content, err = withoutLooks(archive)
	}
	if err != nil {
		return nil, err
	}
	f, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxPart,
	})
	if err != nil {
		if f != nil {
			f.Close()
		}
		return nil, damaged(err)
	}
	return f, nil
}

func damaged(err error) error {
	return fmt.Errorf("%w: %v; copy it again from where it was filled in, or save it again as .xlsx", ErrDamaged, err)
}

// inspect looks at the package before anything is unpacked.
func inspect(content []byte) (*zip.Reader, error) {
	switch {
	case len(content) > maxFile:
		return nil, fmt.Errorf("%w: %d MB, more than %d MB; remove pictures and sheets that were added", ErrTooLarge, len(content)>>20, maxFile>>20)
	case len(content) == 0:
		return nil, fmt.Errorf("%w: it is empty; copy it again", ErrDamaged)
	case bytes.HasPrefix(content, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		return nil, fmt.Errorf("%w: it is an old .xls file or locked with a password; save it as .xlsx without a password", ErrNotOurs)
	case !bytes.HasPrefix(content, []byte("PK")):
		return nil, fmt.Errorf("%w: it is no .xlsx file at all; collect the workbook that was printed for the batch", ErrNotOurs)
	}
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return nil, damaged(err)
	}
	if err := inspectParts(archive); err != nil {
		return nil, err
	}
	return archive, noPartTwice(archive)
}

// noPartTwice refuses a package that holds a part twice: programs differ in which they read.
func noPartTwice(archive *zip.Reader) error {
	seen := map[string]bool{}
	for _, part := range archive.File {
		name := strings.ToLower(part.Name)
		if seen[name] {
			return damaged(fmt.Errorf("it holds %s twice", part.Name))
		}
		seen[name] = true
	}
	return nil
}

func inspectParts(archive *zip.Reader) error {
	if len(archive.File) > maxParts {
		return fmt.Errorf("%w: it has %d parts, more than %d; save it again as .xlsx", ErrTooLarge, len(archive.File), maxParts)
	}
	var total, totalXML uint64
	for _, part := range archive.File {
		if part.Name == "mimetype" && isOpenDocument(part) {
			return fmt.Errorf("%w: it is an OpenDocument file; save it as .xlsx (\"Excel 2007-365\")", ErrNotOurs)
		}
		total += min(part.UncompressedSize64, maxUnpacked+1)
		if part.UncompressedSize64 > maxPart || total > maxUnpacked {
			return fmt.Errorf("%w: unpacked it is more than %d MB, or %d MB in one part; remove what was added to it", ErrTooLarge, maxUnpacked>>20, maxPart>>20)
		}
		if name := strings.ToLower(part.Name); !strings.HasSuffix(name, ".xml") && !strings.HasSuffix(name, ".rels") {
			continue // a picture that somebody put in
		}
		totalXML += part.UncompressedSize64
		if part.UncompressedSize64 > maxXML || totalXML > maxXMLAll {
			return fmt.Errorf("%w: its sheets are more than %d MB unpacked, or one of them %d MB; remove the rows and "+
				"sheets that were added to it", ErrTooLarge, maxXMLAll>>20, maxXML>>20)
		}
		if part.UncompressedSize64 > plainXML && rowsIn(part) > maxRows {
			return fmt.Errorf("%w: a sheet has more than %d rows; remove those that were added to it", ErrTooLarge, maxRows)
		}
	}
	return nil
}

// rowsIn counts what may be rows of a part by their tags, two for each, whatever their name
// space is called. A part that cannot be unpacked is told when it is read.
func rowsIn(part *zip.File) int {
	r, err := part.Open()
	if err != nil {
		return 0
	}
	defer r.Close()
	text, _ := io.ReadAll(io.LimitReader(r, maxXML))
	return (bytes.Count(text, []byte("row>")) + bytes.Count(text, []byte("row ")) + bytes.Count(text, []byte("row/>"))) / 2
}

func isOpenDocument(part *zip.File) bool {
	r, err := part.Open()
	if err != nil {
		return false
	}
	defer r.Close()
	text, err := io.ReadAll(io.LimitReader(r, 100))
	return err == nil && bytes.HasPrefix(text, []byte("application/vnd.oasis.opendocument"))
}

// guard turns a panic of the workbook library on bytes that nobody foresaw into ErrDamaged:
// one bad file must not end the reading of a folder of them.
func guard(err *error) {
	if fault := recover(); fault != nil {
		*err = damaged(fmt.Errorf("its parts do not fit together (%v)", fault))
	}
}
