package tables

import (
	"encoding/csv"
	"io"
	"strings"
)

// WriteCSV writes a table as CSV (RFC 4180): UTF-8, comma, header in the first line, an
// empty cell for "no value", decimal point, line ends CR LF.
//
// A text that a spreadsheet program would take for a formula gets an apostrophe in front;
// see harmless. The error is the writer's.
func WriteCSV(w io.Writer, t Table) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(t.Columns); err != nil {
		return err
	}
	for _, row := range t.Rows {
		cells := make([]string, len(row))
		for i, v := range row {
			cells[i] = text(v)
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// harmless puts an apostrophe before a text that begins like a formula, as OWASP advises
// against CSV injection (from memory). Numbers are not texts and stay as they are.
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
