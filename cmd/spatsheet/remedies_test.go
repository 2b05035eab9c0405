package main

import (
	"errors"
	"fmt"
	"testing"

	"spatsheet/protocols/remedy"
	"spatsheet/render/seasonlog"
)

// TestRemediesInWords: wherever in an error a remedy is, this program's words stand in its
// place, and each kind has its neutral words.
func TestRemediesInWords(t *testing.T) {
	for kind := remedy.None + 1; kind <= remedy.ReasonOrCode; kind++ {
		if r := (remedy.Remedy{Kind: kind, Of: "x"}); r.String() == "" || remedyWords(r) == "" {
			t.Errorf("kind %d has no words", kind)
		}
	}
	short := errors.New("too few tanks")
	own := &remedy.Error{Err: fmt.Errorf("KS-26-01: %w", short), To: remedy.Remedy{Kind: remedy.GiveOwnValues}}
	damaged := &seasonlog.Error{Kind: seasonlog.ErrDamaged, Path: "log", Says: "a row is missing", Takes: remedy.Remedy{Kind: remedy.RebuildLog}}
	busy := &seasonlog.Error{Kind: seasonlog.ErrBusy, Path: "log", Says: "another program is using it", Remedy: "wait"}
	for _, c := range []struct {
		err  error
		want string
	}{
		{fmt.Errorf("calendar: %w", own), "calendar: KS-26-01: too few tanks; give your own with --set ID=..., or correct site.yaml"},
		{errors.Join(busy, damaged), "season log log: another program is using it; wait\nseason log log: a row is missing; " +
			"keep the file; make a new log of what is whole in it with `spatsheet season --rebuild`, which tells what to collect again"},
	} {
		if got := inWords(c.err); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if !errors.Is(own, short) {
		t.Error("the cause is lost")
	}
}
