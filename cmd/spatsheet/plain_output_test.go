package main

import (
	"bytes"
	"testing"
)

func TestPlainWriterSpellsOutCommands(t *testing.T) {
	for text, want := range map[string]string{
		"plain, 12 °C\tand\r\nlines\n": "plain, 12 °C\tand\r\nlines\n",
		"\x1b[2J\x07":                  `\x1b[2J\x07`,
		"\u009b31m":                    `\u009b31m`,
		"over\rwritten":                `over\x0dwritten`,
		"\u202etxt.exe":                `\u202etxt.exe`,
		"broken \x9b\xff":              `broken \x9b\xff`,
		"a\x00b\x7f":                   `a\x00b\x7f`,
	} {
		var out bytes.Buffer
		if n, err := (plainWriter{&out}).Write([]byte(text)); err != nil || n != len(text) {
			t.Errorf("%q: wrote %d, error %v", text, n, err)
		}
		if out.String() != want {
			t.Errorf("%q: got %q, want %q", text, out.String(), want)
		}
	}
}
