package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/report"
	"spatsheet/render/tables"
)

// seasonOutput are the files of a compiled season, written on all cores.
type seasonOutput struct {
	folder  string
	report  season.Report
	stamp   time.Time // of the latest collecting: the same season gives the same bytes
	list    []outputFile
	tables  []tables.Table
	written []tables.Written // by table
}

type outputFile struct {
	name  string
	write func(io.Writer) error
}

// newSeasonOutput gives the report.
func newSeasonOutput(folder string, r season.Report, stamp time.Time) *seasonOutput {
	s := &seasonOutput{folder: folder, report: r, stamp: stamp}
	s.add("report.pdf", func(w io.Writer) error { return report.WritePDF(w, r, stamp) })
	s.add("report.html", func(w io.Writer) error { return report.WriteHTML(w, r, stamp) })
	return s
}

func (s *seasonOutput) add(name string, write func(io.Writer) error) {
	s.list = append(s.list, outputFile{s.in(name), write})
}

func (s *seasonOutput) in(name string) string { return filepath.Join(s.folder, name) }

// addTables adds the workbook, which takes longest and so comes first, and the CSV files.
func (s *seasonOutput) addTables(compiled season.Season, corrected []season.Correction) {
	rest := s.list
	s.list = nil
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
	s.list = append(s.list, rest...)
}

// write writes the files; none, if one is there that must not be replaced.
func (s *seasonOutput) write(replace bool) error {
	for _, f := range s.list {
		if err := notThere(f.name, replace); err != nil {
			return err
		}
	}
	err := inOrder(s.list, func(f outputFile) error {
		return writeWhole(f.name, replace, func(file *os.File) error { return f.write(file) })
	}, func(_ outputFile, err error) error { return err })
	if err != nil || s.tables == nil {
		return err
	}
	return writeWhole(s.in("datapackage.json"), replace, func(f *os.File) error { return tables.WritePackage(f, s.written, s.stamp) })
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
