package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/signal"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// looksAfterSave is how many looks a file is read in after it was seen to change, or waited
// for after it went: a copy on its way is whole by then, a program that saves by putting
// another file in place is through, and two saves within the grain of a share's clock, two
// seconds on some, are both seen. Site choice.
const looksAfterSave = 3

// watchAction watches once a second until it is interrupted.
func (p *program) watchAction(c *cli.Context, arguments []string) error {
	if c.Bool("json") || c.String("notes") != "" {
		return usageFault("--watch goes without --json and --notes")
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ticker := time.NewTicker(time.Second)
	defer ticker.Stop()
	return p.watch(ctx, folderOf(c), ticker.C, arguments)
}

// watch looks at workbooks again whenever one is added or saved, and tells what changed
// since the last look, until ctx ends; then it sums up as check does.
//
// It looks at each tick, by size and time of saving, which works on network shares and in
// synchronised folders too. arguments are files and folders.
func (p *program) watch(ctx context.Context, folder *station.Folder, tick <-chan time.Time, arguments []string) error {
	w := &watching{program: p, folder: folder, arguments: arguments, files: map[string]*watched{}, first: true}
	if err := w.look(); err != nil {
		return err
	}
	w.first = false
	fmt.Fprintf(p.out, "watching %s; Ctrl-C ends\n", quantity.Counted(len(w.files), "workbook", "workbooks"))
	trouble := ""
	for {
		select {
		case <-ctx.Done():
			return w.end()
		case <-tick:
		}
		now := ""
		if err := w.look(); err != nil { // a share that is away may come back
			now = inWords(err)
		}
		if now != "" && now != trouble {
			fmt.Fprintf(p.talk, "%s  %s\n", w.time(), now)
		}
		trouble = now
	}
}

// watching is one run of watch.
type watching struct {
	*program
	folder    *station.Folder
	arguments []string
	files     map[string]*watched
	first     bool // the first look tells only how things stand
}

// watched is a file as last seen.
type watched struct {
	size     int64
	saved    time.Time
	again    int // looks left in which it is read although it seems the same
	missing  int // looks since it went
	sum      [sha256.Size]byte
	findings []check.Finding
	read     bool  // it was read once
	fault    error // it cannot be read as it is now, and that was told
}

// glance is a file read in a look.
type glance struct {
	sum [sha256.Size]byte
	*station.Returned
	err error
}

// look goes through the files once.
func (w *watching) look() error {
	names, err := station.WorkbooksNow(w.arguments)
	if err != nil {
		return err
	}
	var changed []string
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil {
			continue // it went just now
		}
		f := w.files[name]
		if f == nil {
			f = &watched{}
			w.files[name] = f
		}
		if f.missing = 0; info.Size() != f.size || !info.ModTime().Equal(f.saved) {
			f.size, f.saved, f.again = info.Size(), info.ModTime(), looksAfterSave
		}
		if f.again > 0 {
			f.again--
			changed = append(changed, name)
		}
	}
	w.gone(names)
	return station.InOrder(changed, w.read, func(name string, s glance) error { w.take(name, s); return nil })
}

// gone tells of files that were there.
func (w *watching) gone(names []string) {
	for _, name := range slices.Sorted(maps.Keys(w.files)) {
		if slices.Contains(names, name) {
			continue
		}
		if f := w.files[name]; f.missing < looksAfterSave {
			f.missing++
			continue
		}
		delete(w.files, name)
		w.showHead(w.time()+"  "+name, "is gone")
	}
}

// read takes a file apart, if its bytes are not those of the last time.
func (w *watching) read(name string) glance {
	content, err := os.ReadFile(name)
	if err != nil {
		return glance{err: inputFault(station.ReadFault(name, err))}
	}
	s := glance{sum: sha256.Sum256(content)}
	if f := w.files[name]; !f.read || f.sum != s.sum {
		s.Returned, s.err = w.folder.Understand(name, content)
	}
	return s
}

// take tells what is new of a file; one that cannot be read is told when it stays so.
func (w *watching) take(name string, s glance) {
	f := w.files[name]
	switch {
	case s.err != nil && f.again > 0: // half written, perhaps
	case s.err != nil && (f.fault == nil || inWords(f.fault) != inWords(s.err)):
		f.fault = s.err
		fmt.Fprintf(w.talk, "%s  %s\n", w.time(), strings.TrimPrefix(inWords(s.err), "open "))
	case s.err != nil:
	case s.Returned == nil: // as it was
		if f.fault != nil {
			w.showHead(w.time()+"  "+name, "can be read again, as it was before")
		}
		f.fault = nil
	default:
		before := f.findings
		f.sum, f.findings, f.read, f.fault = s.sum, s.Result.Findings, true, nil
		w.tell(name, before, s.Returned)
	}
}

// tell says how a workbook stands, and what changed if it is not the first look.
func (w *watching) tell(name string, before []check.Finding, r *station.Returned) {
	now, blank := sorted(r.Result.Findings)
	counts := countWords(check.Levels(now))
	if blank > 0 {
		counts += fmt.Sprintf("; %s still blank", quantity.Counted(blank, "box, table or step", "boxes, tables or steps"))
	}
	if w.first {
		w.showHead(name, counts)
		return
	}
	was, _ := sorted(before)
	fresh, mended := difference(was, now), difference(now, was)
	mended = slices.DeleteFunc(mended, func(f check.Finding) bool { // told anew, not mended
		return slices.ContainsFunc(fresh, func(g check.Finding) bool { return sameFault(f, g) })
	})
	w.showHead(w.time()+"  "+name, fmt.Sprintf("%d new, %d mended; now %s", len(fresh), len(mended), counts))
	for _, f := range mended {
		f.Level = "mended"
		w.showEntry(f)
	}
	w.listFindings(fresh, r.Result.Readings)
}

// sorted leaves out what tells only that something is still blank, which is so while
// people are at work, and counts it.
func sorted(findings []check.Finding) (telling []check.Finding, blank int) {
	for _, f := range findings {
		if slices.Contains([]string{"missing", "step-blank", "table-blank"}, f.Code) {
			blank++
			continue
		}
		telling = append(telling, f)
	}
	return telling, blank
}

// difference are the findings of b that are not in a as they are.
func difference(a, b []check.Finding) []check.Finding {
	var out []check.Finding
	for _, f := range b {
		same := func(g check.Finding) bool { return sameFault(f, g) && f.Raw == g.Raw && f.Says == g.Says }
		if !slices.ContainsFunc(a, same) {
			out = append(out, f)
		}
	}
	return out
}

// sameFault says whether two findings tell the same of the same box, whatever it holds and
// wherever it has moved.
func sameFault(f, g check.Finding) bool {
	return f.Code == g.Code && f.Key == g.Key && (f.Key != calc.Key("") || f.Entry == g.Entry)
}

func (w *watching) time() string { return w.now().Format("15:04:05") }

// end sums up as check does.
func (w *watching) end() error {
	var all summary
	var unreadable, found error
	for _, name := range slices.Sorted(maps.Keys(w.files)) {
		f := w.files[name]
		if f.fault != nil || !f.read {
			all.addUnread()
			unreadable = errors.Join(unreadable, inputFault(fmt.Errorf("%s could not be read", name)))
			continue
		}
		all.add(name, f.findings)
		if check.Levels(f.findings)[protocols.Error] > 0 {
			found = errFindings
		}
	}
	fmt.Fprintln(w.out)
	w.showSummary(all)
	return cmp.Or(unreadable, found)
}
