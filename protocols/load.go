package protocols

import (
	"io/fs"
	"regexp"
	"strconv"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/quantity"
)

var (
	idPattern      = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)         // protocols, steps, roles
	namePattern    = regexp.MustCompile(`^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?$`) // settings and amounts
	entryPattern   = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)                     // entries, tables, columns
	versionPattern = regexp.MustCompile(`^(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)$`)
)

// IsID says whether a word may name a protocol or a species profile.
func IsID(s string) bool { return idPattern.MatchString(s) }

// IsVersion says whether a word is a version: three numbers with dots.
func IsVersion(s string) bool { return versionPattern.MatchString(s) }

// The words that stand for "no publication behind this value".
const (
	commonPractice = "common practice"
	siteChoice     = "site choice"
)

// Load reads one protocol; name is its file's name for messages, functions what its formulas
// may call besides their own arithmetic.
//
// The error is of type document.Faults and tells every fault with file:line:column, an
// excerpt and a remedy: unknown keys, missing units, unlike dimensions, amounts that need
// each other in a circle, names that stand for nothing.
func Load(name string, text []byte, functions formula.Functions) (*Protocol, error) {
	d, err := document.Parse(name, text)
	if err != nil {
		return nil, err
	}
	l := &loader{p: &Protocol{}, functions: functions, scope: formula.Scope{}, nodes: map[string]document.Node{}, doubtful: map[string]bool{},
		readings: formula.Scope{}, examples: formula.Scope{}, times: formula.Scope{}, timed: map[int]bool{}}
	l.protocol(d.Root())
	if err := d.Err(); err != nil {
		return nil, err
	}
	l.p.Digest, l.p.Text = DigestOf(text), text
	return l.p, nil
}

// LoadFile reads one protocol out of a file system.
//
// The error is that of reading the file, or of Load.
func LoadFile(fsys fs.FS, name string, functions formula.Functions) (*Protocol, error) {
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	return Load(name, text, functions)
}

// loader carries what has been read so far.
type loader struct {
	p *Protocol

	functions formula.Functions

	scope    formula.Scope            // settings and amounts
	readings formula.Scope            // scope and entries and columns
	examples formula.Scope            // readings and ExampleUnits
	times    formula.Scope            // scope and units of time
	nodes    map[string]document.Node // where each name was declared
	doubtful map[string]bool          // names whose unit could not be read
	formulas []pendingFormula
	timed    map[int]bool // indices of steps with a time
}

// pendingFormula waits until every name of the file is known.
type pendingFormula struct {
	at    document.Node
	name  string // of the thing it computes
	unit  quantity.Unit
	truth bool
	loose bool   // a bare number will do, whatever the unit
	each  string // a table of whose rows one is meant
	over  *formula.Scope
	put   func(*formula.Formula)
}

func (l *loader) protocol(root document.Node) {
	f := root.Fields(keysOf["protocol"]...)
	p := l.p
	p.ID = l.matching(f.Need("protocol"), idPattern, "small letters, digits and hyphens, such as diatom-culture")
	p.Version = l.matching(f.Need("version"), versionPattern, "three numbers with dots, such as 1.0.0")
	p.Title, p.Stage, p.Purpose = f.Need("title").Text(), f.Need("stage").Text(), f.Need("purpose").Text()
	p.AppliesTo = f.Need("applies_to").Texts()
	l.provenance(f)
	for _, n := range f.Get("roles").List() {
		r := n.Fields(keysOf["role"]...)
		p.Roles = append(p.Roles, Role{r.Need("id").Text(), r.Need("does").Text()})
	}
	for _, n := range f.Need("settings").List() {
		p.Settings = append(p.Settings, l.setting(n))
	}
	for _, n := range f.Need("amounts").List() {
		p.Amounts = append(p.Amounts, l.amount(n, len(p.Amounts)))
	}
	l.work(f)
	l.timetable(f)
	l.compile()
	l.placeEntries()
	l.orderAmounts()
	l.references(f)
	l.tells(f)
}

// provenance reads where values come from and what versions changed.
func (l *loader) provenance(f document.Fields) {
	for _, n := range f.Need("sources").List() {
		s := n.Fields(keysOf["source"]...)
		l.p.Sources = append(l.p.Sources, Source{s.Need("id").Text(), s.Need("text").Text()})
	}
	for _, n := range f.Need("changes").List() {
		c := n.Fields(keysOf["change"]...)
		l.p.Changes = append(l.p.Changes, Change{c.Need("version").Text(), c.Need("note").Text()})
	}
}

// work reads the parts that speak of the work itself.
func (l *loader) work(f document.Fields) {
	p := l.p
	for _, n := range f.Need("steps").List() {
		p.Steps = append(p.Steps, l.step(n, len(p.Steps)))
	}
	for _, n := range f.Get("limits").List() {
		m := n.Fields(keysOf["limit"]...)
		p.Limits = append(p.Limits, Limit{m.Need("what").Text(), m.Need("needs").Text(), m.Need("has").Text()})
	}
	for _, n := range f.Get("checks").List() {
		p.Checks = append(p.Checks, l.check(n, len(p.Checks)))
	}
	for _, n := range f.Get("stages").List() {
		p.Stages = append(p.Stages, l.stage(n, len(p.Stages)))
	}
	for _, n := range f.Get("hands_over").List() {
		p.HandsOver = append(p.HandsOver, l.handOver(n, len(p.HandsOver)))
	}
	for _, n := range f.Get("materials").List() {
		m := n.Fields(keysOf["material"]...)
		p.Materials = append(p.Materials, Material{m.Need("name").Text(), m.Get("amount").Text(), m.Get("note").Text()})
	}
	for _, n := range f.Get("cautions").List() {
		c := n.Fields(keysOf["caution"]...)
		p.Cautions = append(p.Cautions, Caution{c.Need("id").Text(), c.Need("text").Text(), c.Need("steps").Texts()})
	}
}

func (l *loader) matching(n document.Node, pattern interface{ MatchString(string) bool }, wants string) string {
	text := n.Text()
	if text != "" && !pattern.MatchString(text) {
		n.Fault("%q does not do; use %s", text, wants)
	}
	return text
}

// declare makes a name known, refusing a second thing of the same name.
func (l *loader) declare(n document.Node, name string) bool {
	if name == "" {
		return false
	}
	if l.functions.Has(name) {
		n.Fault("%q is a function of formulas; choose another id", name)
		return false
	}
	if before, taken := l.nodes[name]; taken {
		n.Fault("%q is already declared at %s; choose another id", name, before.Place())
		return false
	}
	l.nodes[name] = n
	return true
}

func (l *loader) setting(n document.Node) Setting {
	f := n.Fields(keysOf["setting"]...)
	s := Setting{
		ID:    l.matching(f.Need("id"), namePattern, "small letters, digits and _, such as females or beaker.volume"),
		Label: f.Need("label").Text(), Unit: l.unit(f.Need("unit"), f.Get("id").Text()),
		GivenBy: Giver(f.OneOf("given_by", string(ByProtocol), string(BySpecies), string(BySite), string(ByPlan))),
		Scales:  l.truth(f, "scales"), Note: f.Get("note").Text(), Handed: f.Get("handed").Text(), Source: l.source(f.Need("source")),
	}
	s.Whole = l.truth(f, "whole")
	var ranged bool
	if s.Low, s.High, ranged = l.span(f.Need("range")); !ranged {
		l.doubtful[s.ID] = true
	}
	if s.GivenBy == ByProtocol {
		s.Default = l.within(f.Need("default"), &s)
	} else if f.Has("default") {
		f.Get("default").Fault("a setting given by the %s has no default; drop it, or drop given_by", s.GivenBy)
	}
	if s.GivenBy == ByPlan {
		s.Example = l.within(f.Need("example"), &s)
	}
	if l.declare(f.Get("id"), s.ID) {
		l.scope[s.ID] = formula.Name{Dimension: s.Unit.Dimension()}
	}
	return s
}

// within reads a number in the setting's unit, or a quantity that converts to it, inside
// its range.
func (l *loader) within(n document.Node, s *Setting) quantity.Quantity {
	text := n.Text()
	if text == "" || l.doubtful[s.ID] {
		return quantity.Quantity{}
	}
	q, err := ReadQuantity(text, s.Unit)
	if err != nil {
		n.Fault("%s", err)
		return quantity.Quantity{}
	}
	if q.Value() < s.Low || q.Value() > s.High {
		n.Fault("%s lies outside the range %s", q.Format(0), quantity.FormatRange(s.Low, s.High))
	}
	return q
}

// ReadQuantity reads a value typed for something measured in unit: a bare number means
// that unit, a number with a unit is converted to it.
//
// Error: no number, or a unit of another kind. Source: none needed.
func ReadQuantity(text string, unit quantity.Unit) (quantity.Quantity, error) {
	q, err := quantity.Parse(text)
	if err != nil {
		return quantity.Quantity{}, err
	}
	if bare, err := strconv.ParseFloat(text, 64); err == nil {
		return quantity.New(bare, unit)
	}
	return q.In(unit)
}

// unit reads the unit of the thing called name. A thing without a readable unit is
// doubtful: formulas that use it are not told off for its missing dimension too.
func (l *loader) unit(n document.Node, name string) quantity.Unit {
	if !n.Present() { // Need has told it
		l.doubtful[name] = true
		return quantity.Unit{}
	}
	u, err := quantity.ParseUnit(n.Text())
	if err != nil {
		l.doubtful[name] = true
		n.Fault("%s", err)
	}
	return u
}

// span reads [low, high].
func (l *loader) span(n document.Node) (low, high float64, ok bool) {
	if !n.Present() {
		return 0, 0, false
	}
	items := n.List()
	if len(items) != 2 {
		n.Fault("a range is two numbers, such as [0.2, 5]")
		return 0, 0, false
	}
	low, ok1 := l.number(items[0])
	high, ok2 := l.number(items[1])
	if ok1 && ok2 && low > high {
		n.Fault("the range runs backwards: %s is above %s", quantity.FormatNumber(low, 0), quantity.FormatNumber(high, 0))
		return low, high, false
	}
	return low, high, ok1 && ok2
}

func (l *loader) number(n document.Node) (float64, bool) {
	q, err := quantity.Parse(n.Text())
	if err != nil || q.Dimension() != quantity.None {
		n.Fault("%q is not a plain number", n.Text())
		return 0, false
	}
	return q.Base(), true
}

func (l *loader) truth(f document.Fields, key string) bool {
	return f.OneOf(key, "no", "yes") == "yes"
}

func (l *loader) source(n document.Node) string {
	s := n.Text()
	if s == "" || s == commonPractice || s == siteChoice {
		return s
	}
	for _, known := range l.p.Sources {
		if known.ID == s {
			return s
		}
	}
	n.Fault("source %q is not in the list of sources; add it there, or write %q or %q", s, commonPractice, siteChoice)
	return s
}

func (l *loader) amount(n document.Node, index int) Amount {
	f := n.Fields(keysOf["amount"]...)
	a := Amount{
		ID:    l.matching(f.Need("id"), namePattern, "small letters, digits and _"),
		Label: f.Need("label").Text(), Unit: l.unit(f.Need("unit"), f.Get("id").Text()),
		Round: l.rounding(f), Split: f.Get("split").Text(), Note: f.Get("note").Text(),
		Scales: f.OneOf("scales", "yes", "no") == "yes",
	}
	if l.declare(f.Get("id"), a.ID) {
		l.scope[a.ID] = formula.Name{Dimension: a.Unit.Dimension()}
	}
	if f.Has("split") && a.Round.To != RoundWhole && a.Round.To != RoundMeasure {
		f.Get("split").Fault("a split amount must be rounded, to: whole or to: measure, so that its parts add up exactly")
	}
	l.formulas = append(l.formulas, pendingFormula{
		at: f.Need("formula"), name: a.ID, unit: a.Unit, over: &l.scope,
		put: func(x *formula.Formula) { l.p.Amounts[index].Formula = x },
	})
	return a
}

func (l *loader) rounding(f document.Fields) Rounding {
	if !f.Has("round") {
		return Rounding{To: RoundNone, Direction: Nearest}
	}
	r := f.Get("round").Fields(keysOf["round"]...)
	out := Rounding{
		To:        RoundTo(r.OneOf("to", string(RoundNone), string(RoundWhole), string(RoundMeasure), string(RoundFigures))),
		Direction: Direction(r.OneOf("direction", string(Nearest), string(Up), string(Down))),
	}
	if out.To == RoundFigures {
		figures, ok := l.number(r.Need("figures"))
		out.Figures = int(figures)
		if ok && (figures < 1 || figures > 12 || figures != float64(out.Figures)) {
			r.Get("figures").Fault("figures must be a whole number from 1 to 12")
		}
	}
	return out
}
