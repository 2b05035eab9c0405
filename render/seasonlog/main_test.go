package seasonlog

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/protocols"
	"spatsheet/render/scratch"
)

// TestMain lets the test binary play a second program that uses the log: the tests start
// it again with helperTask set, and kill it.
func TestMain(m *testing.M) {
	switch os.Getenv(helperTask) {
	case "":
		os.Exit(m.Run())
	case "collect":
		helperCollect()
	case "read-only":
		helperReadOnly()
	}
}

const (
	helperTask = "SEASONLOG_HELPER"
	helperLog  = "SEASONLOG_HELPER_LOG"
	helperFrom = "SEASONLOG_HELPER_FROM"
	helperTo   = "SEASONLOG_HELPER_TO"
)

// helperCollect collects sample workbooks FROM up to and without TO, and says so on
// stdout after each.
func helperCollect() {
	runtime.LockOSThread() // strace counts system calls by thread
	from, _ := strconv.Atoi(os.Getenv(helperFrom))
	to, _ := strconv.Atoi(os.Getenv(helperTo))
	log, err := Open(os.Getenv(helperLog))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for n := from; n < to; n++ {
		if _, _, err := log.Collect(sample(n, 0)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Println(n)
	}
	log.Close()
}

// Sizes of a sample workbook: those measured for 12 steps and 150 fields (libraries.md e).
const (
	sampleBytes    = 21_000
	sampleReadings = 150
)

// sample is workbook number n as first filled (variant 0) or corrected (variant 1, 2...).
// The same numbers give the same workbook in every process.
func sample(n, variant int) Workbook {
	content := make([]byte, sampleBytes)
	source := rand.NewChaCha8([32]byte{byte(n), byte(n >> 8), byte(variant)})
	_, _ = source.Read(content)
	protocol := []byte("id: broodstock-spawning\nversion: 1.0.0\n# PROTOCOL-TEXT\n")
	w := Workbook{
		Content: content, FileName: fmt.Sprintf("batch %d.xlsx", n), Batch: fmt.Sprintf("SK-26-%05d", n),
		Protocol: "broodstock-spawning@1.0.0", ProtocolDigest: sha256Hex(protocol), Digest: "4f1d09aa", ProtocolText: protocol,
		PlanText: []byte(fmt.Sprintf("batch: SK-26-%05d\n# PLAN-TEXT\n", n)), SiteText: []byte("name: Skerry Point\n# SITE-TEXT\n"),
		Stage: "spawning", Species: "Patella vulgata", Start: time.Date(2026, 5, 1, 9, 30, 0, 0, time.UTC).AddDate(0, 0, -n%7),
		CollectedAt: time.Date(2026, 5, 3, 17, n%60, 0, 0, time.FixedZone("", 3600)), Program: "spatsheet 0.1.0",
	}
	for i := range sampleReadings {
		w.Readings = append(w.Readings, calc.Reading{
			Key: calc.RowKey("egg_counts", i+1, "counted"), Printed: fmt.Sprintf("Egg counts, Subsample %d: eggs counted", i+1),
			Sheet: "Step 3", Ref: fmt.Sprintf("C%d", i+7), State: calc.Given, Raw: strconv.Itoa(n + i), Number: float64(n+i) / 3, Unit: "eggs",
		})
	}
	w.Findings = []check.Finding{{Level: protocols.Warning, Code: "spread", Sheet: "Step 3", Ref: "C7",
		Key: "egg_counts.1.counted", Entry: "Egg counts", Raw: "41", Says: "the counts differ", Remedy: "count again"}}
	if variant > 0 {
		w.Reason = fmt.Sprintf("counts of subsample %d were swapped", variant)
	}
	return w
}

// newLog makes an empty log in a folder of its own and opens it.
func newLog(t testing.TB) *Log {
	t.Helper()
	path := filepath.Join(scratch.Folder(t), "season 2026 #1.log")
	if err := Create(path); err != nil {
		t.Fatal(err)
	}
	return reopen(t, path)
}

func reopen(t testing.TB, path string) *Log {
	t.Helper()
	log, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { log.Close() })
	return log
}

// collect collects, asserts the outcome, and verifies the whole log.
func collect(t testing.TB, log *Log, w Workbook, want Outcome, wantNumber int) {
	t.Helper()
	outcome, number, err := log.Collect(w)
	if err != nil || outcome != want || number != wantNumber {
		t.Fatalf("collect %s: got %s, revision %d, error %v; want %s, revision %d", w.FileName, outcome, number, err, want, wantNumber)
	}
	sound(t, log)
}

// sound verifies the whole log.
func sound(t testing.TB, log *Log) {
	t.Helper()
	faults, err := log.Verify()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range faults {
		t.Errorf("verify: %s", f)
	}
}

func history(t testing.TB, log *Log) []Revision {
	t.Helper()
	list, err := log.History()
	if err != nil {
		t.Fatal(err)
	}
	return list
}
