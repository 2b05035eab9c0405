package schedule

import (
	"fmt"
	"strings"
)

// code makes up a batch code for what is proposed for a root, as long as codes may be.
func (a *arranger) code(root *Scheduled, protocol string) string {
	if root.target >= 0 {
		return a.unused(fmt.Sprintf("S%d", root.target+1), protocol)
	}
	return a.unused(root.Code, protocol)
}

// unused is a code that no other batch has, of whole words: "S1-PLATE-SEEDING",
// "KS-26-01-SEEDING"; of a root longer than rootMost the beginning.
func (a *arranger) unused(root, protocol string) string {
	const most, rootMost = 20, 14
	root = strings.TrimRight(root[:min(len(root), rootMost)], "-") + "-"
	code := root + shortName(protocol, most-len(root))
	for n := 2; a.codes[code]; n++ {
		tail := fmt.Sprintf("-%d", n)
		code = root + shortName(protocol, most-len(root)-len(tail)) + tail
	}
	a.codes[code] = true
	return code
}

// shortName is a protocol's name in capitals where it has room; else the longest of its words
// that has, else an abbreviation: the beginnings of its words, or of its only word.
func shortName(protocol string, room int) string {
	name := strings.ToUpper(protocol)
	if len(name) <= room {
		return name
	}
	words := strings.Split(name, "-")
	longest, first := "", ""
	for _, w := range words {
		if len(w) <= room && len(w) > len(longest) {
			longest = w
		}
		first += w[:min(1, len(w))]
	}
	if longest != "" {
		return longest
	}
	if len(words) == 1 {
		first = name[:min(4, len(name))]
	}
	return first[:max(1, min(len(first), room))]
}
