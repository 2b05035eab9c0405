package station

import (
	"errors"
	"slices"
	"sync/atomic"
	"testing"
)

func TestInOrderKeepsTheOrder(t *testing.T) {
	var items, got []int
	for i := range 1000 {
		items = append(items, i)
	}
	err := InOrder(items, func(i int) int { return 2 * i }, func(i, double int) error {
		if double != 2*i {
			t.Errorf("item %d got the result of another, %d", i, double)
		}
		got = append(got, i)
		return nil
	})
	if err != nil || !slices.Equal(got, items) {
		t.Errorf("got %d items in another order, error %v", len(got), err)
	}
}

// After an error of take no work is going on any more: files may be closed.
func TestInOrderEndsItsWork(t *testing.T) {
	wrong := errors.New("wrong")
	var going atomic.Int32
	err := InOrder(make([]int, 100), func(int) int {
		going.Add(1)
		defer going.Add(-1)
		sum := 0
		for i := range 100000 {
			sum += i
		}
		return sum
	}, func(int, int) error { return wrong })
	if !errors.Is(err, wrong) || going.Load() != 0 {
		t.Errorf("got error %v and %d at work; want %v and none", err, going.Load(), wrong)
	}
}

func TestEachOnce(t *testing.T) {
	got := EachOnce([]string{"filled/a.xlsx", "filled/b.xlsx", "./filled/a.xlsx", "filled/b.xlsx"})
	if want := []string{"filled/a.xlsx", "filled/b.xlsx"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
