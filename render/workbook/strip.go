package workbook

import (
	"archive/zip"
	"bytes"
	"io"
	"path"
	"regexp"
	"strings"
)

// withoutNotes gives a workbook without its cell notes and the shapes that draw them.
//
// excelize 2.11.1 cannot add to shapes that LibreOffice or Gnumeric wrote, and drops notes
// beside those that openpyxl wrote (tried): so the notes are read, all taken out here, and
// written anew. content has been inspected.
func withoutNotes(content []byte) ([]byte, error) {
	parts, order, err := unpack(content)
	if err != nil {
		return nil, err
	}
	gone := map[string]bool{}
	for _, name := range order {
		if dir, file := path.Split(name); strings.HasSuffix(dir, "/_rels/") && strings.HasSuffix(file, ".rels") {
			owner := path.Join(path.Dir(path.Clean(dir)), strings.TrimSuffix(file, ".rels"))
			if sheet, ok := parts[owner]; ok && strings.HasPrefix(owner, "xl/worksheets/") {
				parts[owner], parts[name] = stripSheet(sheet, parts[name], path.Dir(owner), gone)
			}
		}
	}
	const types = "[Content_Types].xml"
	parts[types] = override.ReplaceAllFunc(parts[types], func(element []byte) []byte {
		if gone[strings.TrimPrefix(attribute(element, "PartName"), "/")] {
			return nil
		}
		return element
	})
	return pack(parts, order, gone)
}

var (
	relationship  = regexp.MustCompile(`<Relationship\s[^>]*?(?:/>|>\s*</Relationship>)`)
	legacyDrawing = regexp.MustCompile(`<legacyDrawing\s[^>]*?(?:/>|>\s*</legacyDrawing>)`)
	override      = regexp.MustCompile(`<Override\s[^>]*?(?:/>|>\s*</Override>)`)
	attributes    = regexp.MustCompile(`([\w:]+)\s*=\s*(?:"([^"]*)"|'([^']*)')`)
)

// attribute reads an attribute of an element, "" if it has none.
func attribute(element []byte, name string) string {
	for _, m := range attributes.FindAllSubmatch(element, -1) {
		if string(m[1]) == name {
			return string(m[2]) + string(m[3])
		}
	}
	return ""
}

// stripSheet takes notes out of a sheet and its relationships; gone collects their parts.
func stripSheet(sheet, rels []byte, dir string, gone map[string]bool) (strippedSheet, strippedRels []byte) {
	drawn := attribute(legacyDrawing.Find(sheet), "r:id")
	rels = relationship.ReplaceAllFunc(rels, func(element []byte) []byte {
		kind, target := path.Base(attribute(element, "Type")), attribute(element, "Target")
		isShapes := kind == "vmlDrawing" && attribute(element, "Id") == drawn
		if kind != "comments" && kind != "threadedComment" && !isShapes {
			return element
		}
		if !strings.HasPrefix(target, "/") {
			target = path.Join("/", dir, target)
		}
		gone[strings.TrimPrefix(target, "/")] = true
		return nil
	})
	return legacyDrawing.ReplaceAll(sheet, nil), rels
}

// unpack reads every part; order is that of the package.
func unpack(content []byte) (parts map[string][]byte, order []string, err error) {
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return nil, nil, damaged(err)
	}
	parts = map[string][]byte{}
	for _, part := range archive.File {
		r, err := part.Open()
		if err != nil {
			return nil, nil, damaged(err)
		}
		text, err := io.ReadAll(io.LimitReader(r, maxPart+1))
		r.Close()
		if err != nil {
			return nil, nil, damaged(err)
		}
		if _, twice := parts[part.Name]; !twice {
			order = append(order, part.Name)
		}
		parts[part.Name] = text
	}
	return parts, order, nil
}

func pack(parts map[string][]byte, order []string, gone map[string]bool) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, name := range order {
		if gone[name] || strings.HasSuffix(name, "/") {
			continue
		}
		part, err := w.Create(name)
		if err != nil {
			return nil, err
		}
		if _, err := part.Write(parts[name]); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return out.Bytes(), err
}
