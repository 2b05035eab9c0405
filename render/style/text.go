package style

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Unprintable stands in print for a letter that the faces do not have.
const Unprintable = '□'

// Printable makes text fit for print: every letter that one of the faces lacks, and every
// sign without a shape of its own, becomes Unprintable, so that nothing vanishes
// silently; line breaks and tabs become blanks. replaced tells whether a mark was put.
func Printable(text string) (printed string, replaced bool) {
	clean := strings.Map(func(r rune) rune {
		switch {
		case r >= ' ' && r <= '~': // both faces have these
			return r
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
	line, used, blank := "", 0, f.units(" ") // used is the line's width in font units
	for _, word := range words(text) {
		wide := f.units(word)
		if line != "" && f.wide(used+blank+wide, sizePt) <= widthMM {
			line, used = line+" "+word, used+blank+wide
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line, used = word, wide
		if f.wide(wide, sizePt) > widthMM {
			cut := f.cut(word, sizePt, widthMM)
			lines = append(lines, cut[:len(cut)-1]...)
			line = cut[len(cut)-1]
			used = f.units(line)
		}
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
	start, used := 0, 0
	for i, r := range word {
		wide := f.units(string(r))
		if i > start && f.wide(used+wide, sizePt) > widthMM {
			pieces = append(pieces, word[start:i])
			start, used = i, 0
		}
		used += wide
	}
	return append(pieces, word[start:])
}

// Shortened ends a text that Shorten cut.
const Shortened = "…"

// Shorten cuts text at its end until it is no wider than widthMM, and marks the cut; a
// text that fits stays as it is. Where not even the mark fits, only the mark is left.
func (f *Face) Shorten(text string, sizePt, widthMM float64) string {
	used, mark := f.units(text), f.units(Shortened)
	if text == "" || f.wide(used, sizePt) <= widthMM {
		return text
	}
	kept := text
	for kept != "" {
		_, last := utf8.DecodeLastRuneInString(kept)
		shorter := strings.TrimRight(kept[:len(kept)-last], " ,;:")
		used -= f.units(kept[len(shorter):])
		kept = shorter
		if f.wide(used+mark, sizePt) <= widthMM {
			break
		}
	}
	return kept + Shortened
}
