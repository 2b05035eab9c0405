package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spatsheet/cmd/station"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
)

// A reason belongs to the correction, not to a batch that is collected for the first time
// in the same run.
func TestReasonIsOfCorrectionsOnly(t *testing.T) {
	folder := filepath.Join(scratch.Folder(t), "season")
	first, again, err := filledTwice("KS-26-01", 0)
	needs(t, err)
	other, _, err := filledTwice("KS-26-02", 1)
	needs(t, err)
	run := func(args ...string) {
		t.Helper()
		if _, talk, code := inProcess(seasonCollected, args...); code != exitGood {
			t.Fatalf("exit code %d: %s", code, talk)
		}
	}
	lay := func(name string, content []byte) {
		t.Helper()
		needs(t, os.WriteFile(filepath.Join(folder, station.FilledFolder, name), content, 0o644))
	}
	run("start", folder)
	lay("KS-26-01.xlsx", first)
	run("collect", "-f", folder)
	lay("KS-26-01-again.xlsx", again)
	lay("KS-26-02.xlsx", other)
	run("collect", "-f", folder, "--reason", crashReason)
	got := ""
	for _, r := range historyOf(t, filepath.Join(folder, station.LogFile)) {
		got += fmt.Sprintf("%s %d %q\n", r.Batch, r.Number, r.Reason)
	}
	if want := "KS-26-01 1 \"\"\nKS-26-01 2 \"counted again\"\nKS-26-02 1 \"\"\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// Where there are too many files to hold until all are read, a second file of a batch is
// refused when it comes, and the one that is stored is told.
func TestSecondFileOfABatchInALongRun(t *testing.T) {
	_, folder := laid(t, nil)
	filled := filepath.Join(folder, station.FilledFolder)
	again, err := os.ReadFile(filepath.Join(folder, "corrected", "KS-26-01-corrected.xlsx"))
	needs(t, err)
	needs(t, os.WriteFile(filepath.Join(filled, "late.xlsx"), again, 0o644))
	names, err := station.WorkbooksInFolder(filled)
	needs(t, err)
	var out, talk bytes.Buffer
	p := &program{out: &out, talk: &talk, now: func() time.Time { return seasonCollected }}
	err = p.collectAs(station.At(folder), names, station.Collecting{Unnamed: true, Held: 1})
	if !errors.Is(err, station.ErrInput) {
		t.Errorf("got %v; want a fault of input", err)
	}
	if says := "late.xlsx: " + filepath.Join(filled, "KS-26-01.xlsx") +
		" came before it in this run, for batch KS-26-01; if this one is the correction, collect it by name with " +
		"--reason"; !strings.Contains(talk.String(), says) {
		t.Errorf("got %q; want %q", talk.String(), says)
	}
	if got := len(historyOf(t, filepath.Join(folder, station.LogFile), out.String())); got != crashBatches {
		t.Errorf("got %d revisions; want %d", got, crashBatches)
	}
}

// After trouble with the log nothing later is stored; a workbook that is refused alone
// keeps none out.
func TestEndsCollecting(t *testing.T) {
	for kind, want := range map[error]bool{
		nil: false, seasonlog.ErrNeedsReason: false, seasonlog.ErrOtherSheet: false, seasonlog.ErrUnfit: false,
		seasonlog.ErrFull: true, seasonlog.ErrDisk: true, seasonlog.ErrBusy: true, seasonlog.ErrReadOnly: true, seasonlog.ErrNoLog: true,
	} {
		err := kind
		if kind != nil {
			err = &seasonlog.Error{Kind: kind}
		}
		if got := seasonlog.EndsCollecting(err); got != want {
			t.Errorf("%v: got %v; want %v", kind, got, want)
		}
	}
}
