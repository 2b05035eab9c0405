package calc

// AmountChange is an amount that differs between two sheets; From or To is empty where a
// sheet does not have it.
type AmountChange struct{ ID, Label, From, To string }

// AmountChanges lists the amounts that differ from a to b, in the order of b and then
// those that only a has.
func AmountChanges(a, b *Sheet) []AmountChange {
	var out []AmountChange
	for _, now := range b.Amounts {
		c := AmountChange{ID: now.Definition.ID, Label: now.Definition.Label, To: now.Rounded.Format(0)}
		if before, ok := a.Amount(c.ID); ok {
			c.From = before.Rounded.Format(0)
		}
		if c.From != c.To {
			out = append(out, c)
		}
	}
	for _, before := range a.Amounts {
		if _, ok := b.Amount(before.Definition.ID); !ok {
			out = append(out, AmountChange{ID: before.Definition.ID, Label: before.Definition.Label, From: before.Rounded.Format(0)})
		}
	}
	return out
}
