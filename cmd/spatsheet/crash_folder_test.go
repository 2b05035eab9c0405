package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/cmd/station"
	"spatsheet/protocols/library"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// How many batches the crash tests collect, and how many of them are corrected afterwards.
// Several times what collect puts into the log at once, so that a kill can come between.
const (
	crashBatches   = 40
	crashCorrected = 6
)

const crashReason = "counted again"

// filledSeason is made once: filled workbooks, corrections of some, and what their log is
// when nothing goes wrong.
type filledSeason struct {
	filled, corrected map[string][]byte // by file name
	once, twice       []byte            // the log after collecting filled, and then corrected
}

var crashSeason = sync.OnceValues(func() (*filledSeason, error) {
	folder, err := os.MkdirTemp("", "spatsheet-crash")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	s := &filledSeason{filled: map[string][]byte{}, corrected: map[string][]byte{}}
	for n := range crashBatches {
		code := fmt.Sprintf("KS-26-%02d", n+1)
		first, second, err := filledTwice(code, n)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", code, err)
		}
		s.filled[code+".xlsx"] = first
		if n < crashCorrected {
			s.corrected[code+"-corrected.xlsx"] = second
		}
	}
	if err := s.lay(folder, nil); err != nil {
		return nil, err
	}
	for i, after := range []*[]byte{&s.once, &s.twice} {
		if out, code := spatsheet(s.phases()[i].arguments(folder)...); code != exitGood {
			return nil, fmt.Errorf("collect: exit code %d: %s", code, out)
		}
		if *after, err = os.ReadFile(filepath.Join(folder, station.LogFile)); err != nil {
			return nil, err
		}
	}
	return s, nil
})

// filledTwice plans batch number n and fills its workbook in, and once more otherwise.
func filledTwice(code string, n int) (first, second []byte, err error) {
	site, err := calc.ReadSite("site.yaml", templates.Site)
	if err != nil {
		return nil, nil, err
	}
	p, err := library.Load([]string{"gonad-check", "out-planting"}[n%2], functions.All())
	if err != nil {
		return nil, nil, err
	}
	profile, err := library.LoadProfile("patella-aspera")
	if err != nil {
		return nil, nil, err
	}
	text := strings.Replace(string(examplePlan(p, profile, 1)), "EX-1", code, 1)
	plan, err := calc.ReadPlan(code+".yaml", []byte(text))
	if err != nil {
		return nil, nil, err
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		return nil, nil, err
	}
	var blank bytes.Buffer
	if err := workbook.Write(&blank, sheet); err != nil {
		return nil, nil, err
	}
	for _, into := range []*[]byte{&first, &second} {
		values, err := example.FillVaried(sheet, nil, seasonVary(fmt.Sprint(code, into == &second)))
		if err != nil {
			return nil, nil, err
		}
		if *into, err = workbook.Fill(blank.Bytes(), values); err != nil {
			return nil, nil, err
		}
	}
	return first, second, nil
}

// lay puts a season folder down: the workbooks, and the log given or an empty one.
func (s *filledSeason) lay(folder string, log []byte) error {
	for sub, files := range map[string]map[string][]byte{"filled": s.filled, "corrected": s.corrected} {
		if err := os.MkdirAll(filepath.Join(folder, sub), 0o755); err != nil {
			return err
		}
		for name, content := range files {
			if err := os.WriteFile(filepath.Join(folder, sub, name), content, 0o644); err != nil {
				return err
			}
		}
	}
	name := filepath.Join(folder, station.LogFile)
	if log == nil {
		return seasonlog.Create(name)
	}
	return os.WriteFile(name, log, 0o644)
}

// laid is a season folder of its own for a test.
func laid(t *testing.T, log []byte) (s *filledSeason, folder string) {
	t.Helper()
	s, err := crashSeason()
	if err != nil {
		t.Fatal(err)
	}
	folder = filepath.Join(scratch.Folder(t), "season")
	if err := s.lay(folder, log); err != nil {
		t.Fatal(err)
	}
	return s, folder
}

// spatsheet runs the whole program in a process of its own and gives what it said, on both
// streams, and its exit code; -1 when it was killed.
func spatsheet(args ...string) (said string, code int) {
	c := exec.Command("spatsheet", args...)
	out, err := c.CombinedOutput()
	return string(out), codeOf(err)
}

func codeOf(err error) int {
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return exit.ExitCode()
	}
	if err != nil {
		return 99 // it did not start
	}
	return exitGood
}

// acknowledgement is a line of collect that says a workbook is in the log.
var acknowledgement = regexp.MustCompile(`(?m)^([A-Z0-9-]+): (added|revised|unchanged), revision ([0-9]+)`)

// acknowledged lists "batch revision" for every acknowledgement in what collect said.
func acknowledged(said string) map[string]bool {
	list := map[string]bool{}
	for _, m := range acknowledgement.FindAllStringSubmatch(said, -1) {
		list[m[1]+" "+m[3]] = true
	}
	return list
}

// historyOf verifies a log and gives its history; said is what was acknowledged of it.
func historyOf(t *testing.T, path string, said ...string) []seasonlog.Revision {
	t.Helper()
	log, err := seasonlog.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	faults, err := log.Verify()
	if err != nil || len(faults) > 0 {
		t.Fatalf("verify: %v, error %v", faults, err)
	}
	list, err := log.History()
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	for _, r := range list {
		there[r.Batch+" "+strconv.Itoa(r.Number)] = true
	}
	for a := range acknowledged(strings.Join(said, "\n")) {
		if !there[a] {
			t.Errorf("%s was acknowledged and is not in the log", a)
		}
	}
	return list
}

// sameLog wants the history that a log has when nothing goes wrong. Order of collecting and
// time may differ only where the test says so, by taking them out before.
func sameLog(t *testing.T, got, want []seasonlog.Revision) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("got %d revisions; want %d", len(got), len(want))
		return
	}
	for i := range got {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("got %+v\nwant %+v", got[i], want[i])
		}
	}
}

// historyIn is the history of one of the logs of filledSeason, which is verified once.
func historyIn(t *testing.T, log []byte) []seasonlog.Revision {
	t.Helper()
	if known, ok := histories.Load(&log[0]); ok {
		return slices.Clone(known.([]seasonlog.Revision))
	}
	path := filepath.Join(scratch.Folder(t), "log")
	if err := os.WriteFile(path, log, 0o644); err != nil {
		t.Fatal(err)
	}
	list := historyOf(t, path)
	histories.Store(&log[0], list)
	return slices.Clone(list)
}

// histories are those of logs, by their first byte.
var histories sync.Map

// inProcess runs the program here, with a clock of its own.
func inProcess(now time.Time, args ...string) (out, talk string, code int) {
	var o, e bytes.Buffer
	code = run(append([]string{"spatsheet"}, args...), io.Writer(&o), &e, func() time.Time { return now })
	return o.String(), e.String(), code
}
