package protocols

import (
	"spatsheet/protocols/document"
	"spatsheet/protocols/quantity"
)

// Profile is one version of what is known of a species: values that protocols ask for by
// the name of a setting, such as larval_days, each with its source.
type Profile struct {
	ID      string
	Version string
	Species string // genus and species
	Title   string
	Values  []ProfileValue
	Sources []Source
	Changes []Change
	Digest  string // SHA-256 of the profile's text, in hex
	Text    []byte
}

// Ref names the profile and version, such as "patella-aspera@1.0.0".
func (p *Profile) Ref() string { return p.ID + "@" + p.Version }

// ProfileValue is one value of a profile.
type ProfileValue struct {
	ID       string
	Label    string
	Quantity quantity.Quantity
	Source   string // a source id, "common practice" or "site choice"
	Note     string
}

// Value finds a value by id.
func (p *Profile) Value(id string) (ProfileValue, bool) {
	for _, v := range p.Values {
		if v.ID == id {
			return v, true
		}
	}
	return ProfileValue{}, false
}

// LoadProfile reads one species profile; name is its file's name for messages.
//
// The error is of type document.Faults and tells every fault with file:line:column.
func LoadProfile(name string, text []byte) (*Profile, error) {
	d, err := document.Parse(name, text)
	if err != nil {
		return nil, err
	}
	l := &loader{p: &Protocol{}, nodes: map[string]document.Node{}}
	f := d.Root().Fields(keysOf["profile"]...)
	p := &Profile{
		ID:      l.matching(f.Need("profile"), idPattern, "small letters, digits and hyphens, such as patella-aspera"),
		Version: l.matching(f.Need("version"), versionPattern, "three numbers with dots, such as 1.0.0"),
		Species: f.Need("species").Text(), Title: f.Need("title").Text(), Text: text,
	}
	l.provenance(f)
	for _, n := range f.Need("values").List() {
		p.Values = append(p.Values, l.profileValue(n))
	}
	p.Sources, p.Changes = l.p.Sources, l.p.Changes
	p.Digest = DigestOf(text)
	return p, d.Err()
}

func (l *loader) profileValue(n document.Node) ProfileValue {
	f := n.Fields(keysOf["value"]...)
	v := ProfileValue{
		ID:    l.matching(f.Need("id"), namePattern, "the name of a setting, such as larval_days"),
		Label: f.Need("label").Text(), Source: l.source(f.Need("source")), Note: f.Get("note").Text(),
	}
	l.declare(f.Get("id"), v.ID)
	if text := f.Need("value").Text(); text != "" {
		q, err := quantity.Parse(text)
		if err != nil {
			f.Get("value").Fault("%s", err)
		}
		v.Quantity = q
	}
	return v
}
