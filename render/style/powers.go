package style

import (
	"regexp"
	"strings"
)

// exponent finds numbers such as 4.8e9; an e inside a name or a hex number is none.
var exponent = regexp.MustCompile(`(^|[^\w.])(\d+(?:\.\d+)?)e(-?)(\d+)\b`)

var raised = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹", "-", "⁻")

// Powers writes the numbers of a text as people do on paper: 4.8e9 as 4.8 × 10⁹, with
// blanks at which no line breaks, and 1e10 as 10¹⁰. Range: any text.
func Powers(text string) string {
	return exponent.ReplaceAllStringFunc(text, func(found string) string {
		m := exponent.FindStringSubmatch(found)
		power := "10" + raised.Replace(m[3]+m[4])
		if m[2] == "1" {
			return m[1] + power
		}
		return m[1] + m[2] + "\u00a0×\u00a0" + power
	})
}
