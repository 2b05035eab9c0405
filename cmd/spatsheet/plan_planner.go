package main

import (
	"io"
	"maps"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
)

// planner holds a half-answered plan: what was given, what was answered since, and what
// follows from both. It draws nothing and reads no keys.
type planner struct {
	p          *program // with nobody listening
	folder     *station.Folder
	replace    bool
	everything bool // ask for what may be left out too
	site       calc.Site
	earlier    []calc.Plan // of this folder, by start
	given      answers     // by flags: not asked again
	answers    answers     // with what was answered since
	protocol   *protocols.Protocol
	changing   string // the setting chosen to be changed
	finish     string // what was chosen on the last page
	base       base
	seen       preview
	known      []known // species, once looked for
	knownFor   string  // the protocol they are of
}

// base is what species profile and parents give, kept until one of them changes.
type base struct {
	of    string
	draft draft
	err   error
}

// newPlanner starts from flags. Error: the season folder's site cannot be read, or a flag
// names a protocol that is not there.
func newPlanner(p *program, folder *station.Folder, replace, everything bool, given answers) (*planner, error) {
	site, err := folder.Site()
	if err != nil {
		return nil, err
	}
	if given.settings == nil {
		given.settings = map[string]string{}
	}
	quiet := *p
	quiet.out, quiet.talk = io.Discard, io.Discard
	s := &planner{p: &quiet, folder: folder, replace: replace, everything: everything, site: site,
		earlier: earlierPlans(folder), given: given, answers: given}
	s.answers.settings = maps.Clone(given.settings)
	if given.protocol != "" {
		err = s.chooseProtocol(given.protocol)
	}
	return s, err
}

// chooseProtocol takes a protocol; settings typed for another one are dropped.
func (s *planner) chooseProtocol(ref string) error {
	protocol, err := s.folder.Protocol(ref)
	if err != nil {
		return err
	}
	if s.protocol != nil && s.protocol.Ref() != protocol.Ref() {
		s.answers.settings, s.answers.parents = maps.Clone(s.given.settings), s.given.parents
	}
	s.answers.protocol, s.protocol = ref, protocol
	return nil
}

// missing says whether flags alone do not make a plan: one of the needed ones, or a
// setting without a value.
func (s *planner) missing() bool {
	for _, flag := range neededFlags {
		if *s.given.text(flag) == "" {
			return true
		}
	}
	return len(s.lacking()) > 0
}

// givenFault tells what is wrong with flags before anything is asked.
func (s *planner) givenFault() error {
	if s.given.batch != "" {
		if err := calc.CheckBatchCode(s.given.batch); err != nil {
			return usageFault("--batch: %w", err)
		}
	}
	if s.protocol == nil {
		return nil
	}
	d, err := s.draft()
	if err != nil {
		return err
	}
	for name, good := range standIns {
		if at := d.answer(name); *at == "" {
			*at = good
		}
	}
	if d.species == "" {
		d.species = s.protocol.AppliesTo[0]
	}
	var says []string
	_, _, faults, err := s.scale(d)
	for _, t := range faults {
		if t.of.flag != "" {
			says = append(says, t.of.flag+": "+t.says)
		}
	}
	if len(says) == 0 {
		return nil
	}
	return inputFault(reworded{err, strings.Join(says, "\n")})
}

// standIns are good values for what is not answered yet, so that the rest can be looked at.
var standIns = map[string]string{"batch": "NEW-1", "date": "2000-01-01", "start": "00:00"}

func (d *draft) answer(name string) *string {
	return map[string]*string{"batch": &d.batch, "date": &d.date, "start": &d.start}[name]
}

// draft is the plan as answered so far. The parents' part of it is that of all their
// hand-overs; which of them a typed value replaces is settled when the plan is made.
func (s *planner) draft() (draft, error) {
	a := s.answers
	of := strings.Join(append([]string{a.protocol, a.species, a.profile}, a.parents...), "\n")
	if s.base.of != of {
		a.settings = map[string]string{}
		d, err := s.p.draftPlan(a, s.folder)
		s.base = base{of, d, err}
	}
	d := s.base.draft
	d.batch, d.protocol, d.species, d.date, d.start, d.note = a.batch, s.protocol.Ref(), a.species, a.date, a.start, a.note
	d.settings = maps.Clone(s.base.draft.settings)
	if d.settings == nil {
		d.settings = map[string]string{}
	}
	maps.Copy(d.settings, s.answers.settings)
	return d, s.base.err
}

// standIn puts good values for batch, date and start in place of the answers, but for one.
func (d *draft) standIn(but string) {
	for name, good := range standIns {
		if name != but {
			*d.answer(name) = good
		}
	}
}

// scale computes a draft as `spatsheet plan` does.
func (s *planner) scale(d draft) (sheet *calc.Sheet, plan calc.Plan, faults []told, err error) {
	name := planName(s.folder, d.batch)
	text, origins := d.written()
	if plan, err = calc.ReadPlan(name, text); err == nil {
		sheet, err = calc.Scale(s.protocol, s.site, plan)
	}
	if err != nil {
		faults = tell(err, name, origins)
	}
	return sheet, plan, faults, err
}

// fault says what is wrong with one answer, by reading and scaling the plan with it;
// empty when nothing is.
func (s *planner) fault(key, value string) string {
	if s.protocol == nil {
		return ""
	}
	kept := s.answers
	defer func() { s.answers = kept }()
	s.answers.settings = maps.Clone(s.answers.settings)
	s.put(key, value)
	d, err := s.draft()
	if key == "species" || key == "profile" || key == "parent" {
		if err != nil {
			return inWords(err)
		}
	}
	d.standIn(key)
	_, _, faults, _ := s.scale(d)
	var says []string
	for _, t := range faults {
		if t.of.key == key {
			says = append(says, t.says)
		}
	}
	return strings.Join(says, "\n")
}

// put takes one answer.
func (s *planner) put(key, value string) {
	value = strings.TrimSpace(value)
	id, isSetting := strings.CutPrefix(key, "set ")
	switch {
	case !isSetting:
		*s.answers.text(key) = value
	case value == "":
		delete(s.answers.settings, id)
	default:
		s.answers.settings[id] = value
	}
}

// settled tells which settings have a value and which have none. typed: whether what was
// typed into the form counts, or the flags only.
func (s *planner) settled(typed bool) ([]calc.Value, []*protocols.Setting) {
	if s.protocol == nil {
		return nil, nil
	}
	if !typed {
		kept := s.answers.settings
		defer func() { s.answers.settings = kept }()
		s.answers.settings = s.given.settings
	}
	d, _ := s.draft()
	d.standIn("")
	_, plan, _, _ := s.scale(d)
	return calc.Settled(s.protocol, s.site, plan)
}

// lacking lists the settings that only a person can give now: neither flags nor anything
// else has a value for them.
func (s *planner) lacking() []*protocols.Setting {
	_, lacking := s.settled(false)
	return lacking
}

// whose says who gave a value: a batch that hands it over, the plan, or another giver and
// its source.
func (s *planner) whose(v calc.Value) string {
	id := v.Setting.ID
	if _, typed := s.answers.settings[id]; !typed {
		for _, parent := range s.base.draft.parents {
			if _, gave := parent.Gave[id]; gave {
				return "from " + parent.Batch
			}
		}
	}
	switch v.From {
	case protocols.ByPlan:
		return "this plan"
	}
	return string(v.From)
}

// order of givers in lists: what belongs to this batch first.
var giverOrder = []protocols.Giver{protocols.ByPlan, protocols.BySpecies, protocols.BySite, protocols.ByProtocol}

// valuesByGiver lists every setting that has a value, grouped by who gave it.
func (s *planner) valuesByGiver() []calc.Value {
	values, _ := s.settled(true)
	slices.SortStableFunc(values, func(a, b calc.Value) int {
		return slices.Index(giverOrder, a.From) - slices.Index(giverOrder, b.From)
	})
	return values
}

// sourceOf is the source of a setting in words.
func (s *planner) sourceOf(setting *protocols.Setting) string {
	for _, source := range s.protocol.Sources {
		if source.ID == setting.Source {
			return source.Text
		}
	}
	return setting.Source
}
