package seasonlog

import (
	"bytes"
	"errors"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

func TestCollectTwiceEqualsOnce(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	before, err := os.ReadFile(log.Path())
	if err != nil {
		t.Fatal(err)
	}
	again := sample(1, 0)
	again.FileName, again.Reason, again.CollectedAt = "copy.xlsx", "by mistake", again.CollectedAt.AddDate(0, 0, 1)
	again.Readings = again.Readings[:3]
	collect(t, log, again, Unchanged, 1)
	after, err := os.ReadFile(log.Path())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, after) {
		t.Error("collecting the same file again changed the log")
	}
}

func TestCorrectionBecomesRevision(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	collect(t, log, sample(1, 1), Revised, 2)
	collect(t, log, sample(2, 0), Added, 1)
	collect(t, log, sample(1, 2), Revised, 3)
	collect(t, log, sample(1, 0), Unchanged, 1) // an old file stays old

	revisions, err := log.Revisions("SK-26-00001")
	if err != nil || len(revisions) != 3 {
		t.Fatalf("got %d revisions, error %v; want 3", len(revisions), err)
	}
	for variant, r := range revisions {
		stored(t, log, r, sample(1, variant))
	}
	latest, err := log.Content("SK-26-00001", 0)
	if err != nil || !bytes.Equal(latest, sample(1, 2).Content) {
		t.Errorf("revision 0 is not the latest content; error %v", err)
	}
	batches, err := log.Batches()
	if err != nil {
		t.Fatal(err)
	}
	history, err := log.History()
	if got := Latest(history); err != nil || len(batches) != 2 || !reflect.DeepEqual(got, batches) {
		t.Errorf("the latest of %d revisions: got %v, error %v; want %v", len(history), got, err, batches)
	}
}

// stored asserts that the revision gives back everything that was collected.
func stored(t *testing.T, log *Log, r Revision, w Workbook) {
	t.Helper()
	content, err := log.Content(r.Batch, r.Number)
	if err != nil || !bytes.Equal(content, w.Content) {
		t.Errorf("%s: other content; error %v", r.place(), err)
	}
	readings, err := log.Readings(r.Batch, r.Number)
	if err != nil || !reflect.DeepEqual(readings, w.Readings) {
		t.Errorf("%s: got readings %v, error %v; want %v", r.place(), readings, err, w.Readings)
	}
	findings, err := log.Findings(r.Batch, r.Number)
	if err != nil || !reflect.DeepEqual(findings, w.Findings) {
		t.Errorf("%s: got findings %v, error %v; want %v", r.place(), findings, err, w.Findings)
	}
	for digest, want := range map[string][]byte{r.ProtocolText: w.ProtocolText, r.PlanText: w.PlanText, r.SiteText: w.SiteText} {
		if text, err := log.Text(digest); err != nil || !bytes.Equal(text, want) {
			t.Errorf("%s: got text %q, error %v; want %q", r.place(), text, err, want)
		}
	}
	if !r.Start.Equal(w.Start) || !r.CollectedAt.Equal(w.CollectedAt) {
		t.Errorf("%s: got times %s and %s; want %s and %s", r.place(), r.Start, r.CollectedAt, w.Start, w.CollectedAt)
	}
	want := w.revision(sha256Hex(w.Content), r.Collected, r.Number)
	want.Start, want.CollectedAt = r.Start, r.CollectedAt
	if r != want {
		t.Errorf("got revision %+v; want %+v", r, want)
	}
}

func TestCollectRefuses(t *testing.T) {
	cases := []struct {
		name string
		edit func(*Workbook)
		kind error
		says string
	}{
		{"correction without reason", func(w *Workbook) { w.Reason = " " }, ErrNeedsReason, "differs from revision 1; give the reason"},
		{"planned again without reason", func(w *Workbook) { w.Reason, w.Digest = "", "99aa" }, ErrOtherSheet,
			"revision 1 is of sheet 4f1d09aa, this file is of sheet 99aa"},
		{"other protocol even with reason", func(w *Workbook) { w.Protocol = "diatom-culture@1.0.0" }, ErrOtherSheet, "a batch code of its own"},
		{"same file as another batch", func(w *Workbook) { w.Batch, w.Content = "SK-26-00009", sample(1, 0).Content }, ErrUnfit, "in the log as batch SK-26-00001"},
		{"empty file", func(w *Workbook) { w.Content = nil }, ErrUnfit, "the file is empty"},
		{"too large", func(w *Workbook) { w.Content = make([]byte, MaxContent+1) }, ErrUnfit, "take pictures out"},
		{"no readings", func(w *Workbook) { w.Readings = nil }, ErrUnfit, "the list of readings is empty"},
		{"no plan", func(w *Workbook) { w.PlanText = nil }, ErrUnfit, "the plan text is empty"},
		{"no program", func(w *Workbook) { w.Program = "" }, ErrUnfit, "the program name is empty"},
		{"bad batch code", func(w *Workbook) { w.Batch = "sk/26" }, ErrUnfit, "correct the batch code"},
		{"other protocol text", func(w *Workbook) { w.ProtocolText = []byte("id: else") }, ErrUnfit, "the protocol text has digest"},
		{"no time", func(w *Workbook) { w.CollectedAt = time.Time{} }, ErrUnfit, "give both times"},
		{"key twice", func(w *Workbook) { w.Readings[1].Key = w.Readings[0].Key }, ErrUnfit, "is there twice"},
		{"not a number", func(w *Workbook) { w.Readings[0].Number = math.NaN() }, ErrUnfit, "not a finite number"},
		{"infinite", func(w *Workbook) { w.Readings[0].Number = math.Inf(-1) }, ErrUnfit, "not a finite number"},
		{"unknown state", func(w *Workbook) { w.Readings[0].State = "lost" }, ErrUnfit, `the state "lost"`},
	}
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := sample(1, 1)
			c.edit(&w)
			outcome, number, err := log.Collect(w)
			if !errors.Is(err, c.kind) || !errors.Is(err, ErrTrouble) || outcome != "" || number != 0 {
				t.Fatalf("got %q, revision %d, error %v; want %v", outcome, number, err, c.kind)
			}
			if !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), log.Path()) {
				t.Errorf("got %q; want the log's path and %q", err, c.says)
			}
			sound(t, log)
			if got := len(history(t, log)); got != 1 {
				t.Errorf("got %d revisions; want 1", got)
			}
		})
	}
}

func TestPlannedAgainWithReasonIsRevision(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	w := sample(1, 1)
	w.Digest, w.Protocol = "99aa", "broodstock-spawning@1.1.0"
	collect(t, log, w, Revised, 2)
}

// Each text is stored once, however many workbooks name it.
func TestTextsAreStoredOnce(t *testing.T) {
	log := newLog(t)
	for n := range 4 {
		collect(t, log, sample(n, 0), Added, 1)
	}
	var texts int
	if err := log.db.QueryRow("SELECT count(*) FROM document").Scan(&texts); err != nil {
		t.Fatal(err)
	}
	if want := 1 + 1 + 4; texts != want { // a protocol, a site, four plans
		t.Errorf("got %d texts; want %d", texts, want)
	}
}

func TestBatchesGoByStartThenCode(t *testing.T) {
	log := newLog(t)
	for _, n := range []int{8, 1, 3, 15} { // 1, 8 and 15 start on the same day, 3 two days before
		collect(t, log, sample(n, 0), Added, 1)
	}
	collect(t, log, sample(1, 1), Revised, 2)
	batches, err := log.Batches()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range batches {
		got = append(got, b.place())
	}
	want := []string{"SK-26-00003 revision 1", "SK-26-00001 revision 2", "SK-26-00008 revision 1", "SK-26-00015 revision 1"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %q; want %q", got, want)
	}
}

func TestUnknownIsSaid(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	asks := map[string]func() error{
		"batch":    func() error { _, err := log.Revisions("XX-1"); return err },
		"readings": func() error { _, err := log.Readings("XX-1", 0); return err },
		"findings": func() error { _, err := log.Findings("SK-26-00001", 2); return err },
		"content":  func() error { _, err := log.Content("SK-26-00001", -1); return err },
		"text":     func() error { _, err := log.Text("00"); return err },
	}
	for name, ask := range asks {
		if err := ask(); !errors.Is(err, ErrUnknown) || !strings.Contains(err.Error(), "; ") {
			t.Errorf("%s: got %v; want ErrUnknown with a remedy", name, err)
		}
	}
}

// A log can be made again from the stored workbooks alone: here reading a workbook is
// played by looking it up by its bytes.
func TestRebuildFromStoredWorkbooks(t *testing.T) {
	log := newLog(t)
	read := map[string]Workbook{}
	for _, w := range []Workbook{sample(1, 0), sample(2, 0), sample(1, 1), sample(3, 0)} {
		read[string(w.Content)] = w
		if _, _, err := log.Collect(w); err != nil {
			t.Fatal(err)
		}
	}
	again := newLog(t)
	for _, r := range history(t, log) {
		content, err := log.Content(r.Batch, r.Number)
		if err != nil {
			t.Fatal(err)
		}
		w := read[string(content)]
		w.FileName, w.Reason, w.CollectedAt = r.FileName, r.Reason, r.CollectedAt
		if _, _, err := again.Collect(w); err != nil {
			t.Fatal(err)
		}
		sound(t, again)
	}
	if got, want := history(t, again), history(t, log); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v; want %+v", got, want)
	}
}

// A zero is stored as a number only where it was read as one.
func TestNothingIsNotZero(t *testing.T) {
	log := newLog(t)
	w := sample(1, 0)
	w.Readings = []calc.Reading{
		{Key: "dead", State: calc.Given, Raw: "0", Unit: "animals"},
		{Key: "hatched", State: calc.Blank},
		{Key: "moved", State: calc.NotDone, Raw: "n/d"},
		{Key: "ph", State: calc.Unreadable, Raw: "8,1?"},
		{Key: "by", State: calc.Given, Raw: "AB", Text: "AB"},
	}
	w.Findings = []check.Finding{}
	collect(t, log, w, Added, 1)
	var numbers int
	if err := log.db.QueryRow("SELECT count(number) FROM latest_reading").Scan(&numbers); err != nil {
		t.Fatal(err)
	}
	if numbers != 1 {
		t.Errorf("got %d numbers; want 1", numbers)
	}
	readings, err := log.Readings(w.Batch, 0)
	if err != nil || !reflect.DeepEqual(readings, w.Readings) {
		t.Errorf("got %+v, error %v; want %+v", readings, err, w.Readings)
	}
}
