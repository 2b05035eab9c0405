package main

import (
	"fmt"
	"strings"
	"testing"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/x/ansi"

	"spatsheet/cmd/station"
	"spatsheet/protocols/library"
)

// TestEveryPageFits draws every page of every protocol in terminals of several sizes:
// nothing wider or higher than the terminal, every line to type into there, with the keys.
func TestEveryPageFits(t *testing.T) {
	p, folder := seasonFolder(t)
	pages := 0
	for _, ref := range library.Refs() {
		for _, size := range [][2]int{{80, 24}, {130, 40}, {60, 20}} {
			t.Run(fmt.Sprintf("%s %dx%d", ref, size[0], size[1]), func(t *testing.T) {
				s, err := newPlanner(p, station.At(folder), false, true, answers{protocol: ref})
				if err != nil {
					t.Fatal(err)
				}
				m := &screen{s: s, now: askedAt, width: size[0], height: size[1]}
				for page := s.first(askProtocol, askedAt()); page.step != allAsked; page = s.first(s.after(page.step), askedAt()) {
					m.open(page)
					m.form.Update(nil) // as the first message does
					holdsScreen(t, m)
					pages++
					for _, q := range page.questions {
						q.value = answerTo(s, q)
					}
					if err := s.take(page); err != nil {
						t.Fatal(err)
					}
					m.open(page) // filled in
					m.form.Update(nil)
					holdsScreen(t, m)
				}
			})
		}
	}
	if pages < 12*3*4 { // protocols, sizes, and at least batch, settings, values, finish
		t.Errorf("only %d pages were drawn", pages)
	}
}

func holdsScreen(t *testing.T, m *screen) {
	t.Helper()
	view := ansi.Strip(m.View().Content)
	lines := strings.Split(view, "\n")
	if len(lines) > m.height {
		t.Errorf("%s: %d lines in a terminal of %d:\n%s", m.page.title, len(lines), m.height, view)
	}
	for _, line := range lines {
		if lipgloss.Width(line) > m.width {
			t.Errorf("%s: wider than %d: %q", m.page.title, m.width, line)
		}
	}
	for _, line := range m.s.look().lines(besideFrom-besideWidth, previewMost+1) {
		if strings.HasSuffix(line, "…") {
			t.Errorf("%s: an amount is cut off: %q", m.page.title, line)
		}
	}
	wants := []string{m.page.title, "ctrl+c"}
	for _, q := range m.page.questions {
		if len(q.choices) == 0 {
			wants = append(wants, q.label, "> "+q.value)
		}
	}
	for _, want := range wants {
		if !strings.Contains(view, want) {
			t.Errorf("%s: no %q in\n%s", m.page.title, want, view)
		}
	}
}
