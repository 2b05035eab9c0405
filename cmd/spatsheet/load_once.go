package main

import (
	"sync"

	"spatsheet/calc"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

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
func (m *made[V]) of(text string, make func() (V, error)) (V, error) {
	m.mu.Lock()
	v, ok := m.byText[text]
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
	m.byText[text] = v
	return v, nil
}

var (
	loaded  made[*protocols.Protocol] // by the protocol's text
	shipped made[*protocols.Protocol] // by the name asked for
	sites   made[calc.Site]           // by the site's text
)

// loadOnce is protocols.Load for a text that may have been loaded before.
func loadOnce(name string, text []byte) (*protocols.Protocol, error) {
	return loaded.of(string(text), func() (*protocols.Protocol, error) { return protocols.Load(name, text) })
}

// shippedOnce is library.Load for a name that may have been asked for before.
func shippedOnce(ref string) (*protocols.Protocol, error) {
	return shipped.of(ref, func() (*protocols.Protocol, error) { return library.Load(ref) })
}

// keptSiteOnce is calc.ReadSite for the site text kept in a workbook or the log.
func keptSiteOnce(text []byte) (calc.Site, error) {
	return sites.of(string(text), func() (calc.Site, error) { return calc.ReadSite("the site kept in the workbook", text) })
}
