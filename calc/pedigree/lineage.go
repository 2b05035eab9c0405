// Package pedigree follows animals between batches: who descends from whom, which founders
// are left, how many parents count, and what is wrong where one batch takes from another.
//
// What may enter: the batches of a season. What may not: files, printed forms, times to come.
package pedigree

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// ErrCircle is a batch that is its own ancestor.
var ErrCircle = errors.New("a batch is its own ancestor")

// Lineage is who descends from whom, over all collected batches: batches linked by the
// parents that their plans name, with the animals and crosses of registers.
type Lineage struct {
	Lots     []*Lot // by start; of those that start together, parents first
	Animals  []*Animal
	Closings []Closing // reared animals that gave offspring, by date; the first closed the cycle
	Findings []season.Finding
	byCode   map[string]*Lot
	byAnimal map[string]*Animal
}

// Group is what a lot is in the life of the animals: a drawing gives each its own shape.
type Group string

// The groups. A supply gives plates, feed or figures, never animals.
const (
	FromShore Group = "collection"
	Kept      Group = "animals"
	Spawned   Group = "spawning"
	Larvae    Group = "larvae"
	Spat      Group = "spat"
	Released  Group = "release"
	Supply    Group = "supply"
)

// Lot is one collected batch as a member of the lineage.
type Lot struct {
	Batch, Protocol, Title, Species string
	Start                           time.Time
	Revision                        int
	Group                           Group
	Counts                          []Count // what it hands over, where its readings allow
	Parents, Children               []*Link // in the order of the plan; by start of the child
	Founding                        *Founding
	Spawning                        *Spawning
	Release                         *Release
	Animals                         []*Animal // its register
	Crosses                         []Cross
	of                              season.Batch
}

// Count is a number of animals, larvae or the like.
type Count struct {
	ID, Label, Unit string
	Number          float64
}

// Carry is what a link passes on.
type Carry string

// What links carry: offspring (or the animals themselves, where nothing spawned), the
// broodstock after a spawning, or something that is no animal of the line.
const (
	CarriesLine  Carry = "line"
	CarriesStock Carry = "broodstock"
	CarriesOther Carry = "supply"
)

// Link says that a batch started from another.
type Link struct {
	Code     string // of the parent batch
	Parent   *Lot   // nil when it is not collected
	Child    *Lot
	Revision int // of the parent when the child was planned
	Carries  Carry
	Gave     []Given
}

// Given is a setting of the child that the parent filled.
type Given struct {
	Setting, HandedOver string
	Value               quantity.Quantity
}

// Trace puts the lineage of a season together.
//
// Broken links are findings: a parent that is not collected, one collected anew since, one
// that starts later. Error: ErrCircle, naming the batches of the circle; nothing can be
// said of ancestors then.
func Trace(s season.Season) (*Lineage, error) {
	l := &Lineage{byCode: map[string]*Lot{}, byAnimal: map[string]*Animal{}}
	for _, b := range s.Batches {
		lot := newLot(b)
		l.Lots = append(l.Lots, lot)
		l.byCode[lot.Batch] = lot
	}
	for _, lot := range l.Lots {
		for _, p := range lot.of.Sheet.Plan.Parents {
			l.link(lot, p)
		}
	}
	if err := l.refuseCircles(); err != nil {
		return nil, err
	}
	l.order()
	for _, lot := range l.Lots {
		l.register(lot)
	}
	for _, lot := range l.Lots {
		l.crosses(lot)
	}
	l.close()
	return l, nil
}

// Lot finds a batch by code.
func (l *Lineage) Lot(code string) (*Lot, bool) {
	lot, ok := l.byCode[code]
	return lot, ok
}

// Animal finds a registered animal by code.
func (l *Lineage) Animal(code string) (*Animal, bool) {
	a, ok := l.byAnimal[code]
	return a, ok
}

func newLot(b season.Batch) *Lot {
	p, plan := b.Sheet.Protocol, b.Sheet.Plan
	lot := &Lot{Batch: plan.Batch, Protocol: p.Ref(), Title: p.Title, Species: plan.Species, Start: plan.Start, Revision: b.Revision, of: b}
	for _, h := range b.Told().Handed {
		if h.Has && h.Err == nil {
			lot.Counts = append(lot.Counts, Count{h.ID, h.Label, h.Unit, h.Number})
		}
	}
	r := newRecord(b)
	lot.Founding, lot.Spawning, lot.Release = r.founding(), r.spawning(), r.release()
	lot.Group = groupOf(lot)
	return lot
}

// groupOf goes by what the protocol declares, never by its name.
func groupOf(lot *Lot) Group {
	p := lot.of.Sheet.Protocol
	switch {
	case lot.Founding != nil:
		return FromShore
	case lot.Spawning != nil:
		return Spawned
	case lot.Release != nil:
		return Released
	}
	for _, living := range []struct {
		thing string
		group Group
	}{{"egg", Larvae}, {"larva", Larvae}, {"spat", Spat}, {"animal", Kept}} {
		if handsOver(p, living.thing) {
			return living.group
		}
	}
	return Supply
}

func handsOver(p *protocols.Protocol, thing string) bool {
	return slices.ContainsFunc(p.HandsOver, func(h protocols.HandOver) bool { return thingOf(h) == thing })
}

// thingOf is what a hand-over counts; empty for shares and densities.
func thingOf(h protocols.HandOver) string {
	thing, _ := h.Unit.Dimension().CountOf()
	return thing
}

func genus(species string) string {
	first, _, _ := strings.Cut(species, " ")
	return first
}

func (l *Lineage) link(child *Lot, p calc.Parent) {
	link := &Link{Code: p.Batch, Parent: l.byCode[p.Batch], Child: child, Revision: p.Revision, Carries: CarriesLine}
	for _, v := range child.of.Sheet.Settings {
		if id, ok := p.Gave[v.Setting.ID]; ok {
			link.Gave = append(link.Gave, Given{v.Setting.ID, id, v.Quantity})
		}
	}
	child.Parents = append(child.Parents, link)
	if link.Parent == nil {
		l.find(child, protocols.Error, "parent-not-collected", fmt.Sprintf("it starts from %s, which is not collected", p.Batch),
			fmt.Sprintf("collect the workbook of %s into this log; until then its ancestors are not known", p.Batch))
		return
	}
	link.Carries = carried(link)
	link.Parent.Children = append(link.Parent.Children, link)
	l.checkLink(link)
}

// carried works out what a link passes on: from a spawning either the offspring or the
// parents, by what was given, or else by what the child's protocol takes.
func carried(link *Link) Carry {
	parent, child := link.Parent, link.Child
	if parent.Group == Supply || child.Founding != nil || genus(parent.Species) != genus(child.Species) {
		return CarriesOther
	}
	var taken []string
	for _, g := range link.Gave {
		taken = append(taken, g.HandedOver)
	}
	if len(taken) == 0 {
		for _, s := range child.of.Sheet.Protocol.Settings {
			taken = append(taken, s.Handed)
		}
	}
	things := map[string]bool{}
	for _, h := range parent.of.Sheet.Protocol.HandsOver {
		if slices.Contains(taken, h.ID) {
			things[thingOf(h)] = true
		}
	}
	young := things["egg"] || things["larva"] || things["spat"]
	switch {
	case len(link.Gave) > 0 && !young && !things["animal"]:
		return CarriesOther // a share, a density, plates
	case parent.Spawning == nil || young:
		return CarriesLine
	case things["animal"] || child.Spawning != nil: // what spawns next can only be the parents
		return CarriesStock
	}
	return CarriesLine
}

func (l *Lineage) checkLink(link *Link) {
	parent, child := link.Parent, link.Child
	switch {
	case parent.Revision > link.Revision:
		l.find(child, protocols.Warning, "parent-revised",
			fmt.Sprintf("it was planned from revision %d of %s, which is at revision %d now%s", link.Revision, parent.Batch, parent.Revision, changedSince(link)),
			"see whether the correction changes this batch; write it on the paper under Remarks, and plan anew if the work is not done yet")
	case parent.Revision < link.Revision:
		l.find(child, protocols.Error, "parent-revision-missing",
			fmt.Sprintf("it was planned from revision %d of %s, but this log has %d only", link.Revision, parent.Batch, parent.Revision),
			fmt.Sprintf("collect the corrected workbook of %s, or look whether two logs are in use", parent.Batch))
	}
	if parent.Start.After(child.Start) {
		l.find(child, protocols.Warning, "parent-later",
			fmt.Sprintf("it starts on %s, before its parent %s on %s", day(child.Start), parent.Batch, day(parent.Start)),
			"check the dates of both plans, and that the parent's code is right")
	}
}

// changedSince tells numbers handed over that read otherwise now.
func changedSince(link *Link) string {
	text := ""
	for _, g := range link.Gave {
		i := slices.IndexFunc(link.Parent.Counts, func(c Count) bool { return c.ID == g.HandedOver })
		if i < 0 {
			continue
		}
		now := link.Parent.Counts[i]
		given := g.Value.Value()
		if now.Unit == g.Value.Unit().Symbol() && (now.Number < given*(1-1e-6) || now.Number >= given*(1+1e-6)+1) {
			text += fmt.Sprintf("; %s: %s then, %s now", now.Label, quantity.FormatNumber(given, 6), quantity.FormatNumber(now.Number, 6))
		}
	}
	return text
}

func (l *Lineage) find(at *Lot, level protocols.Level, code, says, remedy string) {
	l.Findings = append(l.Findings, season.Finding{Batch: at.Batch, Finding: check.Finding{Level: level, Code: code, Says: says, Remedy: remedy}})
}

func day(t time.Time) string { return t.Format("2006-01-02") }

// refuseCircles follows every link back, supplies too.
func (l *Lineage) refuseCircles() error {
	const open, done = 1, 2
	state := map[*Lot]int{}
	var path []string
	var visit func(lot *Lot) error
	visit = func(lot *Lot) error {
		path = append(path, lot.Batch)
		defer func() { path = path[:len(path)-1] }()
		switch state[lot] {
		case done:
			return nil
		case open:
			circle := path[slices.Index(path, lot.Batch):]
			return fmt.Errorf("%w: %s; one of these plans names a wrong parent: plan it anew and collect it with a reason", ErrCircle, strings.Join(circle, " from "))
		}
		state[lot] = open
		for _, link := range lot.Parents {
			if link.Parent != nil {
				if err := visit(link.Parent); err != nil {
					return err
				}
			}
		}
		state[lot] = done
		return nil
	}
	for _, lot := range l.Lots {
		if err := visit(lot); err != nil {
			return err
		}
	}
	return nil
}

// order puts parents first where a batch and its parent start at the same time.
func (l *Lineage) order() {
	depths := map[*Lot]int{}
	var depth func(lot *Lot) int
	depth = func(lot *Lot) int {
		d, known := depths[lot]
		if !known {
			for _, link := range lot.Parents {
				if link.Parent != nil {
					d = max(d, depth(link.Parent)+1)
				}
			}
			depths[lot] = d
		}
		return d
	}
	earlier := func(a, b *Lot) int {
		if c := a.Start.Compare(b.Start); c != 0 {
			return c
		}
		return cmp.Or(depth(a)-depth(b), strings.Compare(a.Batch, b.Batch))
	}
	slices.SortFunc(l.Lots, earlier)
	for _, lot := range l.Lots {
		slices.SortStableFunc(lot.Children, func(a, b *Link) int { return earlier(a.Child, b.Child) })
	}
}

// lotCode finds batch codes in what people wrote: "KS-26-05 pool A".
var lotCode = regexp.MustCompile(`[A-Z0-9]+(?:-[A-Z0-9]+)+`)

func (l *Lineage) lotNamedIn(text string) *Lot {
	for _, code := range lotCode.FindAllString(text, -1) {
		if lot, ok := l.byCode[code]; ok {
			return lot
		}
	}
	return nil
}
