package main

import (
	"io"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// fewFiles are done before a bar could be read; below them there is none. Site choice.
const fewFiles = 20

// progressBar tells on a terminal how far a long work is. The zero bar tells nothing. Its
// methods may be called by several goroutines at once.
type progressBar struct {
	lock sync.Mutex
	bar  *progressbar.ProgressBar
	seen bool // it may stand on the screen
	done func()
}

// progress begins a bar on stderr for so many files, where stderr is a terminal and they
// are more than a few. Until Done, what is written to stdout and stderr stands above it.
func (p *program) progress(total int, what string) *progressBar {
	if total <= fewFiles || !isTerminal(p.talk) {
		return &progressBar{}
	}
	b := newProgressBar(raw(p.talk), total, what)
	out, talk := p.out, p.talk
	p.talk = aboveBar{talk, b}
	if isTerminal(out) {
		p.out = aboveBar{out, b}
	}
	b.done = func() { p.out, p.talk = out, talk }
	return b
}

func newProgressBar(w io.Writer, total int, what string) *progressBar {
	return &progressBar{seen: true, bar: progressbar.NewOptions(total,
		progressbar.OptionSetWriter(w), progressbar.OptionSetDescription(what), progressbar.OptionShowCount(),
		progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(true), progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionClearOnFinish(), progressbar.OptionSetRenderBlankState(true),
		progressbar.OptionSetTheme(progressbar.Theme{Saucer: "#", SaucerPadding: ".", BarStart: "[", BarEnd: "]"}),
	)}
}

// Step tells that one more file is done.
func (b *progressBar) Step() {
	b.lock.Lock()
	defer b.lock.Unlock()
	if b.bar != nil {
		b.seen = true
		_ = b.bar.Add(1) // a bar that cannot be drawn keeps no work from being done
	}
}

// Done takes the bar away; it may be called again.
func (b *progressBar) Done() {
	b.lock.Lock()
	defer b.lock.Unlock()
	if b.bar != nil {
		_ = b.bar.Clear()
		b.bar = nil
	}
	if b.done != nil {
		b.done()
		b.done = nil
	}
}

// aboveBar writes where a bar stands: it takes the bar away first, and the next step draws
// it again below.
type aboveBar struct {
	io.Writer
	bar *progressBar
}

func (w aboveBar) Write(text []byte) (int, error) {
	w.bar.lock.Lock()
	defer w.bar.lock.Unlock()
	if w.bar.bar != nil && w.bar.seen {
		w.bar.seen = false
		_ = w.bar.bar.Clear()
	}
	return w.Writer.Write(text)
}

// isTerminal says whether people see at once what is written.
func isTerminal(w io.Writer) bool {
	f, ok := raw(w).(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
