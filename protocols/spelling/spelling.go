// Package spelling finds the known word that a misspelt one was meant to be.
//
// What may enter: letters of words. What may not: what a word means, or which words are
// known; the caller hands them in.
package spelling

import "strings"

// Nearest finds the known word closest to word, if one is near enough to be meant:
// at most a third of its letters changed, added, lost or swapped with a neighbour.
//
// ok is false where none is. Small and capital letters are alike; of two words equally near
// the earlier one is given. Range: any texts.
// Source: Distance; the third is from memory.
func Nearest(word string, known []string) (nearest string, ok bool) {
	best, least := "", len(word)/3+1
	for _, k := range known {
		if d := Distance(strings.ToLower(word), strings.ToLower(k)); d < least || (d == least && best == "" && d <= 2) {
			best, least = k, d
		}
	}
	return best, best != ""
}

// Distance counts the letters to change, add, lose or swap with a neighbour to turn a into b.
//
// Range: any texts; the time grows with the product of their lengths.
// Source: restricted edit distance (Damerau 1964, Levenshtein 1966), from memory.
func Distance(a, b string) int {
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
