package seasonlog

import (
	"fmt"
	"math"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

// Workbook is a filled workbook to collect: the file itself and what was read from it.
type Workbook struct {
	Content        []byte // the whole file
	FileName       string // its name, for people; nothing is matched by it
	Batch          string // batch code
	Protocol       string // id@version
	ProtocolDigest string // SHA-256 of ProtocolText, in hex
	Digest         string // the sheet's digest over protocol, plan and site
	ProtocolText   []byte
	PlanText       []byte
	SiteText       []byte
	Stage          string
	Species        string
	Start          time.Time // clock time at the site; its zone is not stored
	Readings       []calc.Reading
	Findings       []check.Finding
	CollectedAt    time.Time // now, passed in
	Program        string    // what read the file: "spatsheet 0.1.0"
	Reason         string    // why a revision is made; required from revision 2 on
}

// MaxContent is the largest workbook stored, in bytes. Site choice: a hundred times a
// large bench workbook, and far below SQLite's own limit of 1,000,000,000.
const MaxContent = 64 << 20

// The forms of times in the file: ISO 8601.
const (
	clockForm  = "2006-01-02T15:04:05.999999999"
	offsetForm = time.RFC3339Nano
)

// fit refuses a workbook that contradicts itself or could not be told apart later.
func (w *Workbook) fit() error {
	if err := calc.CheckBatchCode(w.Batch); err != nil {
		return w.unfit(err.Error(), "correct the batch code in the plan")
	}
	for _, need := range []struct {
		what string
		size int
	}{
		{"file", len(w.Content)}, {"protocol text", len(w.ProtocolText)}, {"plan text", len(w.PlanText)}, {"site text", len(w.SiteText)},
		{"protocol name", len(w.Protocol)}, {"sheet digest", len(w.Digest)}, {"program name", len(w.Program)}, {"list of readings", len(w.Readings)},
	} {
		if need.size == 0 {
			return w.unfit("the "+need.what+" is empty", "read the workbook again")
		}
	}
	if len(w.Content) > MaxContent {
		return w.unfit(fmt.Sprintf("the file has %d bytes, above %d", len(w.Content), MaxContent), "take pictures out of the workbook")
	}
	if got := sha256Hex(w.ProtocolText); got != w.ProtocolDigest {
		return w.unfit("the protocol text has digest "+got+", not "+w.ProtocolDigest, "collect with the protocol the sheet was printed from")
	}
	for _, t := range []time.Time{w.Start, w.CollectedAt} {
		if t.IsZero() || t.Year() < 1 || t.Year() > 9999 {
			return w.unfit("the start or the time of collecting is missing or beyond the calendar", "give both times")
		}
	}
	return w.fitReadings()
}

func (w *Workbook) fitReadings() error {
	seen := map[calc.Key]bool{}
	for _, r := range w.Readings {
		if r.Key == "" || seen[r.Key] {
			return w.unfit(fmt.Sprintf("the reading %q is there twice or has no key", r.Key), "read the workbook again")
		}
		seen[r.Key] = true
		if math.IsNaN(r.Number) || math.IsInf(r.Number, 0) {
			return w.unfit(fmt.Sprintf("the reading %q is not a finite number", r.Key), "store it as unreadable, with what the cell says")
		}
		switch r.State {
		case calc.Given, calc.Blank, calc.NotDone, calc.Unreadable:
		default:
			return w.unfit(fmt.Sprintf("the reading %q has the state %q", r.Key, r.State), "use given, blank, not done or unreadable")
		}
	}
	return nil
}

func (w *Workbook) unfit(says, remedy string) error {
	return &Error{Kind: ErrUnfit, Says: "batch " + w.Batch + ", file " + w.FileName + ": " + says, Remedy: remedy}
}

// revision is the row the workbook, a file of this digest, becomes as number `number` of
// its batch, `collected` in the log.
func (w *Workbook) revision(digest string, collected, number int) Revision {
	return Revision{
		Collected: collected, Batch: w.Batch, Number: number, Workbook: digest, FileName: w.FileName,
		Protocol: w.Protocol, ProtocolText: w.ProtocolDigest, PlanText: sha256Hex(w.PlanText), SiteText: sha256Hex(w.SiteText),
		Sheet: w.Digest, Stage: w.Stage, Species: w.Species, Start: w.Start, CollectedAt: w.CollectedAt,
		Program: w.Program, Reason: strings.TrimSpace(w.Reason), Readings: len(w.Readings), Findings: len(w.Findings),
		ReadingsDigest: digestReadings(w.Readings), FindingsDigest: digestFindings(w.Findings),
	}
}
