package station

import (
	"fmt"

	"spatsheet/protocols/spelling"
)

// DidYouMean proposes the known word that is near; nothing where none is.
func DidYouMean(word string, known []string) string {
	if near, ok := spelling.Nearest(word, known); ok {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}
