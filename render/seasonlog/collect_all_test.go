package seasonlog

import (
	"errors"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// Collecting in groups, however they are cut, gives what collecting one by one gives: the
// same outcomes, refusals and log.
func TestCollectAllEqualsOneByOne(t *testing.T) {
	fresh := logMaker(t)
	rapid.Check(t, func(rt *rapid.T) {
		single, grouped := fresh(rt), fresh(rt)
		defer single.Close()
		defer grouped.Close()
		var list []Workbook
		for _, s := range rapid.SliceOfN(rapid.IntRange(0, 11), 0, 9).Draw(rt, "workbooks") {
			w := sample(s%3, s/3)
			w.Content, w.Readings = w.Content[:500], w.Readings[:30]
			if s%2 == 0 { // the others are refused when they are no first of their batch
				w.Reason = "drawn"
			}
			list = append(list, w)
		}
		var want, got []Collected
		for _, w := range list {
			outcome, revision, err := single.Collect(w)
			want = append(want, Collected{outcome, revision, err})
		}
		for rest := list; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(rt, "group")
			got = append(got, grouped.CollectAll(rest[:n])...)
			rest = rest[n:]
		}
		for i := range want {
			if got[i].Outcome != want[i].Outcome || got[i].Revision != want[i].Revision ||
				errors.Is(got[i].Err, ErrNeedsReason) != errors.Is(want[i].Err, ErrNeedsReason) || (got[i].Err == nil) != (want[i].Err == nil) {
				rt.Fatalf("workbook %d: got %+v, want %+v", i, got[i], want[i])
			}
		}
		if !reflect.DeepEqual(history(t, single), history(t, grouped)) {
			rt.Fatal("the two logs differ")
		}
		sound(t, grouped)
	})
}

// A disk fault within a group stores none of it, and every workbook of it says so.
func TestCollectAllStoresAllOrNothing(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	if _, err := log.db.Exec("CREATE TRIGGER broken BEFORE INSERT ON workbook WHEN (SELECT count(*) FROM workbook) = 3 " +
		"BEGIN SELECT RAISE(ABORT, 'as a failing disk would'); END"); err != nil {
		t.Fatal(err)
	}
	for i, c := range log.CollectAll([]Workbook{sample(2, 0), sample(3, 0), sample(4, 0)}) {
		if c.Err == nil || c.Outcome != "" {
			t.Errorf("workbook %d: got %+v, want an error", i, c)
		}
	}
	if got := len(history(t, log)); got != 1 {
		t.Errorf("got %d revisions, want the one from before", got)
	}
}

func TestKnownFiles(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	collect(t, log, sample(1, 1), Revised, 2)
	collect(t, log, sample(2, 0), Added, 1)
	known, err := log.KnownFiles()
	if err != nil || len(known) != 3 {
		t.Fatalf("got %d files, error %v; want 3", len(known), err)
	}
	for _, c := range []struct{ n, variant, revision, latest int }{{1, 0, 1, 2}, {1, 1, 2, 2}, {2, 0, 1, 1}} {
		w := sample(c.n, c.variant)
		got := known[DigestOf(w.Content)]
		findings := 0
		for _, n := range got.Findings {
			findings += n
		}
		if got.Batch != w.Batch || got.Revision != c.revision || got.Latest != c.latest || findings != len(w.Findings) {
			t.Errorf("%s variant %d: got %+v, want revision %d of %d and %d findings", w.Batch, c.variant, got, c.revision, c.latest, len(w.Findings))
		}
	}
}
