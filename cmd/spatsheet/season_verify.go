package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/cmd/station"
	"spatsheet/protocols/quantity"
	"spatsheet/render/seasonlog"
)

// verification is what --verify found.
type verification struct {
	folder    *station.Folder
	remains   *seasonlog.Remains
	log       *seasonlog.Log // nil when the file cannot be opened as a log
	faults    []seasonlog.Fault
	notes     []string
	readings  int
	otherwise int                  // workbooks that this program understands otherwise
	signed    map[string]signature // by batch
	batches   []string             // in the order of collecting
}

// signature is who signed the latest revision of a batch that is left.
type signature struct {
	collected int // its number in the order of collecting
	says      string
}

// seasonLog does what --verify and --rebuild ask for.
func (p *program) seasonLog(c *cli.Context) error {
	verify, to := c.Bool("verify"), c.String("rebuild")
	switch {
	case verify && c.IsSet("rebuild"), c.IsSet("out"), c.IsSet("replace"), c.IsSet("report-only"):
		return usageFault("--verify and --rebuild stand alone, with --folder at most")
	case verify:
		return p.verifySeason(folderOf(c))
	case to == "":
		return usageFault("name the new season log: spatsheet season --rebuild rescued.sqlite")
	}
	return p.rebuildSeason(folderOf(c), to)
}

// verifySeason digests everything in the log again, reads every stored workbook again and
// holds its readings against those stored. Nothing is written.
func (p *program) verifySeason(folder *station.Folder) error {
	path := folder.File(station.LogFile)
	remains, err := seasonlog.Rescue(path)
	if err != nil {
		return folder.NoLog(err)
	}
	defer remains.Close() // only read from
	v := &verification{folder: folder, remains: remains, signed: map[string]signature{}}
	if err := v.digests(path); err != nil {
		return logFault(err)
	}
	if v.log != nil {
		defer v.log.Close() // only read from
	}
	for i, k := range remains.Workbooks {
		if k.Recorded && i > 0 && remains.Workbooks[i-1].Record.CollectedAt.After(k.Record.CollectedAt) {
			v.notes = append(v.notes, fmt.Sprintf("%s: the clock went back: it was collected at %s, after a workbook of "+
				"%s; the order goes by the count, not by the clock",
				k.Place(), k.Record.CollectedAt.Format("2006-01-02 15:04"), remains.Workbooks[i-1].Record.CollectedAt.Format("2006-01-02 15:04")))
		}
		v.reread(k)
	}
	return p.showVerification(v, folder)
}

// digests lets the log verify itself, and takes what is lost from the remains. A damaged
// workbook is known to both; the remains tell its batch.
func (v *verification) digests(path string) error {
	log, err := seasonlog.Open(path)
	if err != nil { // Rescue has opened it, so it is damage
		says := inWords(err)
		if ours := (*seasonlog.Error)(nil); errors.As(err, &ours) {
			says = ours.Trouble()
		}
		v.faults = append(v.faults, seasonlog.Fault{Place: "file", Says: says, Remedy: "see below"})
	} else {
		v.log = log
		if v.faults, err = log.Verify(); err != nil {
			return err
		}
	}
	for _, l := range v.remains.Lost {
		v.faults = slices.DeleteFunc(v.faults, func(f seasonlog.Fault) bool { return f.Place == "workbook "+l.Workbook })
		v.faults = append(v.faults, l.Fault)
	}
	return nil
}

// reread reads one stored workbook again.
func (v *verification) reread(k seasonlog.Kept) {
	r, err := v.read(k)
	if err != nil {
		v.differs(k, fmt.Sprintf("this program cannot read the stored workbook: %v", err))
		return
	}
	v.readings += len(r.Result.Readings)
	v.sign(r, k)
	if !k.Recorded {
		v.record(fmt.Sprintf("workbook number %d in the order of collecting, batch %s", k.Collected,
			r.Sheet.Plan.Batch), "the workbook is whole; the record of its collecting is not")
		return
	}
	if !v.sameReadings(k, r.Result.Readings) {
		return
	}
	if !k.SameFindings(r.Result.Findings) {
		v.otherwise++
		v.notes = append(v.notes, fmt.Sprintf("%s: %s now, %d when %s collected it; the readings are the same",
			k.Place(), quantity.Counted(len(r.Result.Findings), "finding", "findings"), k.Record.Findings, k.Record.Program))
	}
}

func (v *verification) read(k seasonlog.Kept) (*station.Returned, error) {
	content, err := v.remains.Content(k)
	if err != nil {
		return nil, err
	}
	return v.folder.Understand(k.Place(), content)
}

// found gives the readings in the log, whatever they are worth; nil where it gives none.
func (v *verification) found(k seasonlog.Kept) []calc.Reading {
	if v.log == nil {
		return nil
	}
	stored, _ := v.log.AsFound(k.Record.Batch, k.Record.Number) // damage is told already
	return stored
}

// sameReadings tells readings that are not those of the stored workbook, entry by entry as
// far as the log still gives them. What a cell says does not depend on the program; what
// it means may.
func (v *verification) sameReadings(k seasonlog.Kept, now []calc.Reading) bool {
	var differ []string
	verbatim := false
	if stored := v.found(k); stored != nil {
		differ, verbatim = unlike(stored, now)
	}
	says := "the readings stored are not those of the stored workbook: " + strings.Join(differ, "; ")
	switch {
	case verbatim:
		v.record(k.Place(), says)
	case len(differ) > 0:
		v.differs(k, says)
	case !k.SameReadings(now):
		v.differs(k, "the stored workbook gives other readings than those it was collected with")
	default:
		return true
	}
	return false
}

// unlike lists the entries that differ; verbatim is set when what a cell says does.
func unlike(stored, now []calc.Reading) (differ []string, verbatim bool) {
	was := map[calc.Key]calc.Reading{}
	for _, r := range stored {
		was[r.Key] = r
	}
	for _, r := range now {
		old, there := was[r.Key]
		delete(was, r.Key)
		switch {
		case !there:
			differ = append(differ, fmt.Sprintf("%s is not stored, the workbook says %q", r.Printed, r.Raw))
		case old != r:
			verbatim = verbatim || old.Raw != r.Raw
			differ = append(differ, fmt.Sprintf("%s is stored as %s, the workbook gives %s", r.Printed, inFull(old), inFull(r)))
		}
	}
	for _, r := range stored {
		if _, left := was[r.Key]; left {
			verbatim = true
			differ = append(differ, fmt.Sprintf("%s is stored as %s, the workbook has no such box", r.Printed, inFull(r)))
		}
	}
	return differ, verbatim
}

func inFull(r calc.Reading) string {
	return fmt.Sprintf("%q (%s %v %s%s)", r.Raw, r.State, r.Number, r.Unit, r.Text)
}

// differs is a fault where the same program collected the workbook, and a note where
// another did: a newer one may understand more.
func (v *verification) differs(k seasonlog.Kept, says string) {
	if k.Recorded && k.Record.Program != programName {
		v.otherwise++
		v.notes = append(v.notes, fmt.Sprintf("%s: %s (collected by %s, this is %s)", k.Place(), says, k.Record.Program, programName))
		return
	}
	v.record(k.Place(), says)
}

func (v *verification) record(place, says string) {
	v.faults = append(v.faults, seasonlog.Fault{Place: place, Says: says, Remedy: "make a new log of the stored workbooks, see below"})
}

// sign notes who signed the latest revision of a batch that is left.
func (v *verification) sign(r *station.Returned, k seasonlog.Kept) {
	batch := r.Sheet.Plan.Batch
	if _, known := v.signed[batch]; !known {
		v.batches = append(v.batches, batch)
	}
	by, checked := initials(r.Result.Readings)
	which := fmt.Sprintf("revision %d", k.Record.Number)
	if !k.Recorded {
		which = fmt.Sprintf("workbook number %d", k.Collected)
	}
	v.signed[batch] = signature{k.Collected, fmt.Sprintf("%s  done by %s; checked by %s; %s", which, by, checked, countWords(check.Levels(r.Result.Findings)))}
}

// later says which revisions of a batch are lost that were collected after the one whose
// signatures are told; empty when that is the latest.
func (v *verification) later(batch string) string {
	var lost []string
	for _, l := range v.remains.Lost {
		if l.Batch == batch && l.Collected > v.signed[batch].collected {
			lost = append(lost, fmt.Sprintf("revision %d is lost, with who signed it; ", l.Number))
		}
	}
	return strings.Join(lost, "")
}

// initials lists who signed the steps of a sheet, and who checked them.
func initials(readings []calc.Reading) (by, checked string) {
	var did, saw []string
	for _, r := range readings {
		key := string(r.Key)
		switch {
		case !strings.HasPrefix(key, "sign.") || r.State != calc.Given:
		case strings.HasSuffix(key, ".by"):
			did = append(did, r.Text)
		case strings.HasSuffix(key, ".checked"):
			saw = append(saw, r.Text)
		}
	}
	return people(did), people(saw)
}

func people(list []string) string {
	slices.Sort(list)
	if list = slices.Compact(list); len(list) == 0 {
		return "nobody"
	}
	return strings.Join(list, ", ")
}

func (p *program) showVerification(v *verification, folder *station.Folder) error {
	for _, batch := range v.batches {
		fmt.Fprintf(p.out, "%-10s %s%s\n", batch, v.later(batch), v.signed[batch].says)
	}
	for _, note := range v.notes {
		fmt.Fprintf(p.out, "note    %s\n", note)
	}
	for _, f := range v.faults {
		fmt.Fprintf(p.out, "fault   %s: %s\n        → %s\n", f.Place, f.Says, f.Remedy)
	}
	as := "all as stored"
	if len(v.faults) > 0 {
		as = quantity.Counted(len(v.faults), "fault", "faults")
	}
	if v.otherwise > 0 {
		as += fmt.Sprintf("; %s understood otherwise by this program, which is no damage", quantity.Counted(v.otherwise, "workbook is", "workbooks are"))
	}
	fmt.Fprintf(p.out, "%s, %s, %s: %s\n", quantity.Counted(len(v.remains.Workbooks), "workbook", "workbooks"),
		quantity.Counted(v.readings, "reading", "readings"), quantity.Counted(v.texts(), "text", "texts"), as)
	if len(v.faults) == 0 {
		return nil
	}
	return logFault(fmt.Errorf("%s is not as it was stored; keep it, and make a new log of what is whole: spatsheet "+
		"season%s --rebuild <new file>", folder.File(station.LogFile), inFolder(folder)))
}

// texts counts the protocol, plan and site texts, each once.
func (v *verification) texts() int {
	digests := map[string]bool{}
	for _, k := range v.remains.Workbooks {
		if k.Recorded {
			digests[k.Record.ProtocolText], digests[k.Record.PlanText], digests[k.Record.SiteText] = true, true, true
		}
	}
	return len(digests)
}
