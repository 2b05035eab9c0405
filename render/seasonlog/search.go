package seasonlog

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"spatsheet/calc"
)

// search goes through the pages of a log's file for what Remains holds.
type search struct {
	remains *Remains
	records map[int]Revision   // whole ones, by the order of collecting
	named   map[int]Revision   // batch and number alone, by the index over them: no proof, but a name for what is lost
	blobs   []pageRow          // of two columns: workbooks and texts
	whole   map[string]pageRow // workbooks, by the SHA-256 of their content
}

func newSearch(r *Remains) *search {
	return &search{remains: r, records: map[int]Revision{}, named: map[int]Revision{}, whole: map[string]pageRow{}}
}

func (s *search) run() error {
	p := s.remains.pages
	for n := 1; n <= p.count; n++ {
		page, err := p.page(n)
		if err != nil {
			return err
		}
		for _, r := range p.rows(n, page) {
			s.take(r)
		}
	}
	s.takeBlobs()
	s.list()
	s.lost()
	return nil
}

// found counts what is whole: workbooks, and records of them.
func (s *search) found() int { return 2*len(s.remains.Workbooks) + len(s.records) }

// revisionWidth is how many columns the table of revisions has.
var revisionWidth = strings.Count(revisionColumns, ",") + 1

// take sorts a row by its columns: a workbook or text, a record, or the name of a revision.
func (s *search) take(r pageRow) {
	width := r.width()
	if r.table && width == 2 {
		s.blobs = append(s.blobs, r)
		return
	}
	isRecord, isName := r.table && width == revisionWidth, !r.table && width == 3
	if !isRecord && !isName {
		return
	}
	record, err := s.remains.pages.whole(r)
	if err != nil {
		return
	}
	values, err := columns(record)
	if err != nil {
		return
	}
	if isName {
		s.takeName(values)
	} else if record, ok := recordOf(r.id, values); ok {
		s.records[r.id] = record
	}
}

// width is how many columns a row has, by its head alone.
func (r pageRow) width() int {
	head, at := varint(r.begins, 0)
	n := 0
	for at >= 0 && at < int(min(head, uint64(len(r.begins)))) {
		_, at = varint(r.begins, at)
		n++
	}
	return n
}

func (s *search) takeName(values []any) {
	if len(values) != 3 {
		return
	}
	batch, isText := values[0].(string)
	number, isNumber := values[1].(int64)
	collected, isOrder := values[2].(int64)
	if isText && isNumber && isOrder && calc.CheckBatchCode(batch) == nil {
		s.named[int(collected)] = Revision{Collected: int(collected), Batch: batch, Number: int(number)}
	}
}

// recordOf makes a revision of a row's columns and tells whether it is as it was stored.
// The first column is the rowid, which SQLite does not store twice. A damaged head may say
// more columns than the part of it on the row's own page did.
func recordOf(collected int, values []any) (Revision, bool) {
	if len(values) != revisionWidth {
		return Revision{}, false
	}
	var texts [21]string
	var numbers [21]int
	for i, v := range values {
		switch x := v.(type) {
		case string:
			texts[i] = x
		case int64:
			numbers[i] = int(x)
		}
	}
	start, badStart := time.Parse(clockForm, texts[12])
	at, badAt := time.Parse(offsetForm, texts[13])
	r := Revision{
		Collected: collected, Batch: texts[1], Number: numbers[2], Workbook: texts[3], FileName: texts[4], Protocol: texts[5],
		ProtocolText: texts[6], PlanText: texts[7], SiteText: texts[8], Sheet: texts[9], Stage: texts[10], Species: texts[11],
		Start: start, CollectedAt: at, Program: texts[14], Reason: texts[15], Readings: numbers[16], Findings: numbers[17],
		ReadingsDigest: texts[18], FindingsDigest: texts[19],
	}
	return r, badStart == nil && badAt == nil && r.digest() == texts[20]
}

// takeBlobs keeps the workbooks that are whole: those that a record names, and others that
// have the digest they were stored under and are no text.
func (s *search) takeBlobs() {
	named := map[string]bool{}
	for _, r := range s.records {
		named[r.Workbook] = true
	}
	for _, r := range s.blobs {
		content, err := s.remains.content(r)
		if err != nil {
			continue
		}
		digest := sha256Hex(content)
		if named[digest] || bytes.Contains(r.begins, []byte(digest)) && !utf8.Valid(content) {
			s.whole[digest] = r
		}
	}
}

// list puts the whole workbooks in the order of collecting. One whose record is lost goes
// by its rowid: each collecting adds one row to both tables, so that the two count alike.
func (s *search) list() {
	var list []Kept
	unrecorded := maps.Clone(s.whole)
	for n, record := range s.records {
		if r, ok := s.whole[record.Workbook]; ok {
			delete(unrecorded, record.Workbook)
			list = append(list, Kept{Collected: n, Workbook: record.Workbook, Recorded: true, Record: record, row: r})
		}
	}
	possible := s.last() + len(unrecorded)
	for digest, r := range unrecorded {
		k := Kept{Collected: r.id, Workbook: digest, row: r}
		if _, taken := s.records[k.Collected]; taken || k.Collected < 1 || k.Collected > possible {
			k.Collected = possible + 1 // its number is damaged: after all others
		}
		list = append(list, k)
	}
	slices.SortFunc(list, func(a, b Kept) int {
		return cmp.Or(a.Collected-b.Collected, strings.Compare(a.Workbook, b.Workbook))
	})
	s.remains.Workbooks = list
}

func (s *search) last() int {
	last := 0
	for n := range s.records {
		last = max(last, n)
	}
	return last
}

// lost names what is not whole: workbooks of a whole record, and numbers in the order of
// collecting that have neither.
func (s *search) lost() {
	there, newest, last := map[int]bool{}, map[string]int{}, s.last()
	for _, k := range s.remains.Workbooks {
		there[k.Collected] = true
		last = max(last, k.Collected)
		r := k.Record
		if !k.Recorded {
			r = s.named[k.Collected]
		}
		newest[r.Batch] = max(newest[r.Batch], r.Number)
	}
	for s.named[last+1].Batch != "" {
		last++
	}
	for n := 1; n <= last; n++ {
		if there[n] {
			continue
		}
		l := s.loss(n)
		if l.Batch != "" && newest[l.Batch] > l.Number {
			l.Remedy = remedyOlder
		}
		s.remains.Lost = append(s.remains.Lost, l)
	}
}

// loss tells of number n in the order of collecting what is left of it.
func (s *search) loss(n int) Loss {
	if r, recorded := s.records[n]; recorded {
		return Loss{Collected: n, Batch: r.Batch, Number: r.Number, Workbook: r.Workbook, Fault: Fault{
			Place: fmt.Sprintf("batch %s (%s, collected %s)", r.place(), r.FileName, r.CollectedAt.Format("2006-01-02 15:04")),
			Says:  "the workbook is not as it was stored, SHA-256 " + r.Workbook, Remedy: remedyLost}}
	}
	l := Loss{Collected: n, Fault: Fault{Place: fmt.Sprintf("workbook number %d in the order of collecting", n),
		Says: "neither the workbook nor the record of its collecting is whole", Remedy: remedyUnknown}}
	if r, named := s.named[n]; named {
		l.Batch, l.Number, l.Place, l.Remedy = r.Batch, r.Number, "batch "+r.place(), remedyLost
	}
	return l
}
