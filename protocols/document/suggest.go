package document

import (
	"fmt"
	"sort"
	"strings"

	"spatsheet/protocols/spelling"
)

// suggestion ends a fault about an unknown word: the nearest known one, or the whole
// list where none is near and the list is short.
func suggestion(word string, known []string) string {
	if near, ok := spelling.Nearest(word, known); ok {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	sorted := append([]string(nil), known...)
	sort.Strings(sorted)
	return "; known here: " + strings.Join(sorted, ", ")
}
