package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/protocols"
	"spatsheet/render/workbook"
)

// maker makes a season folder.
type maker struct {
	folder   string
	seed     uint64
	share    float64 // of the workbooks with mistakes
	protocol *protocols.Protocol
	rows     string
	own      bool // each batch has its own size
	site     calc.Site
	faulty   atomic.Int64
	boxes    atomic.Int64
	sheets   [16]atomic.Pointer[calc.Sheet] // one of each kind of batch
	starts   []string                       // by batch, from 0
	which    []int
	digests  []string
}

func makeCommand(arguments []string) error {
	flags := flag.NewFlagSet("make", flag.ContinueOnError)
	folder := flags.String("folder", "", "a new season folder")
	workbooks := flags.Int("workbooks", 0, "filled workbooks to make, with their plans")
	plans := flags.Int("plans", 0, "plans to make, without workbooks")
	seed := flags.Uint64("seed", 1, "seed")
	faulty := flags.Float64("faulty", faultyShare, "share of the workbooks with mistakes")
	steps := flags.String("protocol", "twelve", "twelve steps, or ten as shipped")
	own := flags.Bool("own-sizes", false, "a size of its own for each batch; nothing is written for check_openpyxl.py")
	boxes := flags.String("boxes", "150", "boxes of a sheet, about: 150, 260, 500 or 660")
	if err := flags.Parse(arguments); err != nil {
		return err
	}
	n := max(*workbooks, *plans)
	if *folder == "" || n < 1 || n > 99999 {
		return fmt.Errorf("give --folder, and --workbooks or --plans from 1 to 99999")
	}
	if _, err := os.Stat(*folder); err == nil {
		return fmt.Errorf("%s is there already; name a new folder", *folder)
	}
	if lengths[*boxes] == "" {
		return fmt.Errorf("--boxes %q: 150, 260, 500 or 660", *boxes)
	}
	protocol, err := protocolText(*steps)
	if err != nil {
		return err
	}
	site, err := calc.ReadSite("site.yaml", siteText())
	if err != nil {
		return err
	}
	m := &maker{folder: *folder, seed: *seed, share: *faulty, protocol: protocol, rows: lengths[*boxes], own: *own,
		site: site, starts: make([]string, n), which: make([]int, n), digests: make([]string, n)}
	debug.SetGCPercent(400) // time rather than memory
	began := time.Now()
	if err := m.season(n, *workbooks > 0); err != nil {
		return err
	}
	fmt.Printf("%s: %d batches of %s, %d steps, %.1f boxes each, %d with mistakes, %.1f s, peak %d kB\n",
		*folder, n, protocol.Ref(), len(protocol.Steps), float64(m.boxes.Load())/float64(n), m.faulty.Load(), time.Since(began).Seconds(), peakKB())
	return nil
}

func (m *maker) season(n int, filled bool) error {
	if err := m.start(); err != nil {
		return err
	}
	var next atomic.Int64
	procs := runtime.GOMAXPROCS(0)
	faults := make([]error, procs)
	var all sync.WaitGroup
	for p := range procs {
		all.Go(func() {
			for i := next.Add(1); i <= int64(n) && faults[p] == nil; i = next.Add(1) {
				faults[p] = m.one(int(i), filled)
			}
		})
	}
	all.Wait()
	for _, err := range faults {
		if err != nil {
			return err
		}
	}
	if m.own {
		return nil
	}
	return m.writeBoxes()
}

func (m *maker) start() error {
	id, version, _ := strings.Cut(m.protocol.Ref(), "@")
	files := map[string][]byte{"site.yaml": siteText()}
	if id == twelve {
		files[filepath.Join("protocols", id, version+".yaml")] = m.protocol.Text
	}
	for name, text := range files {
		if err := m.write(name, text); err != nil {
			return err
		}
	}
	return nil
}

func (m *maker) write(name string, content []byte) error {
	name = filepath.Join(m.folder, name)
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, content, 0o644)
}

// one makes a batch: its plan and, if wanted, the workbook as it came back.
func (m *maker) one(n int, filled bool) error {
	b := batchOf(m.protocol, m.rows, m.own, m.seed, n)
	if err := m.write(filepath.Join("plans", b.code+".yaml"), b.plan); err != nil {
		return err
	}
	sheet, err := b.scaled(m.protocol, m.site)
	if err != nil {
		return fmt.Errorf("%s: %w", b.code, err)
	}
	m.boxes.Add(int64(len(sheet.Boxes())))
	m.sheets[b.kind].CompareAndSwap(nil, sheet)
	m.starts[n-1], m.which[n-1], m.digests[n-1] = sheet.Plan.Start.Format("2006-01-02T15:04:05"), b.kind, sheet.Digest
	if !filled {
		return nil
	}
	content, err := m.filled(b, sheet)
	if err != nil {
		return fmt.Errorf("%s: %w", b.code, err)
	}
	return m.write(filepath.Join("filled", b.code+".xlsx"), content)
}

func (m *maker) filled(b batch, sheet *calc.Sheet) ([]byte, error) {
	values, err := example.FillVaried(sheet, nil, b.vary())
	if err != nil {
		return nil, err
	}
	faulty := b.wild.Float64() < m.share
	if faulty {
		m.faulty.Add(1)
		spoil(sheet, values, b.wild)
	}
	var blank bytes.Buffer
	if err := workbook.Write(&blank, sheet); err != nil {
		return nil, err
	}
	content, err := workbook.Fill(blank.Bytes(), values)
	if err != nil || !faulty || b.wild.Float64() > 0.2 {
		return content, err
	}
	return changeAmount(content, "rinse_water")
}
