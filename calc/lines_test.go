package calc_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// longestLine is what a line of Go may take, in characters; a tab counts one.
const longestLine = 160

// longLines gives the numbers of the lines that are too long.
func longLines(text string) []int {
	var out []int
	for i, line := range strings.Split(text, "\n") {
		if utf8.RuneCountInString(line) > longestLine {
			out = append(out, i+1)
		}
	}
	return out
}

func TestNoLineIsTooLong(t *testing.T) {
	files := 0
	err := filepath.WalkDir("..", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || filepath.Ext(path) != ".go" {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		files++
		name := strings.TrimPrefix(filepath.ToSlash(path), "../")
		for _, line := range longLines(string(text)) {
			t.Errorf("%s:%d: over %d characters", name, line, longestLine)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 300 {
		t.Errorf("looked at %d files of Go only: the walk starts in the wrong place", files)
	}
}

// TestLongLinesAreFound holds the ruler itself: characters are counted, not bytes.
func TestLongLinesAreFound(t *testing.T) {
	full := strings.Repeat("µ", longestLine)
	if got := longLines("short\n" + full + "\n" + full + "x\n\t" + full); !slices.Equal(got, []int{3, 4}) {
		t.Errorf("lines %v are too long, want 3 and 4", got)
	}
}
