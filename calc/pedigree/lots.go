package pedigree

import (
	"fmt"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

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
