package style

import (
	"strings"
	"unicode"
)

// Unprintable stands in print for a letter that the faces do not have.
const Unprintable = '□'

// Printable makes text fit for print: every letter that one of the faces lacks, and every
// sign without a shape of its own, becomes Unprintable, so that nothing vanishes
// silently; line breaks and tabs become blanks. replaced tells whether a mark was put.
func Printable(text string) (printed string, replaced bool) {
	clean := strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r == unicode.ReplacementChar || unicode.Is(unicode.Cf, r) || unicode.IsControl(r) || !Regular().Has(r) || !Bold().Has(r):
			replaced = true
			return Unprintable
		}
		return r
	}, text)
	return clean, replaced
}

// Wrap breaks text into lines no wider than widthMM, at blanks, and inside a word only
// where the word alone is wider. A number and what follows it stay on one line.
func (f *Face) Wrap(text string, sizePt, widthMM float64) []string {
	var lines []string
	line := ""
	for _, word := range words(text) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if f.Width(longer, sizePt) <= widthMM {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		cut := f.cut(word, sizePt, widthMM)
		lines = append(lines, cut[:len(cut)-1]...)
		line = cut[len(cut)-1]
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// words splits at plain blanks, save between a number and its unit ("48 L", "90 %", "10 000");
// blanks that must not break (U+00A0, U+202F) hold words together.
func words(text string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }) {
		if n := len(out); n > 0 && isNumber(out[n-1]) && (isUnit(w) || isThousands(w)) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func isNumber(w string) bool {
	return w[0] >= '0' && w[0] <= '9' && w[len(w)-1] >= '0' && w[len(w)-1] <= '9'
}

func isUnit(w string) bool {
	first := []rune(w)[0]
	return len(w) <= 12 && (unicode.IsLetter(first) || first == '%' || first == '°')
}

// isThousands tells the second group of a number written "10 000".
func isThousands(w string) bool { return len(w) == 3 && isNumber(w) }

// cut divides a word that is too wide by itself; the result has at least one piece.
func (f *Face) cut(word string, sizePt, widthMM float64) []string {
	var pieces []string
	piece := ""
	for _, r := range word {
		if piece != "" && f.Width(piece+string(r), sizePt) > widthMM {
			pieces = append(pieces, piece)
			piece = ""
		}
		piece += string(r)
	}
	return append(pieces, piece)
}

// Shortened ends a text that Shorten cut.
const Shortened = "…"

// Shorten cuts text at its end until it is no wider than widthMM, and marks the cut; a
// text that fits stays as it is. Where not even the mark fits, only the mark is left.
func (f *Face) Shorten(text string, sizePt, widthMM float64) string {
	for letters := []rune(text); f.Width(text, sizePt) > widthMM && len(letters) > 0; {
		letters = letters[:len(letters)-1]
		text = strings.TrimRight(string(letters), " ,;:") + Shortened
	}
	return text
}
