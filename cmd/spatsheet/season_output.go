package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"spatsheet/calc/season"
	"spatsheet/cmd/station"
	"spatsheet/render/report"
	"spatsheet/render/tables"
)

// seasonOutput are the files of a compiled season, written on all cores.
type seasonOutput struct {
	folder  string
	report  season.Report
	stamp   time.Time // of the latest collecting: the same season gives the same bytes
	files   []*outputFile
	tables  []tables.Table
	written []tables.Written // by table
}

type outputFile struct {
	name  string
	write func(io.Writer) error
	ready string // where it lies until all are written
}

// reportOutput is the report alone.
func reportOutput(folder string, r season.Report, stamp time.Time) *seasonOutput {
	s := &seasonOutput{folder: folder, report: r, stamp: stamp}
	s.add("report.pdf", func(w io.Writer) error { return report.WritePDF(w, r, stamp) })
	s.add("report.html", func(w io.Writer) error { return report.WriteHTML(w, r, stamp) })
	return s
}

func (s *seasonOutput) add(name string, write func(io.Writer) error) {
	s.files = append(s.files, &outputFile{name: s.in(name), write: write})
}

func (s *seasonOutput) in(name string) string { return filepath.Join(s.folder, name) }

// addTables adds the workbook, which takes longest and so comes first, and the CSV files.
func (s *seasonOutput) addTables(compiled season.Season, corrected []season.Correction) {
	rest := s.files
	s.files = nil
	s.tables = tables.Of(compiled, corrected...)
	s.written = make([]tables.Written, len(s.tables))
	s.add("season.xlsx", func(w io.Writer) error {
		return tables.WriteWorkbook(w, s.tables, s.stamp, tables.Charts(s.report)...)
	})
	for i, t := range s.tables {
		s.add(t.Name+".csv", func(w io.Writer) (err error) {
			s.written[i], err = tables.WriteCSV(w, t)
			return err
		})
	}
	s.files = append(s.files, rest...)
}

// write writes the files: none, if one is there that must not be replaced, or one cannot be
// written; so that what lies in the folder is of one season.
func (s *seasonOutput) write(replace bool) error {
	all := s.files
	if s.tables != nil { // written last: it tells the size of the CSV files
		all = append(all, &outputFile{name: s.in("datapackage.json"), write: func(w io.Writer) error {
			return tables.WritePackage(w, s.written, s.stamp)
		}})
	}
	for _, f := range all {
		if err := station.NotThere(f.name, replace); err != nil {
			return err
		}
	}
	defer func() {
		for _, f := range all {
			if f.ready != "" {
				os.Remove(f.ready) // of one that failed
			}
		}
	}()
	first := func(_ *outputFile, err error) error { return err }
	if err := station.InOrder(s.files, (*outputFile).writeBeside, first); err != nil {
		return err
	}
	for _, f := range all[len(s.files):] {
		if err := f.writeBeside(); err != nil {
			return err
		}
	}
	for _, f := range all {
		ready := f.ready
		f.ready = ""
		if err := station.PutInPlace(ready, f.name); err != nil {
			return err
		}
	}
	return nil
}

func (f *outputFile) writeBeside() (err error) {
	f.ready, err = station.WriteBeside(f.name, func(file *os.File) error { return f.write(file) })
	return err
}

// tell says what was written.
func (s *seasonOutput) tell(out, talk io.Writer) {
	if s.tables != nil {
		fmt.Fprintf(out, "wrote %s and %d CSV files beside it\n", s.in("season.xlsx"), len(s.tables))
	}
	for _, t := range s.written {
		if t.TooLong() {
			fmt.Fprintf(talk, "spatsheet: %s has %d rows, more than a sheet holds; season.xlsx names %s.csv instead\n", t.Name, t.Count, t.Name)
		}
	}
	fmt.Fprintf(out, "wrote %s and %s\n", s.in("report.pdf"), s.in("report.html"))
}
