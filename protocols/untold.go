package protocols

import (
	"slices"
	"strings"
)

// Untold is a part that a protocol of the same stage tells the season, and another does not.
type Untold struct {
	Part string // release.lost; a topic, such as release, where none of it is told
	Ref  string // the protocol that tells it
	By   string // what it tells it by; of a topic its parts
}

// Untold lists what others of p's stage tell the season and p does not, each once, in the
// order of the others. The others' own versions count too, p itself does not.
func (p *Protocol) Untold(others []*Protocol) []Untold {
	var out []Untold
	for _, o := range others {
		if o.Stage != p.Stage || o.Ref() == p.Ref() {
			continue
		}
		for _, d := range o.Tells.Declared {
			u := Untold{d.Part, o.Ref(), d.By}
			topic, part, _ := strings.Cut(d.Part, ".")
			if !slices.Contains(p.Topics(), topic) {
				u.Part, u.By = topic, part
			} else if slices.ContainsFunc(p.Tells.Declared, func(own Declaration) bool { return own.Part == d.Part }) {
				continue
			}
			i := slices.IndexFunc(out, func(x Untold) bool { return x.Part == u.Part })
			switch {
			case i < 0:
				out = append(out, u)
			case u.Part == topic && out[i].Ref == u.Ref && !slices.Contains(strings.Split(out[i].By, ", "), part):
				out[i].By += ", " + part
			}
		}
	}
	return out
}

// Topics lists what a protocol tells the season of, such as release, in the order of Tells.
func (p *Protocol) Topics() []string {
	var out []string
	for _, d := range p.Tells.Declared {
		if topic, _, _ := strings.Cut(d.Part, "."); !slices.Contains(out, topic) {
			out = append(out, topic)
		}
	}
	return out
}
