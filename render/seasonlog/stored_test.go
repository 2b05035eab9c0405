package seasonlog

import (
	"reflect"
	"testing"
)

// TestJointsInTextsAreRead: what stands between joined columns may stand in them too.
func TestJointsInTextsAreRead(t *testing.T) {
	log := newLog(t)
	var list []Workbook
	for n := range 5 {
		w := sample(n, 0)
		if n%2 == 1 {
			w.Readings[n].Printed = "one" + joint + "two"
			w.Readings[n].Unit += joint
			w.Readings[n+1].Sheet = joint
		}
		list = append(list, w)
		collect(t, log, w, Added, 1)
	}
	revisions, err := log.History()
	if err != nil {
		t.Fatal(err)
	}
	got, err := log.StoredOf(revisions)
	if err != nil || len(got) != len(list) {
		t.Fatalf("got %d revisions, error %v; want %d", len(got), err, len(list))
	}
	for i, w := range list {
		if !reflect.DeepEqual(got[i].Readings, w.Readings) {
			t.Errorf("%s: got readings %+v, want %+v", w.Batch, got[i].Readings, w.Readings)
		}
	}
}
