package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// planPage is one screen of questions.
type planPage struct {
	step      planStep
	title     string
	about     string
	questions []*planQuestion
	shows     bool // the amounts, while answers are typed
}

// planQuestion is asked by a line to type into, or by a list to choose from.
type planQuestion struct {
	key, label string
	bounds     string // what may be typed, in a few words
	help       string
	value      string
	without    string // what holds without an answer: the same typed again is none
	choices    []choice
	several    bool // any number of choices; chosen holds them
	chosen     []string
	fault      func(value string) string // empty: nothing is wrong
}

// choice is one line of a list, in columns; help is shown while the cursor is on it.
type choice struct {
	value   string
	columns []string
	help    string
}

// planStep is a place in the form.
type planStep int

const (
	askProtocol planStep = iota
	askSpecies
	askOtherSpecies
	askStart
	askParents
	askLacking
	askValues
	askChange
	askFinish
	allAsked
)

// Choices that are no value.
const (
	otherSpecies = "another"
	keepValues   = "keep"
	writePlan    = "write"
	changeValues = "change"
	writeNothing = "stop"
)

// page makes the questions of a step; none where there is nothing to ask.
func (s *planner) page(at planStep, now time.Time) planPage {
	pages := map[planStep]func() planPage{
		askProtocol: s.protocolPage, askSpecies: s.speciesPage, askOtherSpecies: s.otherSpeciesPage,
		askStart: func() planPage { return s.startPage(now) }, askParents: s.parentsPage,
		askLacking: s.lackingPage, askValues: s.valuesPage, askChange: s.changePage, askFinish: s.finishPage,
	}
	make, ok := pages[at]
	if !ok {
		return planPage{step: at}
	}
	p := make()
	p.step = at
	return p
}

// first is the first step from one that has something to ask.
func (s *planner) first(from planStep, now time.Time) planPage {
	for at := from; ; at++ {
		if p := s.page(at, now); len(p.questions) > 0 || at == allAsked {
			return p
		}
	}
}

// take takes the answers of a page as they stand.
func (s *planner) take(p planPage) error {
	for _, q := range p.questions {
		switch q.key {
		case "protocol":
			if err := s.chooseProtocol(q.value); err != nil {
				return err
			}
		case "species":
			switch typed := strings.TrimSpace(q.value); {
			case typed != otherSpecies:
				s.answers.species = typed
			case isKnown(s.knownSpecies(), s.answers.species):
				s.answers.species = ""
			}
		case "parent":
			s.answers.parents = q.chosen
		case "change":
			s.changing = q.value
		case "finish":
			s.finish = q.value
		default:
			value := q.value
			if q.without != "" && value == q.without {
				value = ""
			}
			s.put(q.key, value)
		}
	}
	return nil
}

// after is the step that follows one whose answers are taken.
func (s *planner) after(at planStep) planStep {
	switch {
	case at == askValues && s.changing == keepValues:
		return askFinish
	case at == askChange, at == askFinish && s.finish == changeValues:
		return askValues
	}
	return at + 1
}

func (s *planner) protocolPage() planPage {
	if s.given.protocol != "" {
		return planPage{}
	}
	q := &planQuestion{key: "protocol", label: "Protocol", value: s.answers.protocol, help: "`spatsheet protocols show ID` tells all about one."}
	for _, p := range s.newestProtocols() {
		q.choices = append(q.choices, choice{p.Ref(), []string{p.Ref(), p.Stage, p.Title}, p.Title + "."})
	}
	return planPage{title: "Which protocol?", questions: []*planQuestion{q}}
}

func (s *planner) speciesPage() planPage {
	if s.given.species != "" {
		return planPage{}
	}
	all := s.knownSpecies()
	if len(all) == 0 {
		return planPage{}
	}
	value := s.answers.species
	if value != "" && !isKnown(all, value) {
		value = otherSpecies
	}
	q := &planQuestion{key: "species", label: "Species", value: value, help: s.protocol.Ref() + " is written for " +
		strings.Join(s.protocol.AppliesTo, ", ") + ".",
		fault: func(value string) string {
			if value == otherSpecies {
				return ""
			}
			return s.fault("species", value)
		}}
	for _, k := range all {
		q.choices = append(q.choices, choice{k.species, []string{k.species, k.from}, ""})
	}
	q.choices = append(q.choices, choice{otherSpecies, []string{"another one, to be typed"}, ""})
	return planPage{title: "Which species?", questions: []*planQuestion{q}}
}

func (s *planner) otherSpeciesPage() planPage {
	if s.given.species != "" || (s.answers.species != "" && isKnown(s.knownSpecies(), s.answers.species)) {
		return planPage{}
	}
	return planPage{title: "Which species?", questions: []*planQuestion{{key: "species", label: "Species", bounds: "genus and species", value: s.answers.species,
		help:  s.protocol.Ref() + " is written for " + strings.Join(s.protocol.AppliesTo, ", ") + ".",
		fault: func(value string) string { return s.wanted("species", value) }}}}
}

// wanted is the fault of an answer that must be there.
func (s *planner) wanted(key, value string) string {
	if strings.TrimSpace(value) == "" {
		return "this is needed"
	}
	return s.fault(key, value)
}

func (s *planner) startPage(now time.Time) planPage {
	used := s.usedCodes()
	ask := func(key, label, bounds, help, proposed string, fault func(string) string) *planQuestion {
		q := &planQuestion{key: key, label: label, bounds: bounds, help: help, value: *s.answers.text(key), fault: fault}
		if q.value == "" {
			q.value = proposed
		}
		return q
	}
	day := s.day(now)
	codes := make([]string, 0, len(used))
	for code := range used {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	needed := func(key string) func(string) string { return func(value string) string { return s.wanted(key, value) } }
	questions := []*planQuestion{
		ask("batch", "Batch code", "capitals, digits, hyphens", "Proposed: the next code that is free in this season folder.",
			nextCode(codes, s.earlier, s.protocol.ID, s.site.Code, day), func(value string) string {
				if where := used[strings.TrimSpace(value)]; where != "" && !s.replace {
					return where + " already; take another code, or give --replace"
				}
				return s.wanted("batch", value)
			}),
		ask("date", "Day of the start", "year-month-day",
			"Proposed: today, or the day of the latest plan where that lies ahead.", day.Format("2006-01-02"), needed("date")),
		ask("start", "Time of the start", "hours:minutes", "The site's clock. Proposed: the time of the last plan of this protocol.", s.clock(), needed("start")),
	}
	if s.everything {
		questions = append(questions,
			ask("note", "Remark", "may be left empty", "Printed on the sheet.", "", nil),
			ask("profile", "Species profile", "may be left empty",
				"An id, id@version, or none. Empty: the newest of the species.", "", func(value string) string { return s.fault("profile", value) }))
	}
	questions = slices.DeleteFunc(questions, func(q *planQuestion) bool { return *s.given.text(q.key) != "" })
	return planPage{title: "Which batch, and when?", questions: questions}
}

func (s *planner) parentsPage() planPage {
	takes := slices.ContainsFunc(s.protocol.Settings, func(t protocols.Setting) bool {
		_, set := s.given.settings[t.ID]
		return t.Handed != "" && !set
	})
	if !takes || len(s.given.parents) > 0 {
		return planPage{}
	}
	all := s.candidates()
	if len(all) == 0 {
		return planPage{}
	}
	q := &planQuestion{key: "parent", label: "Parents", several: true, chosen: slices.Clone(s.answers.parents),
		help: "What the marked batches hand over fills settings of this one. None marked: you type them.",
		fault: func(value string) string {
			kept := s.answers.parents
			defer func() { s.answers.parents = kept }()
			s.answers.parents = strings.Fields(value)
			if _, err := s.draft(); err != nil {
				return inWords(err)
			}
			return ""
		}}
	for _, c := range all {
		q.choices = append(q.choices, choice{c.batch, c.columns, ""})
	}
	return planPage{title: "Which batches does it start from?", questions: []*planQuestion{q}}
}

func (s *planner) lackingPage() planPage {
	p := planPage{title: "Settings that have no value yet", shows: true}
	for _, t := range s.lacking() {
		p.questions = append(p.questions, s.settingQuestion(t, s.answers.settings[t.ID]))
	}
	return p
}

// settingQuestion asks for one setting.
func (s *planner) settingQuestion(t *protocols.Setting, value string) *planQuestion {
	key := settingKey(t.ID)
	return &planQuestion{key: key, label: t.Label, bounds: bounds(t), help: s.describe(t), value: value,
		fault: func(value string) string { return s.wanted(key, value) }}
}

// describe says of a setting what a person choosing its value wants to know.
func (s *planner) describe(t *protocols.Setting) string {
	text := t.Label + ": " + bounds(t) + "."
	if t.GivenBy == protocols.ByPlan && t.Example.Value() > 0 {
		text += " Such as " + t.Example.Format(0) + "."
	}
	if t.Note != "" {
		text += " " + capital(t.Note) + "."
	}
	return text + " Source: " + s.sourceOf(t) + "."
}

// bounds is a setting's range as it may be typed.
func bounds(t *protocols.Setting) string {
	return strings.TrimSpace(quantity.FormatNumber(t.Low, 0) + " to " + quantity.FormatNumber(t.High, 0) + " " + t.Unit.Print())
}

func (s *planner) valuesPage() planPage {
	values := s.valuesByGiver()
	if len(values) == 0 {
		return planPage{}
	}
	q := &planQuestion{key: "change", label: "Setting", value: keepValues,
		choices: []choice{{keepValues, []string{fmt.Sprintf("Keep these %d values and go on", len(values))},
			"Enter keeps them all. To change one for this batch, go to it and press enter."}}}
	for _, v := range values {
		q.choices = append(q.choices, choice{v.Setting.ID, []string{v.Setting.Label, v.Quantity.Format(0), s.whose(v)}, s.describe(v.Setting)})
	}
	return planPage{title: "Settings that have a value", questions: []*planQuestion{q}, shows: true}
}

func (s *planner) changePage() planPage {
	values, _ := s.settled(true)
	i := slices.IndexFunc(values, func(v calc.Value) bool { return v.Setting.ID == s.changing })
	if i < 0 {
		return planPage{}
	}
	v := values[i]
	q := s.settingQuestion(v.Setting, v.Quantity.String())
	if typed, ok := s.answers.settings[v.Setting.ID]; ok {
		q.value = typed
	} else {
		q.without = q.value
	}
	q.help = fmt.Sprintf("Now by: %s. %s", s.whose(v), q.help)
	if !slices.Contains(s.lacking(), v.Setting) {
		q.help = "Left empty, the value stays as it was. " + q.help
		q.fault = func(value string) string { return s.fault(q.key, value) }
	}
	return planPage{title: "Change a setting for this batch", questions: []*planQuestion{q}, shows: true}
}

func (s *planner) finishPage() planPage {
	a := s.answers
	about := fmt.Sprintf("%s  %s\n%s, %s %s", a.batch, s.protocol.Ref(), a.species, a.date, a.start)
	if len(a.parents) > 0 {
		about += "\nstarts from " + strings.Join(a.parents, ", ")
	}
	var typed []string
	for _, id := range slices.Sorted(maps.Keys(a.settings)) {
		typed = append(typed, id+" "+a.settings[id])
	}
	if len(typed) > 0 {
		about += "\nwith " + strings.Join(typed, ", ")
	}
	q := &planQuestion{key: "finish", label: "Plan", value: writePlan, choices: []choice{
		{writePlan, []string{"Write " + planName(s.folder, a.batch)}, ""}, {changeValues, []string{"Look at the values again"}, ""},
		{writeNothing, []string{"Stop; write nothing"}, ""}},
		fault: func(value string) string {
			if value != writePlan {
				return ""
			}
			return s.hinders()
		}}
	return planPage{title: "Write the plan?", about: about, questions: []*planQuestion{q}, shows: true}
}

// hinders says what keeps the plan from being written, in one line.
func (s *planner) hinders() string {
	d, err := s.draft()
	if err != nil {
		return inWords(err)
	}
	if _, _, faults, _ := s.scale(d); len(faults) > 0 {
		says, _, _ := strings.Cut(faults[0].says, "\n")
		return "it cannot be written yet: " + strings.TrimSuffix(says, ":")
	}
	return ""
}
