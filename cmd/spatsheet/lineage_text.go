package main

import (
	"fmt"
	"io"
	"strings"

	"spatsheet/calc/pedigree"
	"spatsheet/protocols/quantity"
)

// show prints the answer for people.
func (q asked) show(w io.Writer) {
	switch {
	case q.animal != nil:
		q.showAnimal(w)
	case q.lot != nil:
		q.showLot(w)
	default:
		q.showAll(w)
	}
	for i, c := range q.traced.Closings {
		if i == 0 {
			fmt.Fprint(w, "\nThe life cycle is closed\n")
		}
		by := ""
		if c.By != "" {
			by = ", mother " + c.By
		}
		fmt.Fprintf(w, "  %s  %s%s: %s\n", c.On.Format("2006-01-02"), c.Lot.Batch, by, c.Says)
	}
	for i, f := range q.findings() {
		if i == 0 {
			fmt.Fprint(w, "\nFindings\n")
		}
		fmt.Fprintf(w, "  %-8s %s: %s\n  %-8s → %s\n", f.Level, f.Batch, f.Says, "", f.Remedy)
	}
}

func (q asked) showLot(w io.Writer) {
	fmt.Fprintf(w, "%s  %s\n", headOf(q.traced, q.lot), q.lot.Title)
	for _, line := range detailsOf(q.lot) {
		fmt.Fprintf(w, "  %s\n", line)
	}
	fmt.Fprint(w, "\nCame from\n")
	if len(q.lot.Parents) == 0 {
		fmt.Fprintf(w, "  %s\n", rootText(q.lot))
	}
	q.showBranches(w, q.traced.Ancestors(q.lot), 1, true)
	fmt.Fprint(w, "\nWent on to\n")
	if len(q.lot.Children) == 0 {
		fmt.Fprint(w, "  nothing that is collected\n")
	}
	q.showBranches(w, q.traced.Descendants(q.lot), 1, false)
	if q.lot.Group != pedigree.Supply {
		title := "Its animals carry on"
		if q.lot.Spawning != nil {
			title = "Its offspring carry on"
		}
		showHeritage(w, title, q.traced.Heritage(q.lot))
	}
}

func rootText(lot *pedigree.Lot) string {
	switch {
	case lot.Founding != nil:
		return "the shore: " + foundingText(lot.Founding)
	case lot.Group == pedigree.Supply:
		return "no batch is named"
	}
	return "no parent batch is named in its plan; plan with --parent to keep the link"
}

// headOf is one line on a lot.
func headOf(l *pedigree.Lineage, lot *pedigree.Lot) string {
	text := fmt.Sprintf("%s  %s  %s  revision %d", lot.Batch, lot.Start.Format("2006-01-02"), lot.Protocol, lot.Revision)
	if lot.Group != pedigree.Supply {
		text += "  " + l.Heritage(lot).Generation.Says()
	}
	return text
}

// detailsOf tells what a lot's sheet says of descent.
func detailsOf(lot *pedigree.Lot) []string {
	var out []string
	if lot.Founding != nil {
		out = append(out, foundingText(lot.Founding))
		out = append(out, bagsText("bag", lot.Founding.Bags))
	}
	if lot.Spawning != nil {
		out = append(out, spawningText(lot.Spawning))
	}
	if lot.Release != nil {
		out = append(out, fmt.Sprintf("released at %s, permit %s", lot.Release.Site, lot.Release.Permit), bagsText("plot", lot.Release.Plots))
	}
	return out
}

func foundingText(f *pedigree.Founding) string {
	return fmt.Sprintf("taken at %s under permit %s", orUnknown(f.Site), orUnknown(f.Permit))
}

func orUnknown(s string) string {
	if s == "" {
		return "(not written)"
	}
	return s
}

func bagsText(word string, bags []pedigree.Bag) string {
	var parts []string
	for _, b := range bags {
		parts = append(parts, fmt.Sprintf("%s %d %s: %s", word, b.Row, orUnknown(b.Place), quantity.FormatNumber(b.Animals, 6)))
	}
	return strings.Join(parts, "; ")
}

func spawningText(s *pedigree.Spawning) string {
	text := fmt.Sprintf("%s, %s gave offspring", quantity.Counted(s.Mothers, "mother", "mothers"), quantity.Counted(s.Fathers, "father", "fathers"))
	if s.Size == 0 {
		return text + "; " + s.Note
	}
	text += ": effective size " + quantity.FormatNumber(s.Size, 3)
	if s.BySize > 0 {
		return text + fmt.Sprintf(" if all gave alike, %s by %s", quantity.FormatNumber(s.BySize, 3), s.FamiliesBy)
	}
	return text + " if all gave alike"
}

// showBranches prints a tree; back is the way to the ancestors.
func (q asked) showBranches(w io.Writer, branches []pedigree.Branch, depth int, back bool) {
	indent := strings.Repeat("  ", depth)
	for _, b := range branches {
		if b.Lot == nil {
			fmt.Fprintf(w, "%s%s  is not collected%s\n", indent, b.Link.Code, leftText(b.Link, back))
			continue
		}
		fmt.Fprintf(w, "%s%s%s\n", indent, headOf(q.traced, b.Lot), leftText(b.Link, back))
		if b.Shown {
			fmt.Fprintf(w, "%s  (see %s above)\n", indent, b.Lot.Batch)
			continue
		}
		for _, line := range detailsOf(b.Lot) {
			fmt.Fprintf(w, "%s  %s\n", indent, line)
		}
		if back && len(b.Lot.Parents) == 0 && b.Lot.Founding == nil && b.Lot.Group != pedigree.Supply {
			fmt.Fprintf(w, "%s  %s\n", indent, rootText(b.Lot))
		}
		q.showBranches(w, b.Branches, depth+1, back)
	}
}

// leftText tells what the parent of a link had left for the child to take of, and what it
// carries: said of the parent on the way back, of the child on the way forth.
func leftText(link *pedigree.Link, back bool) string {
	var parts, numbers []string
	for _, g := range link.Gave {
		numbers = append(numbers, g.Value.Format(0))
	}
	switch all := strings.Join(numbers, " and "); {
	case all == "":
	case back:
		parts = append(parts, "had "+all+" left")
	default:
		parts = append(parts, "from "+all+" left")
	}
	switch link.Carries {
	case pedigree.CarriesStock:
		parts = append(parts, "the broodstock, not its offspring")
	case pedigree.CarriesOther:
		parts = append(parts, "a supply, no animals")
	}
	if link.Parent != nil && link.Revision != link.Parent.Revision {
		parts = append(parts, fmt.Sprintf("by revision %d", link.Revision))
	}
	if len(parts) == 0 {
		return ""
	}
	return "; " + strings.Join(parts, ", ")
}

func showHeritage(w io.Writer, title string, h pedigree.Heritage) {
	fmt.Fprintf(w, "\n%s\n  generation      %s\n", title, h.Generation.Says())
	for _, f := range h.Founders {
		fmt.Fprintf(w, "  founders        %s  %s %s\n", shareText(true, f.Share), f.Lot.Batch, founderText(f))
	}
	for _, g := range h.Generations {
		fmt.Fprintf(w, "  parents of F%-3d %s\n", g.Number, generationText(g))
	}
	if h.Size > 0 {
		fmt.Fprintf(w, "  over all        effective size %s; diversity of the founders lost by chance %s\n",
			quantity.FormatNumber(h.Size, 3), shareText(true, h.Lost))
	}
	for _, note := range h.Notes {
		fmt.Fprintf(w, "  taken so        %s\n", note)
	}
}

func founderText(f pedigree.Founder) string {
	if f.Known {
		return f.Lot.Founding.Site
	}
	return "(its parents are not recorded)"
}

func generationText(g pedigree.GenerationSize) string {
	if g.Size <= 0 {
		return g.Note
	}
	var lots []string
	for i, lot := range g.Lots {
		text := lot.Batch
		if len(g.Lots) > 1 {
			text += " " + shareText(true, g.Shares[i])
		}
		lots = append(lots, text)
	}
	text := fmt.Sprintf("effective size %s (%s), inbreeding rises by %s", quantity.FormatNumber(g.Size, 3), strings.Join(lots, ", "), shareText(true, g.Rise))
	if g.Note != "" {
		text += "; " + g.Note
	}
	return text
}

func (q asked) showAnimal(w io.Writer) {
	a := q.animal
	fmt.Fprintf(w, "%s  animal of %s  sex %s  %s\n", a.Code, a.Lot.Batch, orUnknown(a.Sex), a.Fate)
	fmt.Fprintf(w, "  cohort as written: %s\n", orUnknown(a.Cohort))
	fmt.Fprint(w, "\nParents\n")
	parents := q.traced.Parentage(a)
	if len(parents) == 0 {
		fmt.Fprint(w, "  no spawning is linked: the parents are not known\n")
	}
	for _, p := range parents {
		fmt.Fprintf(w, "  %s\n", parentageText(p, len(parents)))
	}
	fmt.Fprint(w, "\nCrosses\n")
	if len(a.Crosses) == 0 {
		fmt.Fprint(w, "  none recorded\n")
	}
	for _, c := range a.Crosses {
		offspring := ""
		if c.HasOffspring {
			offspring = fmt.Sprintf(": %s %s", quantity.FormatNumber(c.Offspring, 6), c.OffspringCounted)
		}
		fmt.Fprintf(w, "  %s cross %d, %s × %s%s\n", c.Lot.Batch, c.Number, orUnknown(c.Mother), orUnknown(c.Father), offspring)
	}
	fmt.Fprint(w, "\nCame from\n")
	from, depth := a.Lot, 1
	if a.From != nil {
		from, depth = a.From, 2
		fmt.Fprintf(w, "  %s\n", headOf(q.traced, from))
	}
	q.showBranches(w, q.traced.Ancestors(from), depth, true)
	fmt.Fprint(w, "\nIts offspring may be in\n")
	shown := false
	for i, c := range a.Crosses {
		if i == 0 || a.Crosses[i-1].Lot != c.Lot {
			shown = true
			fmt.Fprintf(w, "  %s\n", headOf(q.traced, c.Lot))
			q.showBranches(w, q.traced.Descendants(c.Lot), 2, false)
		}
	}
	if !shown {
		fmt.Fprint(w, "  no batch: it stands in no cross\n")
	}
	h := q.traced.HeritageOfStock(a.Lot)
	if a.From != nil {
		h = q.traced.Heritage(a.From)
	}
	showHeritage(w, "It carries on", h)
}

func parentageText(p pedigree.Parentage, of int) string {
	if !p.Pool {
		return fmt.Sprintf("%s × %s, a cross of %s", strings.Join(p.Mothers, ", "), strings.Join(p.Fathers, ", "), p.Lot.Batch)
	}
	text := "a pool of " + p.Lot.Batch + ": any of its parents may be the one"
	if len(p.Mothers) > 0 {
		text += fmt.Sprintf("; mothers %s; fathers %s", strings.Join(p.Mothers, ", "), strings.Join(p.Fathers, ", "))
	} else if s := p.Lot.Spawning; s.Mothers > 0 && s.Fathers > 0 {
		text += fmt.Sprintf(" (%s, %s)", quantity.Counted(s.Mothers, "mother", "mothers"), quantity.Counted(s.Fathers, "father", "fathers"))
	}
	if of > 1 {
		text += "; or of another spawning in this list"
	}
	return text
}

// showAll prints every line from its beginnings.
func (q asked) showAll(w io.Writer) {
	fmt.Fprintf(w, "%s, %s in registers\n\nFrom the beginnings on\n",
		quantity.Counted(len(q.traced.Lots), "batch", "batches"), quantity.Counted(len(q.traced.Animals), "animal", "animals"))
	for _, lot := range q.traced.Lots {
		if len(lot.Parents) > 0 {
			continue
		}
		fmt.Fprintf(w, "  %s\n", headOf(q.traced, lot))
		for _, line := range detailsOf(lot) {
			fmt.Fprintf(w, "    %s\n", line)
		}
		q.showBranches(w, q.traced.Descendants(lot), 2, false)
	}
}
