package workbook

import (
	"archive/zip"
	"bytes"
	"io"
	"slices"
)

// stretch is XML to leave out.
type stretch struct{ from, to int }

// without leaves stretches of a part out; they stand in its order.
func without(part []byte, cuts []stretch) []byte {
	out, kept := make([]byte, 0, len(part)), 0
	for _, c := range cuts {
		out = append(out, part[kept:c.from]...)
		kept = c.to
	}
	return append(out, part[kept:]...)
}

// unread finds the elements that are not asked for, each whole with what is in it.
func (s *scanner) unread(asked func(name string) bool) (cuts []stretch) {
	for s.next() {
		name, start := string(s.name), s.tagAt
		if s.closing || name == "" || name[0] == '?' || name[0] == '!' || asked(name) {
			continue
		}
		if s.toEnd(name) {
			cuts = append(cuts, stretch{start, s.at})
		}
	}
	return cuts
}

// toEnd goes behind the end of the element that the scanner stands in, if it has one.
func (s *scanner) toEnd(name string) bool {
	if s.empty || !s.careful && s.straightToEnd() {
		return true
	}
	s.careful = true // else a part of many that it fails on would be searched to its end for each
	for depth := 1; s.next(); {
		if string(s.name) != name || s.empty {
			continue
		}
		if !s.closing {
			depth++
		} else if depth--; depth == 0 {
			return true
		}
	}
	return false
}

// straightToEnd is toEnd without a look at the tags between: where none is of the same name,
// and there is no comment.
func (s *scanner) straightToEnd() bool {
	tag := s.text[s.tagAt+1 : s.at]
	name := tag[:bytes.Index(tag, s.name)+len(s.name)] // with its prefix
	end := slices.Concat([]byte("</"), name, []byte(">"))
	at := bytes.Index(s.text[s.at:], end)
	if at < 0 {
		return false
	}
	if within := s.text[s.at : s.at+at]; bytes.Contains(within, []byte("<!")) || bytes.Contains(within, slices.Concat([]byte("<"), name)) {
		return false
	}
	s.at += at + len(end)
	return true
}

// Where the library looks for styles and colours.
const (
	stylesPart = "xl/styles.xml"
	themePart  = "xl/theme/theme1.xml"
)

// ofStyles are the elements that are read of the styles: number formats, which tell a date.
var ofStyles = map[string]bool{"styleSheet": true, "numFmts": true, "numFmt": true, "cellXfs": true, "xf": true}

// withoutLooks gives a workbook, for reading only, without fonts, fills, borders and
// colours. Its other parts are copied as they are, packed.
func withoutLooks(archive *zip.Reader) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, part := range archive.File {
		var err error
		switch part.Name {
		case themePart:
		case stylesPart:
			err = numberFormats(w, part)
		default:
			err = w.Copy(part)
		}
		if err != nil {
			return nil, damaged(err)
		}
	}
	err := w.Close()
	return out.Bytes(), err
}

func numberFormats(w *zip.Writer, part *zip.File) error {
	r, err := part.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	styles, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	cuts := (&scanner{text: styles}).unread(func(name string) bool { return ofStyles[name] })
	only, err := w.CreateHeader(&zip.FileHeader{Name: part.Name, Method: zip.Store})
	if err != nil {
		return err
	}
	_, err = only.Write(without(styles, cuts))
	return err
}
