package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// scanned is a sheet's part as it stands in the file: every cell that holds something, in
// the order of the file.
type scanned struct {
	part     string // its name in the package
	cells    []scannedCell
	formulas map[uint64]bool // places
	trimmed  []byte          // the part without blank rows far below, which some programs write; nil when there are none
	cost     int             // what the sheet costs the workbook library: a cell for each column up to a row's last, and a row for each up to the last
	rows     []span          // every row, at its number
	placed   []span          // every cell, blank ones too
	unplaced bool            // a row or a cell does not say where it stands: it stands after the one before
}

// span is where the XML of a cell or row begins and ends in the part; to is 0 when it is
// not closed.
type span struct {
	at       uint64
	from, to int
	shares   bool // its formula is that of other cells too
}

// scannedCell is a cell's XML, not yet understood.
type scannedCell struct {
	row, col int
	kind     string // attribute t
	value    []byte // of v, or the texts of an inline string put together; entities as in XML
	formula  bool
	written  []byte // the formula
}

func (c *scannedCell) ref() string { return column(c.col) + strconv.Itoa(c.row) }

// scan goes once through the XML of a sheet, without taking it apart: what the workbook
// library passes over in silence is found here, and what would cost it the memory of a
// computer, before it starts.
//
// Error: a cell that stands twice or in another's row. XML that is not whole is left to the
// library, which tells it.
func scan(part []byte) (*scanned, error) {
	s := &scanner{text: part, out: &scanned{formulas: map[uint64]bool{}}}
	err := s.run()
	if errors.Is(err, errUnordered) { // then a cell may stand twice
		s = &scanner{text: part, out: &scanned{formulas: map[uint64]bool{}}, seen: map[uint64]struct{}{}}
		err = s.run()
	}
	return s.out, err
}

var errUnordered = errors.New("its cells are not in order")

func (s *scanner) run() error {
	for s.next() && !(s.closing && string(s.name) == "sheetData") {
		if err := s.element(); err != nil {
			return err
		}
	}
	s.out.cost += s.lastRow + s.lastCol
	if s.farFrom > 0 && s.closing { // at the end of the rows
		s.out.cost = s.farCost
		s.out.trimmed = append(s.text[:s.farFrom:s.farFrom], s.text[s.tagAt:]...)
	}
	return nil
}

// scanner stands behind a tag of the part.
type scanner struct {
	text         []byte
	at           int
	name, inside []byte // of the last tag: its name without prefix, and what follows the name
	closing      bool   // the tag is an end
	empty        bool   // the tag is its own end
	careful      bool   // goes to the ends of elements tag by tag
	out          *scanned
	seen         map[uint64]struct{} // places; nil as long as cells come in order
	last         uint64              // the last place
	row, col     int
	lastRow      int          // of the sheet
	lastCol      int          // of the row
	tagAt        int          // where the last tag begins
	farFrom      int          // where rows begin that only hold looks, far below; -1 when they hold more
	farCost      int          // what the sheet costs without them
	cell         *scannedCell // the cell that is open
}

// next goes to the next tag, over comments.
func (s *scanner) next() bool {
	for {
		i := bytes.IndexByte(s.text[s.at:], '<')
		if i < 0 {
			return false
		}
		start := s.at + i + 1
		if bytes.HasPrefix(s.text[start:], []byte("!--")) {
			end := bytes.Index(s.text[start:], []byte("-->"))
			if end < 0 {
				return false
			}
			s.at = start + end + 3
			continue
		}
		end := bytes.IndexByte(s.text[start:], '>')
		if end < 0 {
			return false
		}
		s.tag(s.text[start : start+end])
		s.tagAt, s.at = start-1, start+end+1
		return true
	}
}

func (s *scanner) tag(tag []byte) {
	s.closing = bytes.HasPrefix(tag, []byte("/"))
	tag = bytes.TrimPrefix(tag, []byte("/"))
	s.empty = bytes.HasSuffix(tag, []byte("/"))
	tag = bytes.TrimSuffix(tag, []byte("/"))
	end := bytes.IndexAny(tag, " \t\r\n")
	if end < 0 {
		end = len(tag)
	}
	s.name, s.inside = tag[:end], tag[end:]
	if colon := bytes.IndexByte(s.name, ':'); colon >= 0 {
		s.name = s.name[colon+1:]
	}
}

// value gives an attribute of the tag.
func (s *scanner) value(name string) []byte {
	for rest := s.inside; ; {
		rest = bytes.TrimLeft(rest, " \t\r\n")
		equals := bytes.IndexByte(rest, '=')
		if equals < 0 || equals+1 >= len(rest) {
			return nil
		}
		key, after := bytes.TrimRight(rest[:equals], " \t\r\n"), bytes.TrimLeft(rest[equals+1:], " \t\r\n")
		if len(after) == 0 {
			return nil
		}
		end := bytes.IndexByte(after[1:], after[0])
		if end < 0 {
			return nil
		}
		if string(key) == name {
			return after[1 : 1+end]
		}
		rest = after[end+2:]
	}
}

// body is the text up to the next tag.
func (s *scanner) body() []byte {
	if s.empty {
		return nil
	}
	end := bytes.IndexByte(s.text[s.at:], '<')
	if end < 0 {
		return nil
	}
	return s.text[s.at : s.at+end]
}

func (s *scanner) element() error {
	switch string(s.name) {
	case "row":
		return s.startRow()
	case "c":
		return s.startCell()
	case "v", "t":
		if s.cell != nil && !s.closing {
			if body := s.body(); s.cell.value == nil {
				s.cell.value = body
			} else {
				s.cell.value = append(s.cell.value[:len(s.cell.value):len(s.cell.value)], body...)
			}
			if len(s.cell.value) == 0 && s.cell.kind == "s" {
				return fmt.Errorf("cell %s names no shared text", s.cell.ref())
			}
		}
	case "f":
		if s.cell != nil && !s.closing {
			s.cell.formula, s.cell.written = true, s.body()
			s.out.placed[len(s.out.placed)-1].shares = len(s.inside) > 0
			s.out.formulas[placeOf(s.row, s.col)] = true
		}
	case "rPh": // a reading aid for Chinese characters, not part of the text
		if end := bytes.Index(s.text[s.at:], []byte("rPh>")); end >= 0 && !s.closing && !s.empty {
			s.at += end + len("rPh>")
		}
	}
	return nil
}

func (s *scanner) startRow() error {
	if s.closing {
		closeLast(s.out.rows, s.at)
		return nil
	}
	s.out.cost += s.lastCol
	s.row, s.col, s.lastCol = s.row+1, 0, 0
	if r := s.value("r"); r != nil {
		n, err := strconv.Atoi(string(r))
		if err != nil || n < 1 || n > excelize.TotalRows {
			return fmt.Errorf("there is no row %q", r)
		}
		s.row = n
	} else {
		s.out.unplaced = true
	}
	if s.row <= maxRow && s.farFrom > 0 {
		s.farFrom = -1 // rows stand in another order
	}
	if s.row > maxRow && s.farFrom == 0 {
		s.farFrom, s.farCost = s.tagAt, s.out.cost+s.lastRow
	}
	s.lastRow = max(s.lastRow, s.row)
	if s.out.rows = append(s.out.rows, span{at: uint64(s.row), from: s.tagAt}); s.empty {
		closeLast(s.out.rows, s.at)
	}
	return nil
}

func closeLast(list []span, at int) {
	if n := len(list); n > 0 && list[n-1].to == 0 {
		list[n-1].to = at
	}
}

func (s *scanner) startCell() error {
	if s.closing {
		return s.endCell()
	}
	s.col++
	if r := s.value("r"); r != nil {
		col, row, err := excelize.CellNameToCoordinates(string(r))
		if err != nil {
			return err
		}
		if row != s.row {
			return fmt.Errorf("cell %s stands in row %d", r, s.row)
		}
		s.col = col
	} else {
		s.out.unplaced = true
	}
	s.lastCol = max(s.lastCol, s.col)
	if err := s.once(); err != nil {
		return err
	}
	s.out.placed = append(s.out.placed, span{at: placeOf(s.row, s.col), from: s.tagAt})
	s.cell = nil
	if s.empty {
		closeLast(s.out.placed, s.at)
	} else {
		s.cell = &scannedCell{row: s.row, col: s.col, kind: string(s.value("t"))}
	}
	return nil
}

// once tells a cell that stands twice.
func (s *scanner) once() error {
	at := placeOf(s.row, s.col)
	if s.seen == nil {
		if at <= s.last {
			return errUnordered
		}
		s.last = at
		return nil
	}
	if _, twice := s.seen[at]; twice {
		return fmt.Errorf("cell %s stands there twice", column(s.col)+strconv.Itoa(s.row))
	}
	s.seen[at] = struct{}{}
	return nil
}

func placeOf(row, col int) uint64 { return uint64(row)<<32 | uint64(col) }

// endCell keeps the cell if it holds something.
func (s *scanner) endCell() error {
	c := s.cell
	s.cell = nil
	closeLast(s.out.placed, s.at)
	if c == nil || len(c.value) == 0 && !c.formula {
		return nil
	}
	if s.out.cells = append(s.out.cells, *c); c.row > maxRow {
		s.farFrom = -1 // something is typed there
	}
	if c.kind == "s" { // the library takes what is no number for the first text
		if _, err := strconv.ParseUint(string(c.value), 10, 31); err != nil {
			return fmt.Errorf("cell %s names no shared text: %q", c.ref(), c.value)
		}
	}
	return nil
}
