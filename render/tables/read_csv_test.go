package tables

import (
	"errors"
	"io"
	"strings"
)

// errCSV is text that is no CSV as WriteCSV writes it.
var errCSV = errors.New("no CSV: a quote stands where none may, or is not closed")

// readCSV reads what WriteCSV wrote, header first, cell for cell as it was written: with
// line ends inside cells, and unharmed still to be called on texts.
//
// Error: errCSV, or the reader's.
func readCSV(r io.Reader) ([][]string, error) {
	content, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	var lines [][]string
	for rest := string(content); rest != ""; {
		var line []string
		for more := true; more; {
			var cell string
			if cell, rest, more, err = readCell(rest); err != nil {
				return nil, err
			}
			line = append(line, cell)
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// readCell takes one cell off a text; more says that the line goes on after it.
func readCell(text string) (cell, rest string, more bool, err error) {
	if strings.HasPrefix(text, `"`) {
		var b strings.Builder
		rest = text[1:]
		for {
			before, after, ok := strings.Cut(rest, `"`)
			if !ok {
				return "", "", false, errCSV
			}
			b.WriteString(before)
			if rest = after; !strings.HasPrefix(rest, `"`) {
				break
			}
			b.WriteByte('"')
			rest = rest[1:]
		}
		cell = b.String()
	} else {
		end := strings.IndexAny(text, ",\r\n")
		if end < 0 {
			end = len(text)
		}
		if cell, rest = text[:end], text[end:]; strings.Contains(cell, `"`) {
			return "", "", false, errCSV
		}
	}
	switch {
	case rest == "":
		return cell, "", false, nil
	case rest[0] == ',':
		return cell, rest[1:], true, nil
	case strings.HasPrefix(rest, "\r\n"):
		return cell, rest[2:], false, nil
	}
	return "", "", false, errCSV
}

// unharmed gives back the text that WriteCSV made harmless.
func unharmed(s string) string {
	if rest := strings.TrimLeft(s, "'"); len(rest) < len(s) && rest != "" && strings.ContainsRune(formulaSigns, rune(rest[0])) {
		return s[1:]
	}
	return s
}
