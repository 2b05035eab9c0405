package calc

import "spatsheet/protocols"

// Settled tells which settings have a value before a plan is complete, by the precedence of
// Scale, and which nobody has given one.
//
// Both in the protocol's order; a setting whose value Scale would refuse is in neither.
// Range: every plan that ReadPlan takes.
// Source: site choice.
func Settled(p *protocols.Protocol, site Site, plan Plan) (settled []Value, lacking []*protocols.Setting) {
	for i := range p.Settings {
		s := &p.Settings[i]
		v, err := resolveOne(s, site, plan)
		if err == nil {
			settled = append(settled, v)
			continue
		}
		written := false
		for _, by := range []map[string]Written{plan.Settings, site.Settings, plan.Values} {
			_, ok := by[s.ID]
			written = written || ok
		}
		if !written {
			lacking = append(lacking, s)
		}
	}
	return settled, lacking
}
