package main

import (
	"bytes"
	"cmp"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"spatsheet/cmd/station"
	"spatsheet/render/seasonlog"
)

// wanted is how often a test tries: usual, or what the environment variable says.
func wanted(t *testing.T, variable string, usual int) int {
	t.Helper()
	text := os.Getenv(variable)
	if text == "" {
		return usual
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", variable, err)
	}
	return n
}

// TestKilledCollect kills the whole program while it collects, at instants spread over its
// run, some lives several times over; of every three kills one waits for the first
// acknowledgement, and one for the journal, to hit the writing. Then it collects again, and wants the log that nothing happened to.
// KILLS=300 asks for more kills than the usual dozen.
func TestKilledCollect(t *testing.T) {
	kills := wanted(t, "KILLS", 12)
	s, err := crashSeason()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(2026, 300))
	phases := s.phases()
	took := [2]time.Duration{phases[0].takes(t), phases[1].takes(t)}
	var tally crashTally
	for life := 0; tally.kills < kills; life++ {
		phase := phases[life%2]
		_, folder := laid(t, phase.before)
		log := filepath.Join(folder, station.LogFile)
		for range 1 + random.IntN(3) {
			said := killed(t, log, phase.arguments(folder), took[life%2], random, &tally)
			tally.stored(len(historyOf(t, log, said)), phase)
		}
		tally.lives++
		start := time.Now()
		said, code := spatsheet(phase.arguments(folder)...)
		took[life%2] = (took[life%2] + time.Since(start)) / 2 // the machine may have become slower
		if code != exitGood {
			t.Fatalf("life %d: collecting again: exit code %d: %s", life, code, said)
		}
		sameLog(t, historyOf(t, log, said), historyIn(t, phase.after))
		if t.Failed() {
			t.Fatalf("life %d", life)
		}
		os.RemoveAll(folder)
	}
	t.Logf("%d kills in %d lives of the log: %d before anything was stored, %d with some stored, %d with all; %d left a "+
		"journal to roll back; %d had acknowledged some, %d had ended by themselves",
		tally.kills, tally.lives, tally.none, tally.some, tally.all, tally.journals, tally.acknowledged, tally.late)
}

// phase is one collecting: of the filled workbooks, or then of the corrected ones.
type phase struct {
	before, after []byte // the log; before is nil where there is none yet
	had, has      int    // workbooks in it
	workbooks     string // the folder collected
	flags         []string
}

func (s *filledSeason) phases() [2]phase {
	return [2]phase{
		{nil, s.once, 0, crashBatches, "filled", nil},
		{s.once, s.twice, crashBatches, crashBatches + crashCorrected, "corrected", []string{"--reason", crashReason}},
	}
}

// arguments name the folder, or the workbooks in it where a reason is given for several
// batches.
func (p phase) arguments(folder string) []string {
	names := []string{filepath.Join(folder, p.workbooks)}
	if len(p.flags) > 0 {
		names, _ = station.WorkbooksInFolder(names[0])
	}
	return slices.Concat([]string{"collect", "-f", folder}, names, p.flags)
}

// takes is how long the collecting takes when nobody kills it.
func (p phase) takes(t *testing.T) time.Duration {
	t.Helper()
	_, folder := laid(t, p.before)
	start := time.Now()
	if said, code := spatsheet(p.arguments(folder)...); code != exitGood {
		t.Fatalf("exit code %d: %s", code, said)
	}
	return time.Since(start)
}

// crashTally counts what the kills met.
type crashTally struct{ kills, lives, none, some, all, journals, late, acknowledged int }

func (c *crashTally) stored(revisions int, p phase) {
	switch revisions {
	case p.had:
		c.none++
	case p.has:
		c.all++
	default:
		c.some++
	}
}

// firstSaid keeps what is said and tells when it begins.
type firstSaid struct {
	bytes.Buffer
	first chan bool
}

func (f *firstSaid) Write(text []byte) (int, error) {
	select {
	case f.first <- true:
	default:
	}
	return f.Buffer.Write(text)
}

// killed starts a collect, kills it, and gives what it had said.
func killed(t *testing.T, log string, arguments []string, takes time.Duration, random *rand.Rand, tally *crashTally) string {
	t.Helper()
	c := exec.Command("spatsheet", arguments...)
	said := firstSaid{first: make(chan bool, 1)}
	c.Stdout = &said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	instant, soon := time.Duration(random.Int64N(int64(takes))), time.Duration(random.Int64N(int64(10*time.Millisecond)))
	switch tally.kills % 3 {
	case 1: // after the first acknowledgement
		select {
		case <-said.first:
		case <-time.After(4 * takes):
		}
		instant /= 3
	case 2: // while the journal stands
		for deadline := time.Now().Add(4 * takes); time.Now().Before(deadline); time.Sleep(100 * time.Microsecond) {
			if _, err := os.Stat(log + "-journal"); err == nil {
				break
			}
		}
		instant = soon
	}
	time.Sleep(instant)  // waiting is what is tested here
	_ = c.Process.Kill() // it may have ended
	if err := c.Wait(); err == nil {
		tally.late++
	} else if codeOf(err) != -1 {
		t.Fatalf("collect ended by itself: %v: %s", err, said.String())
	}
	tally.kills++
	if len(acknowledged(said.String())) > 0 {
		tally.acknowledged++
	}
	if info, err := os.Stat(log + "-journal"); err == nil && info.Size() > 0 {
		tally.journals++
	}
	return said.String()
}

// TestCollectorsAtOnce lets two and four programs collect one folder at once: each says that
// every workbook is in the log, each workbook is in it once.
func TestCollectorsAtOnce(t *testing.T) {
	for _, programs := range []int{2, 4} {
		t.Run(strconv.Itoa(programs), func(t *testing.T) {
			s, folder := laid(t, nil)
			log := filepath.Join(folder, station.LogFile)
			for _, phase := range s.phases() {
				said := atOnce(t, programs, phase.arguments(folder))
				for n, text := range said {
					if got := len(acknowledged(text)); got != phase.has-phase.had {
						t.Errorf("program %d acknowledged %d workbooks: %s", n, got, text)
					}
				}
				// Between two collectors the order is nobody's: batch, revision and readings count.
				sameLog(t, unordered(historyOf(t, log, said...)), unordered(historyIn(t, phase.after)))
			}
		})
	}
}

func atOnce(t *testing.T, programs int, arguments []string) []string {
	said := make([]string, programs)
	var wait sync.WaitGroup
	for n := range said {
		wait.Go(func() {
			var code int
			if said[n], code = spatsheet(arguments...); code != exitGood {
				t.Errorf("program %d: exit code %d: %s", n, code, said[n])
			}
		})
	}
	wait.Wait()
	return said
}

// unordered sorts a history by batch and takes the order of collecting out.
func unordered(list []seasonlog.Revision) []seasonlog.Revision {
	for i := range list {
		list[i].Collected = 0
	}
	slices.SortFunc(list, func(a, b seasonlog.Revision) int {
		return cmp.Or(cmp.Compare(a.Batch, b.Batch), a.Number-b.Number)
	})
	return list
}

// TestClockMovedBack collects corrections on a computer whose clock is a month behind: the
// corrections are the latest revisions all the same, and the season is the same.
func TestClockMovedBack(t *testing.T) {
	s, folder := laid(t, nil)
	_, right := laid(t, s.twice)
	noon := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	for i, phase := range s.phases() {
		if _, talk, code := inProcess(noon.AddDate(0, -i, 0), phase.arguments(folder)...); code != exitGood {
			t.Fatalf("exit code %d: %s", code, talk)
		}
	}
	got, want := historyOf(t, filepath.Join(folder, station.LogFile)), historyIn(t, s.twice)
	for i := range got {
		if i >= crashBatches && !got[i].CollectedAt.Before(got[0].CollectedAt) {
			t.Errorf("%s: the clock did not go back", got[i].Batch)
		}
		got[i].CollectedAt = want[i].CollectedAt
	}
	sameLog(t, got, want)
	for _, of := range []string{folder, right} {
		if _, talk, code := inProcess(noon, "season", "-f", of); code != exitGood {
			t.Fatalf("season: exit code %d: %s", code, talk)
		}
	}
	for _, table := range []string{"readings.csv", "stages.csv", "batches.csv"} {
		a, errA := os.ReadFile(filepath.Join(folder, "season", table))
		b, errB := os.ReadFile(filepath.Join(right, "season", table))
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs when the clock goes back (%v, %v)", table, errA, errB)
		}
	}
}
