package main

import (
	"encoding/json"
	"io"

	"spatsheet/calc/pedigree"
	"spatsheet/calc/season"
)

// The JSON form of a lineage: lots by code, links between codes.
type (
	lineageJSON struct {
		Asked    string           `json:"asked,omitempty"`
		Batches  []lotJSON        `json:"batches"`
		Links    []linkJSON       `json:"links"`
		Animals  []animalJSON     `json:"animals"`
		Closed   []closingJSON    `json:"closed"`
		Findings []season.Finding `json:"findings"`
	}
	lotJSON struct {
		Batch        string           `json:"batch"`
		Protocol     string           `json:"protocol"`
		Species      string           `json:"species"`
		Date         string           `json:"date"`
		Revision     int              `json:"revision"`
		Group        pedigree.Group   `json:"group"`
		HandsOver    []countJSON      `json:"hands_over"`
		Collected    *placeJSON       `json:"collected_at,omitempty"`
		Released     *placeJSON       `json:"released_at,omitempty"`
		Mothers      int              `json:"mothers,omitempty"`
		Fathers      int              `json:"fathers,omitempty"`
		Size         float64          `json:"effective_size,omitempty"`
		SizeFamilies float64          `json:"effective_size_by_families,omitempty"`
		Generation   *int             `json:"generation,omitempty"`
		AtLeast      bool             `json:"generation_at_least,omitempty"`
		Founders     []shareJSON      `json:"founders,omitempty"`
		Generations  []generationJSON `json:"generations,omitempty"`
		SizeOverAll  float64          `json:"effective_size_over_generations,omitempty"`
		Lost         float64          `json:"diversity_lost,omitempty"`
		Notes        []string         `json:"taken_so,omitempty"`
	}
	countJSON struct {
		ID     string  `json:"id"`
		Number float64 `json:"number"`
		Unit   string  `json:"unit"`
	}
	placeJSON struct {
		Site   string    `json:"site"`
		Permit string    `json:"permit"`
		Parts  []bagJSON `json:"parts"`
	}
	bagJSON struct {
		Number  int     `json:"number"`
		Place   string  `json:"place"`
		Animals float64 `json:"animals"`
	}
	shareJSON struct {
		Batch string  `json:"batch"`
		Share float64 `json:"share"`
		Known bool    `json:"from_shore"`
	}
	generationJSON struct {
		Number  int      `json:"number"`
		Batches []string `json:"batches"`
		Size    float64  `json:"effective_size,omitempty"`
		Rise    float64  `json:"inbreeding_rise,omitempty"`
		Note    string   `json:"note,omitempty"`
	}
	linkJSON struct {
		Parent    string         `json:"parent"`
		Child     string         `json:"child"`
		Revision  int            `json:"parent_revision"`
		Collected bool           `json:"parent_collected"`
		Carries   pedigree.Carry `json:"carries"`
		Gave      []givenJSON    `json:"gave"`
	}
	givenJSON struct {
		Setting    string  `json:"setting"`
		HandedOver string  `json:"handed_over"`
		Number     float64 `json:"number"`
		Unit       string  `json:"unit"`
	}
	animalJSON struct {
		Code    string          `json:"code"`
		Batch   string          `json:"register"`
		Cohort  string          `json:"cohort"`
		Sex     string          `json:"sex"`
		Fate    string          `json:"fate,omitempty"`
		Parents []parentageJSON `json:"possible_parents"`
		Crosses []crossJSON     `json:"crosses"`
	}
	parentageJSON struct {
		Batch   string   `json:"batch"`
		Pool    bool     `json:"pool"`
		Mothers []string `json:"mothers,omitempty"`
		Fathers []string `json:"fathers,omitempty"`
	}
	crossJSON struct {
		Batch     string   `json:"batch"`
		Number    int      `json:"number"`
		Mother    string   `json:"mother"`
		Father    string   `json:"father"`
		Offspring *float64 `json:"offspring,omitempty"`
		Counted   string   `json:"offspring_counted,omitempty"`
	}
	closingJSON struct {
		Batch string `json:"batch"`
		On    string `json:"on"`
		By    string `json:"mother,omitempty"`
		Says  string `json:"says"`
	}
)

// showJSON prints the answer for programs.
func (q asked) showJSON(w io.Writer) error {
	out := lineageJSON{Batches: []lotJSON{}, Links: []linkJSON{}, Animals: []animalJSON{}, Closed: []closingJSON{}, Findings: q.findings()}
	switch {
	case q.animal != nil:
		out.Asked = q.animal.Code
		out.Animals = append(out.Animals, q.animalJSON(q.animal))
	case q.lot != nil:
		out.Asked = q.lot.Batch
	}
	for _, lot := range q.lots() {
		out.Batches = append(out.Batches, q.lotJSON(lot))
		for _, link := range lot.Parents {
			out.Links = append(out.Links, linkForm(link))
		}
		if q.animal == nil {
			for _, a := range lot.Animals {
				if a.Lot == lot {
					out.Animals = append(out.Animals, q.animalJSON(a))
				}
			}
		}
	}
	for _, c := range q.traced.Closings {
		out.Closed = append(out.Closed, closingJSON{c.Lot.Batch, c.On.Format("2006-01-02"), c.By, c.Says})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

func (q asked) lotJSON(lot *pedigree.Lot) lotJSON {
	out := lotJSON{Batch: lot.Batch, Protocol: lot.Protocol, Species: lot.Species,
		Date: lot.Start.Format("2006-01-02"), Revision: lot.Revision, Group: lot.Group, HandsOver: []countJSON{}}
	for _, c := range lot.Counts {
		out.HandsOver = append(out.HandsOver, countJSON{c.ID, c.Number, c.Unit})
	}
	if f := lot.Founding; f != nil {
		out.Collected = &placeJSON{f.Site, f.Permit, bagForms(f.Bags)}
	}
	if r := lot.Release; r != nil {
		out.Released = &placeJSON{r.Site, r.Permit, bagForms(r.Plots)}
	}
	if s := lot.Spawning; s != nil {
		out.Mothers, out.Fathers, out.Size, out.SizeFamilies = s.Mothers, s.Fathers, s.Size, s.BySize
	}
	if lot.Group == pedigree.Supply {
		return out
	}
	h := q.traced.Heritage(lot)
	out.Generation, out.AtLeast, out.SizeOverAll, out.Lost, out.Notes = &h.Generation.Number, h.Generation.AtLeast, h.Size, h.Lost, h.Notes
	for _, f := range h.Founders {
		out.Founders = append(out.Founders, shareJSON{f.Lot.Batch, f.Share, f.Known})
	}
	for _, g := range h.Generations {
		form := generationJSON{Number: g.Number, Batches: []string{}, Size: g.Size, Rise: g.Rise, Note: g.Note}
		for _, lot := range g.Lots {
			form.Batches = append(form.Batches, lot.Batch)
		}
		out.Generations = append(out.Generations, form)
	}
	return out
}

func bagForms(bags []pedigree.Bag) []bagJSON {
	out := []bagJSON{}
	for _, b := range bags {
		out = append(out, bagJSON{b.Row, b.Place, b.Animals})
	}
	return out
}

func linkForm(link *pedigree.Link) linkJSON {
	out := linkJSON{Parent: link.Code, Child: link.Child.Batch, Revision: link.Revision, Collected: link.Parent != nil, Carries: link.Carries, Gave: []givenJSON{}}
	for _, g := range link.Gave {
		out.Gave = append(out.Gave, givenJSON{g.Setting, g.HandedOver, g.Value.Value(), g.Value.Unit().Symbol()})
	}
	return out
}

func (q asked) animalJSON(a *pedigree.Animal) animalJSON {
	out := animalJSON{Code: a.Code, Batch: a.Lot.Batch, Cohort: a.Cohort, Sex: a.Sex, Fate: a.Fate, Parents: []parentageJSON{}, Crosses: []crossJSON{}}
	for _, p := range q.traced.Parentage(a) {
		out.Parents = append(out.Parents, parentageJSON{p.Lot.Batch, p.Pool, p.Mothers, p.Fathers})
	}
	for _, c := range a.Crosses {
		form := crossJSON{Batch: c.Lot.Batch, Number: c.Number, Mother: c.Mother, Father: c.Father}
		if c.HasOffspring {
			n := c.Offspring
			form.Offspring, form.Counted = &n, c.OffspringCounted
		}
		out.Crosses = append(out.Crosses, form)
	}
	return out
}
