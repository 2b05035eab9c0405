package main

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"
)

func TestProgressIsSilentWhenPiped(t *testing.T) {
	var out, talk bytes.Buffer
	p := &program{out: &out, talk: &talk}
	bar := p.progress(1000, "checking")
	bar.Step()
	fmt.Fprint(p.out, "a finding\n")
	bar.Done()
	if talk.Len() > 0 || out.String() != "a finding\n" {
		t.Errorf("got %q on stderr and %q on stdout, want nothing and the finding", talk.String(), out.String())
	}
}

func TestProgressFromSeveralGoroutines(t *testing.T) {
	var screen bytes.Buffer
	bar := newProgressBar(&screen, 200, "checking")
	above := aboveBar{&screen, bar}
	var all sync.WaitGroup
	for range 200 {
		all.Go(func() { bar.Step(); fmt.Fprint(above, "a finding\n") })
	}
	all.Wait()
	bar.Done()
	bar.Done()
	bar.Step()
	if text := screen.String(); !strings.Contains(text, "checking") || !strings.Contains(text, "/200") || strings.Count(text, "a finding\n") != 200 {
		t.Errorf("got %q, want a bar of 200 and each finding", text[:min(len(text), 300)])
	}
}
