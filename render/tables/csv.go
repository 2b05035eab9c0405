package tables

import (
	"bufio"
	"crypto/sha256"
	"fmt"
	"hash"
	"io"
	"strings"
)

// Written is a table that WriteCSV wrote, and what it came to.
type Written struct {
	Table
	Count  int // of rows, without the header
	Bytes  int
	SHA256 []byte
}

// TooLong tells of a table that has more rows than a sheet of a workbook holds.
func (w Written) TooLong() bool { return w.Count > mostRows }

// WriteCSV writes a table as CSV (RFC 4180): UTF-8, comma, header in the first line, an
// empty cell for "no value", decimal point, line ends CR LF; line ends inside a cell stay
// as they are.
//
// A text that a spreadsheet program would take for a formula gets an apostrophe in front;
// see harmless. Error: a row that has not a cell for each column, or the writer's.
func WriteCSV(w io.Writer, t Table) (Written, error) {
	written, size := Written{Table: t}, measured{Hash: sha256.New()}
	out := bufio.NewWriter(io.MultiWriter(w, &size))
	err := writeLine(out, t.Columns)
	cells := make([]string, len(t.Columns))
	for row := range t.Rows {
		if len(row) != len(cells) {
			err = fmt.Errorf("table %s: a row of %d cells in %d columns", t.Name, len(row), len(cells))
		}
		if err != nil {
			return Written{}, err
		}
		for i, v := range row {
			cells[i] = text(v)
		}
		err = writeLine(out, cells)
		written.Count++
	}
	if err := out.Flush(); err != nil {
		return Written{}, err
	}
	written.Bytes, written.SHA256 = size.bytes, size.Sum(nil)
	return written, nil
}

// measured is a digest that counts its bytes.
type measured struct {
	hash.Hash
	bytes int
}

func (m *measured) Write(b []byte) (int, error) {
	m.bytes += len(b)
	return m.Hash.Write(b)
}

// writeLine gives the first error of the writer, of this line or of one before.
func writeLine(out *bufio.Writer, cells []string) error {
	for i, cell := range cells {
		if i > 0 {
			out.WriteByte(',')
		}
		alone := cell == "" && len(cells) == 1 // else the line would be empty
		if !alone && !strings.HasPrefix(cell, " ") && !strings.ContainsAny(cell, ",\"\r\n") {
			out.WriteString(cell)
			continue
		}
		out.WriteString(`"` + strings.ReplaceAll(cell, `"`, `""`) + `"`)
	}
	_, err := out.WriteString("\r\n")
	return err
}

// formulaSigns are what a spreadsheet program takes for the beginning of a formula, as
// OWASP's page on CSV injection lists them (from memory).
const formulaSigns = "=+-@\t\r\n"

// harmless puts an apostrophe before a text that begins like a formula, and before one
// that begins with apostrophes and then like a formula, so that a reader can tell them
// apart: of such a text it takes one apostrophe off. Numbers are not texts and stay as they are.
func harmless(s string) string {
	if rest := strings.TrimLeft(s, "'"); rest != "" && strings.ContainsRune(formulaSigns, rune(rest[0])) {
		return "'" + s
	}
	return s
}
