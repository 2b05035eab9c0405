package seasonlog

import (
	"encoding/binary"
	"errors"
	"io"
)

// pages reads a SQLite file page by page without SQLite, which gives up on a whole table
// when one page of its tree is damaged. Only rows are read; how they hang together is not
// believed. What a row holds must prove itself by a digest.
//
// Source: "Database File Format", sqlite.org/fileformat2.html, sections 1.2 to 1.6 and 2.1
// (from memory).
type pages struct {
	file   io.ReaderAt
	size   int // bytes of a page
	usable int // of which rows may use
	count  int
}

// The kinds of pages that hold rows: the first byte of their header.
const (
	tableLeaf     = 13
	indexLeaf     = 10
	indexInterior = 2
)

// Where the file's own header, on page 1, keeps what is read here.
const (
	fileHeader  = 100 // its length
	pageSizeAt  = 16  // two bytes
	reservedAt  = 20  // one byte
	pageCountAt = 28  // four bytes
)

// newPageSize is what SQLite gives the pages of a new file, in bytes, all of which rows may
// use. Create makes every log so; the header of one may be damaged.
const newPageSize = 4096

// leastUsable is the least that the format allows, in bytes.
const leastUsable = 480

// errRow is a row that cannot be what was stored.
var errRow = errors.New("not a row")

// newPages looks at a file of so many bytes: as pages of the sizes that Create gives them,
// and, where its header says otherwise, as those too. declared is how many pages the header
// claims.
func newPages(file io.ReaderAt, bytes int64) (ways []*pages, declared int) {
	ways = []*pages{{file: file, size: newPageSize, usable: newPageSize, count: int(bytes / newPageSize)}}
	header := make([]byte, fileHeader)
	if _, err := file.ReadAt(header, 0); err != nil {
		return ways, 0
	}
	declared = int(binary.BigEndian.Uint32(header[pageCountAt:]))
	size := int(binary.BigEndian.Uint16(header[pageSizeAt:]))
	if size == 1 {
		size = 65536
	}
	usable := size - int(header[reservedAt])
	if size < 512 || size&(size-1) != 0 || usable < leastUsable || size == newPageSize && usable == newPageSize {
		return ways, declared
	}
	return append(ways, &pages{file: file, size: size, usable: usable, count: int(bytes / int64(size))}), declared
}

// page reads page number n, from 1.
func (p *pages) page(n int) ([]byte, error) {
	if n < 1 || n > p.count {
		return nil, errRow
	}
	page := make([]byte, p.size)
	_, err := p.file.ReadAt(page, int64(n-1)*int64(p.size))
	return page, err
}

// pageRow is a row as it stands on a page: its beginning, and where the rest is.
type pageRow struct {
	table    bool // of a table with a rowid; else of an index
	id       int  // the rowid
	length   int  // of the whole row, in bytes
	begins   []byte
	overflow int // the page that goes on with it; 0 when it is all here
}

// rows lists the rows of a page; a page of another kind has none, and a row that runs out
// of its page is left out.
func (p *pages) rows(number int, page []byte) []pageRow {
	at := 0
	if number == 1 {
		at = fileHeader
	}
	kind, head := page[at], 8
	if kind == indexInterior {
		head = 12
	} else if kind != tableLeaf && kind != indexLeaf {
		return nil
	}
	var list []pageRow
	cells := int(binary.BigEndian.Uint16(page[at+3:]))
	for i := range cells {
		pointer := at + head + 2*i
		if pointer+2 > p.usable {
			break
		}
		if r, err := p.row(page[:p.usable], int(binary.BigEndian.Uint16(page[pointer:])), kind); err == nil {
			list = append(list, r)
		}
	}
	return list
}

// row reads the cell at a place of a page.
func (p *pages) row(page []byte, at int, kind byte) (pageRow, error) {
	if kind == indexInterior {
		at += 4 // the page to its left
	}
	length, at := varint(page, at)
	r := pageRow{table: kind == tableLeaf, length: int(length)}
	if r.table {
		var id uint64
		id, at = varint(page, at)
		r.id = int(id)
	}
	if at < 0 || length > MaxContent+newPageSize {
		return r, errRow
	}
	here := p.local(r.length, r.table)
	if at+here > len(page) {
		return r, errRow
	}
	r.begins = append([]byte(nil), page[at:at+here]...)
	if here < r.length {
		if at+here+4 > len(page) {
			return r, errRow
		}
		r.overflow = int(binary.BigEndian.Uint32(page[at+here:]))
	}
	return r, nil
}

// local is how many bytes of a row stand on its own page.
func (p *pages) local(length int, table bool) int {
	most, least := (p.usable-12)*64/255-23, (p.usable-12)*32/255-23
	if table {
		most = p.usable - 35
	}
	if length <= most {
		return length
	}
	if here := least + (length-least)%(p.usable-4); here <= most {
		return here
	}
	return least
}

// whole puts a row together from its page and those that go on with it.
func (p *pages) whole(r pageRow) ([]byte, error) {
	record := make([]byte, 0, len(r.begins))
	record = append(record, r.begins...)
	for next := r.overflow; len(record) < r.length; {
		page, err := p.page(next)
		if err != nil {
			return nil, err
		}
		next = int(binary.BigEndian.Uint32(page))
		record = append(record, page[4:4+min(p.usable-4, r.length-len(record))]...)
	}
	return record, nil
}

// columns takes a record apart: nil, int64, float64 bits as uint64, string or []byte.
func columns(record []byte) ([]any, error) {
	head, at := varint(record, 0)
	if at < 0 || head > uint64(len(record)) {
		return nil, errRow
	}
	body := int(head)
	var list []any
	for at < int(head) {
		var kind uint64
		if kind, at = varint(record, at); at < 0 {
			return nil, errRow
		}
		value, size, err := column(record, body, kind)
		if err != nil {
			return nil, err
		}
		list, body = append(list, value), body+size
	}
	return list, nil
}

// column reads one value of a record by its serial type.
func column(record []byte, at int, kind uint64) (value any, size int, err error) {
	switch {
	case kind <= 7:
		size = []int{0, 1, 2, 3, 4, 6, 8, 8}[kind]
	case kind >= 12:
		size = int(min(kind-12, 4*MaxContent) / 2)
	}
	if at+size > len(record) {
		return nil, 0, errRow
	}
	bytes := record[at : at+size]
	switch {
	case kind == 0:
		return nil, 0, nil
	case kind <= 6:
		n := int64(int8(bytes[0])) // the first byte carries the sign
		for _, b := range bytes[1:] {
			n = n<<8 | int64(b)
		}
		return n, size, nil
	case kind == 7:
		return binary.BigEndian.Uint64(bytes), size, nil
	case kind == 8 || kind == 9:
		return int64(kind - 8), 0, nil
	case kind >= 12 && kind%2 == 0:
		return bytes, size, nil
	case kind >= 12:
		return string(bytes), size, nil
	}
	return nil, 0, errRow
}

// varint reads a number of 1 to 9 bytes and gives the place after it, -1 when the bytes
// run out.
func varint(b []byte, at int) (uint64, int) {
	var n uint64
	for i := range 9 {
		if at < 0 || at >= len(b) {
			return 0, -1
		}
		if i == 8 {
			return n<<8 | uint64(b[at]), at + 1
		}
		n = n<<7 | uint64(b[at]&0x7f)
		if b[at] < 0x80 {
			return n, at + 1
		}
		at++
	}
	return 0, -1
}
