package workbook

import "bytes"

// unread are the parts of a sheet, after its rows, that reading a filled workbook has no
// use for: warnings and marks for the person who types. They are half of a sheet's XML, and
// the library takes longest over XML.
var unread = map[string]bool{"conditionalFormatting": true, "dataValidations": true}

// rowsOnly leaves the library less to take apart; the workbook cannot be saved after it.
func (o *ours) rowsOnly() {
	for _, s := range o.scans {
		if content, ok := o.Pkg.Load(s.part); ok {
			if text, isText := content.([]byte); isText {
				o.Pkg.Store(s.part, withoutUnread(text))
			}
		}
	}
}

// withoutUnread cuts the unread elements out. What is not closed stays, for the library
// to tell.
func withoutUnread(part []byte) []byte {
	from := bytes.LastIndex(part, []byte("sheetData>"))
	if from < 0 {
		return part
	}
	s := &scanner{text: part, at: from}
	var out []byte
	kept := 0
	for s.next() {
		if s.closing || !unread[string(s.name)] {
			continue
		}
		start, name, closed := s.tagAt, string(s.name), s.empty
		for !closed && s.next() {
			closed = s.closing && string(s.name) == name
		}
		if closed {
			out = append(out, part[kept:start]...)
			kept = s.at
		}
	}
	return append(out, part[kept:]...)
}
