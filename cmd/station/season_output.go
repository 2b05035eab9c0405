package station

import (
	"io"
	"os"
	"path/filepath"
	"time"

	"spatsheet/calc/season"
	"spatsheet/render/report"
	"spatsheet/render/tables"
)

// SeasonOutput are the files of a compiled season, written on all cores.
type SeasonOutput struct {
	folder  string
	report  season.Report
	stamp   time.Time // of the latest collecting: the same season gives the same bytes
	files   []*outputFile
	Tables  []tables.Table
	Written []tables.Written // by table
}

type outputFile struct {
	name  string
	write func(io.Writer) error
	ready string // where it lies until all are written
}

// ReportOutput is the report alone.
func ReportOutput(folder string, r season.Report, stamp time.Time) *SeasonOutput {
	s := &SeasonOutput{folder: folder, report: r, stamp: stamp}
	s.add("report.pdf", func(w io.Writer) error { return report.WritePDF(w, r, stamp) })
	s.add("report.html", func(w io.Writer) error { return report.WriteHTML(w, r, stamp) })
	return s
}

func (s *SeasonOutput) add(name string, write func(io.Writer) error) {
	s.files = append(s.files, &outputFile{name: s.In(name), write: write})
}

// In is where a file of the season goes.
func (s *SeasonOutput) In(name string) string { return filepath.Join(s.folder, name) }

// AddTables adds the workbook, which takes longest and so comes first, and the CSV files.
func (s *SeasonOutput) AddTables(compiled season.Season, corrected []season.Correction) {
	rest := s.files
	s.files = nil
	s.Tables = tables.Of(compiled, corrected...)
	s.Written = make([]tables.Written, len(s.Tables))
	s.add("season.xlsx", func(w io.Writer) error {
		return tables.WriteWorkbook(w, s.Tables, s.stamp, tables.Charts(s.report)...)
	})
	for i, t := range s.Tables {
		s.add(t.Name+".csv", func(w io.Writer) (err error) {
			s.Written[i], err = tables.WriteCSV(w, t)
			return err
		})
	}
	s.files = append(s.files, rest...)
}

// Write writes the files: none, if one is there that must not be replaced, or one cannot be
// written; so that what lies in the folder is of one season.
func (s *SeasonOutput) Write(replace bool) error {
	all := s.files
	if s.Tables != nil { // written last: it tells the size of the CSV files
		all = append(all, &outputFile{name: s.In("datapackage.json"), write: func(w io.Writer) error {
			return tables.WritePackage(w, s.Written, s.stamp)
		}})
	}
	for _, f := range all {
		if err := NotThere(f.name, replace); err != nil {
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
	if err := InOrder(s.files, (*outputFile).writeBeside, first); err != nil {
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
		if err := PutInPlace(ready, f.name); err != nil {
			return err
		}
	}
	return nil
}

func (f *outputFile) writeBeside() (err error) {
	f.ready, err = WriteBeside(f.name, func(file *os.File) error { return f.write(file) })
	return err
}
