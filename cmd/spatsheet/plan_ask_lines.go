package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"

	"charm.land/huh/v2"
)

// askLines asks one question after another, without drawing: for screen readers and dumb
// terminals.
func (p *program) askLines(s *planner, in io.Reader) error {
	stop := make(chan os.Signal, 1)
	signal.Notify(stop, os.Interrupt)
	defer signal.Stop(stop)
	ended := make(chan error, 1)
	go func() { ended <- p.lineByLine(s, in) }()
	select {
	case <-stop:
		fmt.Fprintln(p.out)
		return errStopped
	case err := <-ended:
		return err
	}
}

func (p *program) lineByLine(s *planner, in io.Reader) error {
	lines := &lineReader{in: in}
	at := askProtocol
	for {
		page := s.first(at, p.now())
		if page.step == allAsked {
			return nil
		}
		fmt.Fprintln(p.out, page.title+" (an empty line takes what is in brackets)")
		if page.about != "" {
			fmt.Fprintln(p.out, page.about)
		}
		for _, q := range page.questions {
			if err := p.askLine(q, lines); err != nil {
				return err
			}
		}
		if err := s.take(page); err != nil {
			return err
		}
		if page.step == askFinish && s.finish == writeNothing {
			return errStopped
		}
		if page.shows && page.step != askFinish {
			fmt.Fprintln(p.out, strings.Join(s.look().lines(78, previewMost+1), "\n"))
		}
		at = s.after(page.step)
	}
}

// askLine asks one question until its answer is good.
func (p *program) askLine(q *planQuestion, lines *lineReader) error {
	if q.help != "" {
		fmt.Fprintln(p.out, q.help)
	}
	spoken := *q
	spoken.fault = func(value string) string {
		if strings.TrimSpace(value) == "" && !q.several { // an empty line takes what is in brackets
			value = q.value
		}
		if q.fault == nil || lines.ended {
			return ""
		}
		return q.fault(value)
	}
	form := huh.NewForm(huh.NewGroup(spoken.field(q.spoken(), 200))).WithTheme(huh.ThemeFunc(spokenTheme)).WithAccessible(true).WithInput(lines).WithOutput(p.out)
	if err := form.Run(); err != nil {
		return err
	}
	if lines.ended {
		fmt.Fprintln(p.out)
		return errStopped
	}
	q.value, q.chosen = spoken.value, spoken.chosen
	return nil
}

// spoken is a question as it is read out.
func (q *planQuestion) spoken() string {
	says := q.label
	if q.bounds != "" {
		says += ", " + q.bounds
	}
	switch at := slices.IndexFunc(q.choices, func(c choice) bool { return c.value == q.value }); {
	case q.several:
	case len(q.choices) > 0:
		says += fmt.Sprintf(" [%d]", max(at, 0)+1)
	case q.value != "":
		says += " [" + q.value + "]"
	}
	return says + ":"
}

// spokenTheme has no signs in it that a screen reader would read out.
func spokenTheme(bool) *huh.Styles { return &huh.Styles{} }

// lineReader hands out one line at each read, since each question reads by itself and
// would keep what it read too much.
type lineReader struct {
	in    io.Reader
	ended bool
}

func (r *lineReader) Read(into []byte) (int, error) {
	for n := range into {
		if _, err := io.ReadFull(r.in, into[n:n+1]); err != nil {
			r.ended = true
			return n, err
		}
		if into[n] == '\n' {
			return n + 1, nil
		}
	}
	return len(into), nil
}
