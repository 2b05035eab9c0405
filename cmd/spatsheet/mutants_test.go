package main

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/render/scratch"
	"spatsheet/render/seasonlog"
)

// mutant is a filled workbook broken in one way, with what is true of it.
type mutant struct {
	files    map[string][]byte         // what lies in the folder, by name
	harmless bool                      // it must read back exactly: no refusal, the same readings
	refuse   bool                      // it must be refused
	isOther  bool                      // it is the workbook of the subject's other batch
	fresh    bool                      // collected into an empty log, without a reason
	typed    map[calc.Key]calc.Reading // what a person has written now: State, Number and Text
	loose    []calc.Key                // their values may have become anything: the damage is in what was typed
	tell     []string                  // each must be named by a finding: a key, "sheet!cell" or a code
}

// mutantFile is the name of the broken workbook.
const mutantFile = "filled.xlsx"

// mustTell is a typed reading that may come back as it was, and else must be told.
const mustTell = calc.State("told")

// one is a mutant of a single file.
func one(content []byte) mutant { return mutant{files: map[string][]byte{mutantFile: content}} }

func (m mutant) telling(what ...string) mutant {
	m.tell = append(m.tell, what...)
	return m
}

func (m mutant) good() mutant {
	m.harmless = true
	return m
}

// outcome is what became of a mutant.
type outcome string

// The outcomes. What a person typed and may well have meant, such as another number
// within the range, can only be read as typed.
const (
	refused     outcome = "refused"
	withFinding outcome = "finding"
	same        outcome = "same"
	readAsTyped outcome = "as typed"
)

// came is what the season log holds of a mutant, or the words it was refused with.
type came struct {
	refusal  string
	batch    string
	readings []calc.Reading
	findings []check.Finding
}

// judge holds what came of a mutant against the untouched workbook; complaint says what is
// wrong with it, such as a value that changed in silence.
func judge(s *subject, m mutant, got came) (result outcome, complaint string) {
	if got.refusal != "" {
		return refused, judgeRefusal(m, got.refusal)
	}
	if m.refuse {
		return withFinding, "it was collected, and should be refused"
	}
	if got.batch != s.sheet.Plan.Batch && len(got.findings) == 0 {
		return withFinding, fmt.Sprintf("it was collected as batch %s without a finding", got.batch)
	}
	result = same
	if len(got.findings) > 0 {
		result = withFinding
	}
	for _, what := range m.tell {
		if !names(got.findings, what) {
			return result, fmt.Sprintf("no finding names %s: %v", what, codesOf(got.findings))
		}
	}
	if len(got.readings) != len(s.result.Readings) {
		return result, fmt.Sprintf("%d readings, want %d", len(got.readings), len(s.result.Readings))
	}
	for i, r := range got.readings {
		want := s.result.Readings[i]
		typed, changed := m.typed[r.Key]
		changed = changed && typed.State != mustTell
		switch {
		case equalReading(r, want) && !changed:
		case slices.Contains(m.loose, r.Key):
			if result == same {
				result = readAsTyped
			}
		case m.harmless && !changed:
			return result, fmt.Sprintf("%s was %s and is %s", r.Key, inShort(want), inShort(r))
		case changed && equalReading(r, typed):
			if result == same && !equalReading(typed, want) {
				result = readAsTyped
			}
		case names(got.findings, string(r.Key)) || names(got.findings, want.Sheet+"!"+want.Ref) || names(got.findings, r.Sheet+"!"+r.Ref):
		default:
			return result, fmt.Sprintf("SILENT: %s was %s and is %s", r.Key, inShort(want), inShort(r))
		}
	}
	return result, ""
}

// judgeRefusal wants the file named and a remedy, which stands behind a semicolon.
func judgeRefusal(m mutant, words string) string {
	if m.harmless {
		return "harmless, yet refused: " + words
	}
	named := false
	for name := range m.files {
		named = named || strings.Contains(words, name)
	}
	if !named || !strings.Contains(words, "; ") || len(words) > 900 {
		return fmt.Sprintf("refused without its file or a remedy, or at length (%d): %.300s", len(words), words)
	}
	return ""
}

// names says whether a finding names a box by key, a place, or is of a code.
func names(findings []check.Finding, what string) bool {
	return what != "" && slices.ContainsFunc(findings, func(f check.Finding) bool {
		return string(f.Key) == what || f.Place() == what || f.Code == what
	})
}

func codesOf(findings []check.Finding) []string {
	var out []string
	for _, f := range findings[:min(len(findings), 6)] {
		out = append(out, fmt.Sprintf("%s %s %s", f.Code, f.Key, f.Place()))
	}
	return out
}

// equalReading compares what was understood; the raw text may differ.
func equalReading(a, b calc.Reading) bool {
	return a.State == b.State && a.Text == b.Text && math.Abs(a.Number-b.Number) <= 1e-12*math.Abs(b.Number)
}

func inShort(r calc.Reading) string { return fmt.Sprintf("%s %v %.40q", r.State, r.Number, r.Text) }

// TestMutantsNeverLieInSilence breaks filled workbooks in every way of the table and takes
// each through the whole chain: read, scaled again, checked, collected. Nothing may change
// in silence. MUTANTS=10000 makes so many and prints the table; MUTANT=name/seed one.
func TestMutantsNeverLieInSilence(t *testing.T) {
	subjects := mutantSubjects(t)
	ways := allWays()
	if only, seed, ok := strings.Cut(os.Getenv("MUTANT"), "/"); ok {
		tryOne(t, subjects, ways, only, seed)
		return
	}
	count := 2 * len(ways)
	if n, err := strconv.Atoi(os.Getenv("MUTANTS")); err == nil {
		count = n
	}
	tries := tally{}
	var mu sync.Mutex
	t.Run("all", func(t *testing.T) {
		for first := range mutantWorkers {
			t.Run(fmt.Sprint("from ", first), func(t *testing.T) {
				t.Parallel()
				bench := newMutantBench(t)
				for i := first; i < count; i += mutantWorkers {
					w := ways[i%len(ways)]
					result, complaint := bench.try(subjects, w, uint64(i/len(ways)))
					mu.Lock()
					tries.count(w.name, result)
					mu.Unlock()
					if complaint != "" {
						t.Errorf("MUTANT='%s/%d': %s", w.name, i/len(ways), complaint)
					}
				}
			})
		}
	})
	if count > 2*len(ways) {
		t.Log("\n" + tries.table(ways))
	}
	for _, w := range ways {
		if tries[w.name] == nil {
			t.Errorf("%s was never tried", w.name)
		}
	}
}

// mutantWorkers is how many mutants are tried at once, each worker with a log of its own.
const mutantWorkers = 2

func tryOne(t *testing.T, subjects []*subject, ways []way, name, seed string) {
	n, err := strconv.ParseUint(seed, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(ways, func(w way) bool { return w.name == name })
	if i < 0 {
		t.Fatalf("there is no way %q", name)
	}
	bench := newMutantBench(t)
	result, complaint := bench.try(subjects, ways[i], n)
	t.Logf("%s: %s\nrefused with: %s\nfindings: %+v", result, complaint, bench.last.refusal, bench.last.findings)
	if keep := os.Getenv("KEEP"); keep != "" {
		for name, content := range bench.lastMutant.files {
			if err := os.WriteFile(filepath.Join(keep, name), content, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if complaint != "" {
		t.Error(complaint)
	}
}

// mutantBench collects mutants into a season log, a new one now and then.
type mutantBench struct {
	t          *testing.T
	p          *program
	talk       bytes.Buffer
	folder     string
	used       int
	last       came
	lastMutant mutant
}

// mutantsPerLog keeps a log small: each holds its workbooks whole.
const mutantsPerLog = 50

func newMutantBench(t *testing.T) *mutantBench {
	b := &mutantBench{t: t}
	now := func() time.Time { return time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC) }
	b.p = &program{out: &bytes.Buffer{}, talk: &b.talk, now: now}
	b.fresh()
	return b
}

func (b *mutantBench) fresh() {
	if b.folder != "" {
		_ = os.RemoveAll(b.folder)
	}
	b.folder, b.used = scratch.Folder(b.t), 0
	if err := b.p.makeFolder(station.At(b.folder+"/season"), nil); err != nil {
		b.t.Fatal(err)
	}
}

// try makes one mutant and judges what came of it.
func (b *mutantBench) try(subjects []*subject, w way, seed uint64) (outcome, string) {
	s, m := w.apply(subjects, seed)
	b.lastMutant, b.last = m, b.collect(m)
	if b.lastMutant.isOther {
		s = s.other
	}
	return judge(s, b.lastMutant, b.last)
}

// collect lays the mutant's files into a folder and collects the folder, as a person does.
func (b *mutantBench) collect(m mutant) came {
	t, reason := b.t, fmt.Sprint("mutant ", b.used)
	if b.used++; b.used > mutantsPerLog || m.fresh {
		b.fresh()
	}
	if m.fresh {
		reason = ""
	}
	folder := filepath.Join(b.folder, fmt.Sprint("filled", b.used))
	needs(t, os.Mkdir(folder, 0o755))
	for name, content := range m.files {
		needs(t, os.WriteFile(filepath.Join(folder, name), content, 0o644))
	}
	before := b.history()
	b.talk.Reset()
	files, err := station.WorkbooksIn([]string{folder})
	needs(t, err)
	err = b.p.collect(station.At(filepath.Join(b.folder, "season")), files, reason)
	after := b.history()
	if code := exitCode(err); code != exitGood && code != exitFindings {
		got := came{refusal: cmp.Or(b.talk.String(), err.Error())}
		if len(m.files) == 1 && len(after) != len(before) {
			t.Errorf("refused, yet the log grew: %s", got.refusal)
		}
		return got
	}
	digest := fmt.Sprintf("%x", sha256.Sum256(m.files[mutantFile]))
	i := slices.IndexFunc(after, func(r seasonlog.Revision) bool { return r.Workbook == digest })
	if i < 0 {
		t.Fatalf("collected with exit code %d, but it is not in the log", exitCode(err))
	}
	return b.fromLog(after[i])
}

func (b *mutantBench) history() []seasonlog.Revision {
	log, err := seasonlog.Open(filepath.Join(b.folder, "season", station.LogFile))
	needs(b.t, err)
	defer log.Close()
	history, err := log.History()
	needs(b.t, err)
	return history
}

func (b *mutantBench) fromLog(r seasonlog.Revision) came {
	log, err := seasonlog.Open(filepath.Join(b.folder, "season", station.LogFile))
	needs(b.t, err)
	defer log.Close()
	got := came{batch: r.Batch}
	got.readings, err = log.Readings(r.Batch, r.Number)
	needs(b.t, err)
	got.findings, err = log.Findings(r.Batch, r.Number)
	needs(b.t, err)
	return got
}

func needs(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// tally counts outcomes by way.
type tally map[string]map[outcome]int

func (c tally) count(name string, result outcome) {
	if c[name] == nil {
		c[name] = map[outcome]int{}
	}
	c[name][result]++
}

// table is the count as Markdown.
func (c tally) table(ways []way) string {
	var out strings.Builder
	out.WriteString("| way | tries | refused | finding | same | read as typed |\n|---|--:|--:|--:|--:|--:|\n")
	sum := map[outcome]int{}
	for _, w := range ways {
		n := 0
		for result, k := range c[w.name] {
			n, sum[result] = n+k, sum[result]+k
		}
		row := c[w.name]
		fmt.Fprintf(&out, "| %s | %d | %d | %d | %d | %d |\n", w.name, n, row[refused], row[withFinding], row[same], row[readAsTyped])
	}
	fmt.Fprintf(&out, "| all | %d | %d | %d | %d | %d |\n", sum[refused]+sum[withFinding]+sum[same]+sum[readAsTyped],
		sum[refused], sum[withFinding], sum[same], sum[readAsTyped])
	return out.String()
}
