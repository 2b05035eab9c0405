package calc

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/quantity"
)

// Written is a value as it stands in a plan or site file.
type Written struct {
	Text  string
	Place document.Place // plans/kelp.yaml:14:9, or what gave it
}

// Plan is one batch as planned.
type Plan struct {
	Batch    string // batch code, [A-Z0-9] and single hyphens, 3 to 20 characters
	Protocol string // id@version
	Species  string
	Start    time.Time // date and clock time on the site's clock, no zone
	Note     string
	Settings map[string]Written
	Profile  string             // id@version of the species profile; empty when none is used
	Values   map[string]Written // the profile's values, copied when the batch was planned
	Parents  []Parent           // batches whose hand-overs filled settings
	Text     []byte             // the file's text, carried in the workbook
	places   map[string]document.Place
}

// Parent is a batch that this one starts from.
type Parent struct {
	Batch    string
	Revision int
	Gave     map[string]string // settings filled, by the id of the hand-over
}

// String names a parent as it is printed: "HL-27-01, revision 2".
func (p Parent) String() string { return fmt.Sprintf("%s, revision %d", p.Batch, p.Revision) }

// mostNamed is how many parents of a batch are named at its head. Site choice: a few lines.
const mostNamed = 8

// From writes the batches that a plan starts from, "HL-27-01, revision 2; HL-27-03, revision
// 1": the first ones, and how many more the plan has.
//
// Range: any plan; empty without parents. Source: none needed.
func (p Plan) From() string {
	var list []string
	for _, parent := range p.Parents[:min(mostNamed, len(p.Parents))] {
		list = append(list, parent.String())
	}
	if more := len(p.Parents) - mostNamed; more > 0 {
		list = append(list, fmt.Sprintf("%d more: see the plan", more))
	}
	return strings.Join(list, "; ")
}

// Site is a hatchery: what it owns and how it works.
type Site struct {
	Name     string
	Code     string
	Paper    string // "A4" or "Letter"
	Measures []Measure
	Settings map[string]Written // equipment facts ("beaker.volume") and overruled defaults
	Labels   []LabelStock       // of its own; no part of a sheet, nor of its digest
	Text     []byte
	file     string
}

// Measure is a piece of glassware or a balance: what it holds and its graduation.
type Measure struct {
	Label       string
	Holds, Step quantity.Quantity
}

var devicePattern = regexp.MustCompile(`^(CON|PRN|AUX|NUL|COM[0-9]|LPT[0-9])$`)

var batchPattern = regexp.MustCompile(`^[A-Z0-9]+(-[A-Z0-9]+)*$`)

// CheckBatchCode refuses a code that would not do as a file name or on a label.
//
// Range: 3 to 20 characters, capital letters, digits and single hyphens between them; not a
// name that Windows keeps for a device, whatever its extension: CON.pdf is the console.
// Source: site choice; the names: Microsoft, "Naming Files, Paths, and Namespaces" (from memory).
func CheckBatchCode(code string) error {
	if len(code) < 3 || len(code) > 20 || !batchPattern.MatchString(code) {
		return fmt.Errorf("batch code %q: use 3 to 20 capital letters, digits and single hyphens, such as SK-26-01", code)
	}
	if devicePattern.MatchString(code) {
		return fmt.Errorf("batch code %q is the name of a device on Windows; use another, such as SK-26-01", code)
	}
	return nil
}

// ReadPlan reads a plan file; name is its name for messages.
//
// The error, of type document.Faults, tells every fault with file:line:column.
func ReadPlan(name string, text []byte) (Plan, error) {
	d, err := document.Parse(name, text)
	if err != nil {
		return Plan{}, err
	}
	f := d.Root().Fields("batch", "protocol", "species", "date", "start", "note", "profile", "species_values", "parents", "settings")
	plan := Plan{
		Batch: f.Need("batch").Text(), Protocol: f.Need("protocol").Text(), Species: f.Need("species").Text(),
		Note: f.Get("note").Text(), Text: text,
		places: map[string]document.Place{"protocol": f.Get("protocol").Place(), "species": f.Get("species").Place()},
	}
	if plan.Batch != "" || f.Get("batch").IsText() {
		if err := CheckBatchCode(plan.Batch); err != nil {
			f.Get("batch").Fault("%s", err)
		}
	}
	plan.Start = readStart(f)
	plan.Settings = readSettings(f.Get("settings"), "")
	plan.Profile, plan.Values = f.Get("profile").Text(), readSettings(f.Get("species_values"), "")
	if len(plan.Values) > 0 && plan.Profile == "" {
		f.Get("species_values").Fault("name the profile these values are from: profile: id@version")
	}
	for _, n := range f.Get("parents").List() {
		plan.Parents = append(plan.Parents, readParent(n))
	}
	return plan, d.Err()
}

func readParent(n document.Node) Parent {
	f := n.Fields("batch", "revision", "gave")
	p := Parent{Batch: f.Need("batch").Text(), Gave: map[string]string{}}
	if p.Batch != "" || f.Get("batch").IsText() {
		if err := CheckBatchCode(p.Batch); err != nil {
			f.Get("batch").Fault("%s", err)
		}
	}
	revision, err := strconv.Atoi(f.Need("revision").Text())
	if err != nil || revision < 1 {
		f.Get("revision").Fault("revision must be a whole number from 1")
	}
	p.Revision = revision
	for _, pair := range f.Get("gave").Pairs() {
		p.Gave[pair.Key] = pair.Value.Text()
	}
	return p
}

func readStart(f document.Fields) time.Time {
	day := f.Need("date").Text()
	clock := f.Need("start").Text()
	date, err := time.Parse("2006-01-02", day)
	if err != nil && day != "" {
		f.Get("date").Fault("date %q is not a day of the calendar; write year-month-day, such as 2026-02-14", day)
	}
	start, err := time.Parse("15:04", clock)
	if err != nil && clock != "" {
		f.Get("start").Fault("start %q is not a clock time; write hours:minutes, such as 18:30", clock)
	}
	return date.Add(time.Duration(start.Hour())*time.Hour + time.Duration(start.Minute())*time.Minute)
}

// readSettings flattens one level of groups: beaker: {volume: 1} gives beaker.volume.
func readSettings(n document.Node, prefix string) map[string]Written {
	out := map[string]Written{}
	for _, p := range n.Pairs() {
		if prefix == "" && p.Value.IsGroup() {
			for k, v := range readSettings(p.Value, p.Key+".") {
				out[k] = v
			}
			continue
		}
		out[prefix+p.Key] = Written{Text: p.Value.Text(), Place: p.Value.Place()}
	}
	return out
}

// ReadSite reads a site file; name is its name for messages.
//
// The error, of type document.Faults, tells every fault with file:line:column.
func ReadSite(name string, text []byte) (Site, error) {
	d, err := document.Parse(name, text)
	if err != nil {
		return Site{}, err
	}
	f := d.Root().Fields("site", "code", "paper", "equipment", "measures", "settings", "labels")
	site := Site{
		Name: f.Need("site").Text(), Code: f.Need("code").Text(), Text: text, file: name,
		Paper: f.OneOf("paper", "A4", "Letter"), Settings: map[string]Written{},
	}
	for id, g := range readSettings(f.Get("settings"), "") {
		site.Settings[id] = g
	}
	for _, group := range f.Get("equipment").Pairs() {
		for id, g := range readSettings(group.Value, group.Key+".") {
			if id != group.Key+".label" {
				site.Settings[id] = g
			}
		}
	}
	for _, item := range f.Need("measures").List() {
		site.Measures = append(site.Measures, readMeasure(item))
	}
	site.Labels = readLabelStocks(f.Get("labels"))
	return site, d.Err()
}

func readMeasure(n document.Node) Measure {
	f := n.Fields("label", "holds", "step")
	m := Measure{Label: f.Need("label").Text()}
	m.Holds = readQuantity(f.Need("holds"))
	m.Step = readQuantity(f.Need("step"))
	if m.Holds == (quantity.Quantity{}) || m.Step == (quantity.Quantity{}) {
		return m
	}
	switch order, err := m.Step.Compare(m.Holds); {
	case err != nil:
		f.Get("step").Fault("step and holds differ in kind: %s", err)
	case order > 0 || m.Step.Value() <= 0:
		f.Get("step").Fault("step %s must be above zero and at most what it holds, %s", m.Step, m.Holds)
	}
	return m
}

func readQuantity(n document.Node) quantity.Quantity {
	text := n.Text()
	if text == "" {
		return quantity.Quantity{}
	}
	q, err := quantity.Parse(text)
	if err != nil {
		n.Fault("%s", err)
	}
	return q
}

// DigestLength is the number of hex digits of a sheet's digest: 48 bits, so that two of
// a million sheets share one with a chance of 0.2 % (birthday bound, arithmetic).
const DigestLength = 12

// digest identifies a sheet by protocol text and site, as digestHead writes them, and plan;
// the order of keys, comments and blanks of the site and plan files do not matter, their
// values do.
func digest(head []byte, plan Plan) string {
	w := bytes.NewBuffer(slices.Clip(head))
	fmt.Fprintf(w, "plan %q %q %q %s %q\n", plan.Batch, plan.Protocol, plan.Species, plan.Start.Format("2006-01-02T15:04"), plan.Note)
	writeSettings(w, plan.Settings)
	if plan.Profile != "" {
		fmt.Fprintf(w, "profile %q\n", plan.Profile)
		writeSettings(w, plan.Values)
	}
	for _, p := range plan.Parents {
		fmt.Fprintf(w, "parent %q %d %v\n", p.Batch, p.Revision, p.Gave)
	}
	sum := sha256.Sum256(w.Bytes())
	return hex.EncodeToString(sum[:])[:DigestLength]
}

// digestHead writes what a sheet's digest says of protocol and site.
func digestHead(p *protocols.Protocol, site Site) []byte {
	w := &bytes.Buffer{}
	w.WriteString("protocol " + p.Digest + "\n")
	fmt.Fprintf(w, "site %q %q %q\n", site.Name, site.Code, site.Paper)
	for _, m := range site.Measures {
		w.WriteString("measure " + strconv.Quote(m.Label) + " " + strconv.Quote(m.Holds.String()) + " " + strconv.Quote(m.Step.String()) + "\n")
	}
	writeSettings(w, site.Settings)
	return w.Bytes()
}

func writeSettings(w *bytes.Buffer, settings map[string]Written) {
	for _, id := range sortedIDs(settings) {
		w.WriteString(id + " = " + strconv.Quote(strings.TrimSpace(settings[id].Text)) + "\n")
	}
}
