package document

import (
	"fmt"
	"sort"
	"strings"
)

// suggestion ends a fault about an unknown word: the nearest known one, or the whole
// list where none is near and the list is short.
func suggestion(word string, known []string) string {
	if near, ok := Nearest(word, known); ok {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	sorted := append([]string(nil), known...)
	sort.Strings(sorted)
	return "; known here: " + strings.Join(sorted, ", ")
}

// Nearest finds the known word closest to word, if one is near enough to be meant:
// at most a third of its letters changed, added, lost or swapped with a neighbour.
//
// Source: restricted edit distance (Damerau 1964, Levenshtein 1966), from memory.
func Nearest(word string, known []string) (string, bool) {
	best, bestDistance := "", len(word)/3+1
	for _, k := range known {
		if d := editDistance(strings.ToLower(word), strings.ToLower(k)); d < bestDistance || (d == bestDistance && best == "" && d <= 2) {
			best, bestDistance = k, d
		}
	}
	return best, best != ""
}

func editDistance(a, b string) int {
	s, t := []rune(a), []rune(b)
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
}
