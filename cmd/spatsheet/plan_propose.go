package main

import (
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/seasonlog"
)

// earlierPlans reads the plans of a season folder, by start; one that cannot be read, or
// whose species a terminal would take for a command, is left to the commands that need it.
func earlierPlans(folder *station.Folder) []calc.Plan {
	var plans []calc.Plan
	for _, name := range folder.PlanFiles() {
		if plan, err := station.ReadPlan(name); err == nil && !strings.ContainsFunc(plan.Species, commanding) {
			plans = append(plans, plan)
		}
	}
	slices.SortStableFunc(plans, func(a, b calc.Plan) int { return a.Start.Compare(b.Start) })
	return plans
}

// collectedIn lists the latest revisions in the folder's log; none where it cannot be read.
func collectedIn(folder *station.Folder) []seasonlog.Revision {
	log, err := seasonlog.Open(folder.File(station.LogFile))
	if err != nil {
		return nil
	}
	defer log.Close()
	revisions, err := log.Batches()
	if err != nil {
		return nil
	}
	return revisions
}

// numbered is a batch code that ends in a number.
var numbered = regexp.MustCompile(`^(.*?)([0-9]{1,6})$`)

// nextCode is the first free batch code of the pattern in use: that of the latest plan of
// the protocol, else that of most codes, else the site's code and the year. A year in the
// pattern becomes this year.
func nextCode(used []string, plans []calc.Plan, protocolID, siteCode string, day time.Time) string {
	prefix, year := prefixInUse(used, plans, protocolID)
	if prefix == "" {
		prefix, year = fmt.Sprintf("%s-%02d-", siteCode, day.Year()%100), day.Year()
	}
	if year != day.Year() {
		prefix = strings.Replace(prefix, fmt.Sprintf("-%02d-", year%100), fmt.Sprintf("-%02d-", day.Year()%100), 1)
	}
	last, digits := 0, 1
	if strings.HasSuffix(prefix, "-") {
		digits = 2
	}
	for _, code := range used {
		m := numbered.FindStringSubmatch(code)
		if m == nil || m[1] != prefix {
			continue
		}
		if n, err := strconv.Atoi(m[2]); err == nil && n >= last {
			last, digits = n, len(m[2])
		}
	}
	code := fmt.Sprintf("%s%0*d", prefix, digits, last+1)
	if calc.CheckBatchCode(code) != nil {
		return ""
	}
	return code
}

// prefixInUse finds what comes before the number in the codes of a season, and the year
// of the plan it is from; 0 where no plan tells.
func prefixInUse(used []string, plans []calc.Plan, protocolID string) (prefix string, year int) {
	of := map[string]int{}
	for _, plan := range plans {
		m := numbered.FindStringSubmatch(plan.Batch)
		if m == nil {
			continue
		}
		of[m[1]] = plan.Start.Year()
		if id, _, _ := strings.Cut(plan.Protocol, "@"); id == protocolID {
			prefix, year = m[1], plan.Start.Year()
		}
	}
	if prefix != "" {
		return prefix, year
	}
	count := map[string]int{}
	for _, code := range used {
		if m := numbered.FindStringSubmatch(code); m != nil && m[1] != "" {
			count[m[1]]++
			if n := count[m[1]]; n > count[prefix] || (n == count[prefix] && m[1] < prefix) {
				prefix = m[1]
			}
		}
	}
	return prefix, of[prefix]
}

// usedCodes says where each batch code of the folder is used.
func (s *planner) usedCodes() map[string]string {
	used := map[string]string{}
	for _, r := range collectedIn(s.folder) {
		used[r.Batch] = "collected in " + station.LogFile
	}
	for _, name := range s.folder.PlanFiles() {
		used[strings.TrimSuffix(filepath.Base(name), ".yaml")] = "planned in " + name
	}
	return used
}

// lastOf is the latest plan of the protocol, else the latest plan; ok is false without any.
func (s *planner) lastOf() (plan calc.Plan, ok bool) {
	for _, e := range s.earlier {
		id, _, _ := strings.Cut(e.Protocol, "@")
		if s.protocol != nil && id == s.protocol.ID {
			plan, ok = e, true
		}
	}
	if !ok && len(s.earlier) > 0 {
		plan, ok = s.earlier[len(s.earlier)-1], true
	}
	return plan, ok
}

// day is the date to propose: today, or that of the latest plan when it lies ahead.
func (s *planner) day(now time.Time) time.Time {
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
	if n := len(s.earlier); n > 0 && s.earlier[n-1].Start.After(today) {
		return s.earlier[n-1].Start
	}
	return today
}

// clock is the time of day to propose: that of the latest plan of the protocol.
func (s *planner) clock() string {
	if plan, ok := s.lastOf(); ok {
		return plan.Start.Format("15:04")
	}
	return "09:00"
}

// known is a species that may be meant, and where it is known from.
type known struct{ species, from string }

// knownSpecies lists the species that the protocol is for: of earlier plans, the latest
// first, then of profiles; without any the genera that the protocol names.
func (s *planner) knownSpecies() []known {
	if s.knownFor == s.protocol.Ref() {
		return s.known
	}
	var all []known
	add := func(species, from string) {
		if !isKnown(all, species) && s.fault("species", species) == "" {
			all = append(all, known{species, from})
		}
	}
	for _, plan := range slices.Backward(s.earlier) {
		add(plan.Species, "planned as "+plan.Batch)
	}
	own, _ := s.folder.OwnRefs("species/") // a faulty one is told when it is used
	for _, ref := range append(own, library.ProfileRefs()...) {
		if profile, err := s.folder.Profile(ref); err == nil {
			add(profile.Species, "species profile "+profile.Ref())
		}
	}
	if len(all) == 0 {
		for _, taxon := range s.protocol.AppliesTo {
			add(taxon, "named by the protocol")
		}
	}
	s.known, s.knownFor = all, s.protocol.Ref()
	return all
}

func isKnown(all []known, species string) bool {
	return slices.ContainsFunc(all, func(k known) bool { return k.species == species })
}

// newestProtocols lists the newest version of each protocol, the season's own first.
func (s *planner) newestProtocols() []*protocols.Protocol {
	own, _ := s.folder.OwnRefs("") // a faulty one is told when it is used
	var all []*protocols.Protocol
	seen := map[string]bool{}
	for _, ref := range append(own, library.Refs()...) {
		id, _, _ := strings.Cut(ref, "@")
		if seen[id] {
			continue
		}
		seen[id] = true
		if protocol, err := s.folder.Protocol(id); err == nil {
			all = append(all, protocol)
		}
	}
	return all
}

// candidate is a collected batch that may be a parent.
type candidate struct {
	batch, species string
	columns        []string
}

// candidates lists the collected batches whose protocol hands something over that this
// one has a setting for: those of the same species first, the latest first.
func (s *planner) candidates() []candidate {
	var all []candidate
	for _, r := range slices.Backward(collectedIn(s.folder)) {
		protocol, err := s.folder.Protocol(r.Protocol)
		if err != nil {
			continue
		}
		var gives []string
		for _, h := range protocol.HandsOver {
			if slices.ContainsFunc(s.protocol.Settings, func(t protocols.Setting) bool { return t.Handed == h.ID }) {
				gives = append(gives, strings.ToLower(h.Label))
			}
		}
		if len(gives) > 0 {
			all = append(all, candidate{r.Batch, r.Species, []string{r.Batch, r.Start.Format("2006-01-02"), r.Species, strings.Join(gives, ", ")}})
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		if (a.species == s.answers.species) == (b.species == s.answers.species) {
			return 0
		}
		if a.species == s.answers.species {
			return -1
		}
		return 1
	})
	return all
}
