package workbook

import (
	"regexp"
	"strings"
)

// format is a number format and what it shows.
type format struct {
	code              string
	dateLike, percent bool
}

// builtIn are the number formats known by number alone that matter here. Source: ECMA-376
// part 1, 18.8.30 (numFmt), from memory. 27 to 36 and 50 to 58 are dates of East Asian
// versions.
var builtIn = map[int]string{
	0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?", 13: "# ??/??",
	14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss",
	22: "m/d/yy h:mm", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0", 48: "##0.0E+0", 49: "@",
}

// format reads a cell's number format, each style once.
func (r *reader) format(t target) (format, error) {
	id, err := r.file.GetCellStyle(t.sheet, t.ref)
	if err != nil {
		return format{}, err
	}
	if f, ok := r.formats[id]; ok {
		return f, nil
	}
	style, err := r.file.GetStyle(id)
	if err != nil {
		return format{}, err
	}
	var f format
	if style.CustomNumFmt != nil {
		f = readFormat(*style.CustomNumFmt)
	} else if code, ok := builtIn[style.NumFmt]; ok {
		f = readFormat(code)
	} else {
		f.dateLike = style.NumFmt >= 27 && style.NumFmt <= 36 || style.NumFmt >= 50 && style.NumFmt <= 58
	}
	r.formats[id] = f
	return f, nil
}

var (
	elapsed  = regexp.MustCompile(`(?i)\[(h+|m+|s+)\]`)
	literals = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]]*\]`)
)

// readFormat tells dates and percentages from a format's code: letters of a date outside
// quotes, escapes and brackets, such as LibreOffice's yyyy\-mm\-dd.
func readFormat(code string) format {
	f := format{code: code}
	f.dateLike = elapsed.MatchString(code)
	bare := strings.ToLower(literals.ReplaceAllString(code, ""))
	bare = strings.ReplaceAll(bare, "general", "")
	bare = strings.ReplaceAll(bare, "standard", "")
	f.dateLike = f.dateLike || strings.ContainsAny(bare, "ymdhs")
	f.percent = strings.Contains(bare, "%")
	return f
}
