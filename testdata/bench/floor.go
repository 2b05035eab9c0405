package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/xuri/excelize/v2"
)

// floorCommand only opens each workbook and reads the cells that spatsheet reads.
func floorCommand(arguments []string) error {
	flags := flag.NewFlagSet("floor", flag.ContinueOnError)
	folder := flags.String("folder", "", "the season folder; its filled/ is read")
	procs := flags.Int("procs", runtime.NumCPU(), "goroutines, and GOMAXPROCS")
	gogc := flags.Int("gogc", 0, "GOGC; 0 leaves it to the environment")
	if err := flags.Parse(arguments); err != nil {
		return err
	}
	runtime.GOMAXPROCS(*procs)
	if *gogc != 0 {
		debug.SetGCPercent(*gogc)
	}
	names, err := filepath.Glob(filepath.Join(*folder, "filled", "*.xlsx"))
	if err != nil || len(names) == 0 {
		return fmt.Errorf("there is no workbook in %s/filled (%v)", *folder, err)
	}
	began := time.Now()
	cells, err := readAll(names, *procs)
	if err != nil {
		return err
	}
	took := time.Since(began).Seconds()
	fmt.Printf("floor: %d files, %d cells, %.3f s, peak %d kB, %d goroutines\n", len(names), cells, took, peakKB(), *procs)
	return nil
}

func readAll(names []string, procs int) (int64, error) {
	var next, cells atomic.Int64
	faults := make([]error, procs)
	var all sync.WaitGroup
	for p := range procs {
		all.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(names)) && faults[p] == nil; i = next.Add(1) - 1 {
				n, err := readOne(names[i])
				cells.Add(int64(n))
				faults[p] = err
			}
		})
	}
	all.Wait()
	for _, err := range faults {
		if err != nil {
			return 0, err
		}
	}
	return cells.Load(), nil
}

// readOne opens a workbook with the options that render/workbook/open.go has, and reads
// the manifest's rows and, for each of its names, the cell's value and type.
func readOne(name string) (cells int, err error) {
	content, err := os.ReadFile(name)
	if err != nil {
		return 0, err
	}
	f, err := excelize.OpenReader(bytes.NewReader(content), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: 64 << 20, UnzipXMLSizeLimit: 16 << 20,
	})
	if err != nil {
		return 0, err
	}
	defer f.Close()
	named := namedCells(f)
	rows, err := f.GetRows("_manifest")
	if err != nil {
		return 0, err
	}
	names, err := manifestNames(rows)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", name, err)
	}
	for _, name := range names {
		at, ok := named[name]
		if !ok {
			continue
		}
		if _, err := f.GetCellValue(at.sheet, at.ref); err != nil {
			return 0, err
		}
		if _, err := f.GetCellType(at.sheet, at.ref); err != nil {
			return 0, err
		}
		cells++
	}
	if cells == 0 {
		return 0, fmt.Errorf("%s: no named cell was found", name)
	}
	return cells, nil
}

// manifestNames lists the defined names that a manifest knows: one in each row of kind
// "name" once, now all of them as one quoted text over rows of kind "names".
func manifestNames(rows [][]string) ([]string, error) {
	var lines strings.Builder
	for _, row := range rows {
		switch {
		case len(row) > 1 && row[0] == "name":
			fmt.Fprintln(&lines, row[1])
		case len(row) > 1 && row[0] == "names":
			text, err := strconv.Unquote(row[1])
			if err != nil {
				return nil, err
			}
			lines.WriteString(text)
		}
	}
	var names []string
	for line := range strings.Lines(lines.String()) {
		if words := strings.Fields(line); len(words) > 1 {
			names = append(names, words[1])
		}
	}
	return names, nil
}

type place struct{ sheet, ref string }

// namedCells says where the defined names of a workbook of ours point.
func namedCells(f *excelize.File) map[string]place {
	out := map[string]place{}
	for _, n := range f.GetDefinedName() {
		sheet, ref, ok := strings.Cut(n.RefersTo, "!")
		if ok {
			sheet = strings.ReplaceAll(strings.Trim(sheet, "'"), "''", "'")
			out[n.Name] = place{sheet, strings.ReplaceAll(ref, "$", "")}
		}
	}
	return out
}

// peakKB is the most memory this process has had; 0 where the system does not tell.
func peakKB() int {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(status), "VmHWM:")
	kB := 0
	fmt.Sscan(after, &kB)
	return kB
}
