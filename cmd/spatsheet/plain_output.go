package main

import (
	"bytes"
	"io"
	"unicode/utf8"
)

// plainWriter writes text for a terminal: what people typed into a workbook may hold signs
// that move its cursor, set its title or turn the text around. They are written as \x1b and
// the like.
type plainWriter struct{ io.Writer }

// raw is the writer that drawing on the terminal goes to.
func raw(w io.Writer) io.Writer {
	if p, ok := w.(plainWriter); ok {
		w = p.Writer
	}
	if c, ok := w.(*checkedWriter); ok {
		w = c.Writer
	}
	return w
}

func (p plainWriter) Write(text []byte) (int, error) {
	if bytes.ContainsFunc(text, commanding) || bytes.Contains(text, []byte("\r")) || !utf8.Valid(text) {
		if _, err := p.Writer.Write(spelledOut(text)); err != nil {
			return 0, err
		}
		return len(text), nil
	}
	return p.Writer.Write(text)
}

// commanding says whether a terminal may take the sign for a command: the control
// characters but for tab and line end, and those that change the direction of writing.
func commanding(r rune) bool {
	return r < ' ' && r != '\t' && r != '\n' && r != '\r' || r >= 0x7f && r <= 0x9f ||
		r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f
}

func spelledOut(text []byte) []byte {
	var out bytes.Buffer
	const hex = "0123456789abcdef"
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		lineEnd := r == '\r' && size < len(text) && text[size] == '\n'
		switch {
		case r == utf8.RuneError && size == 1, r == '\r' && !lineEnd, r < 0x80 && commanding(r):
			out.WriteString(`\x` + string(hex[text[0]>>4]) + string(hex[text[0]&15]))
		case commanding(r):
			out.WriteString(`\u` + string(hex[r>>12&15]) + string(hex[r>>8&15]) + string(hex[r>>4&15]) + string(hex[r&15]))
		default:
			out.Write(text[:size])
		}
		text = text[size:]
	}
	return out.Bytes()
}
