package station

import (
	"slices"
	"sync"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// memory is what was made of texts, kept: a season has few protocols and sites and many
// batches, and what is made of a text does not change.
type memory struct {
	named    made[*protocols.Protocol] // by the name asked for
	profiles made[*protocols.Profile]  // by the name asked for
	shipped  made[*protocols.Protocol] // by the name asked for, of those that ship
	texts    made[*protocols.Protocol] // by the text kept in a workbook or the log
	sites    made[calc.Site]           // by the text kept in a workbook or the log
	sheets   sheetsAlike
}

// loadOnce is protocols.Load for a text that may have been loaded before.
func (m *memory) loadOnce(name string, text []byte) (*protocols.Protocol, error) {
	return m.texts.of(text, func() (*protocols.Protocol, error) { return protocols.Load(name, text, functions.All()) })
}

// shippedOnce is library.Load for a name that may have been asked for before.
func (m *memory) shippedOnce(ref string) (*protocols.Protocol, error) {
	return m.shipped.of([]byte(ref), func() (*protocols.Protocol, error) { return library.Load(ref, functions.All()) })
}

// rescale computes a sheet from texts that were kept.
func (m *memory) rescale(protocol *protocols.Protocol, planText, siteText []byte) (*calc.Sheet, error) {
	plan, err := calc.ReadPlan("the plan kept in the workbook", planText)
	if err != nil {
		return nil, err
	}
	site, err := m.sites.of(siteText, func() (calc.Site, error) { return calc.ReadSite("the site kept in the workbook", siteText) })
	if err != nil {
		return nil, err
	}
	return m.sheets.of(protocol, site, plan)
}

// made keeps what was made of a few texts: a season has few protocols and sites and many
// batches, and what is made of a text does not change. Goroutines may share it.
type made[V any] struct {
	mu     sync.Mutex
	byText map[string]V
}

// mostMade bounds what is kept, for folders of workbooks from anywhere. Site choice: several
// times what a season has.
const mostMade = 64

// of gives what was made of the text before, or makes it.
func (m *made[V]) of(text []byte, make func() (V, error)) (V, error) {
	m.mu.Lock()
	v, ok := m.byText[string(text)] // of a long text no copy is made to look it up
	m.mu.Unlock()
	if ok {
		return v, nil
	}
	v, err := make()
	if err != nil {
		return v, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.byText == nil || len(m.byText) >= mostMade {
		m.byText = map[string]V{}
	}
	m.byText[string(text)] = v
	return v, nil
}

// sheetsAlike keeps the last sheets scaled: the batches of a season are planned in few sizes, and
// what is alike in their sheets is computed once. Goroutines may share it.
type sheetsAlike struct {
	mu   sync.Mutex
	last []*calc.Sheet // the latest first
}

// mostAlike bounds the sheets kept. Site choice: each is compared with every plan.
const mostAlike = 16

// of is calc.Scale.
func (a *sheetsAlike) of(p *protocols.Protocol, site calc.Site, plan calc.Plan) (*calc.Sheet, error) {
	a.mu.Lock()
	last := a.last
	a.mu.Unlock()
	for _, s := range last {
		if sheet, ok := s.Alike(p, site, plan); ok {
			return sheet, nil
		}
	}
	sheet, err := calc.Scale(p, site, plan)
	if err != nil {
		return nil, err
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.last = slices.Insert(slices.Clone(a.last[:min(len(a.last), mostAlike-1)]), 0, sheet) // others may be reading the list
	return sheet, nil
}
