package schedule

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"spatsheet/calc"
)

func TestProposedCodesAreWholeWords(t *testing.T) {
	for _, c := range []struct{ root, protocol, first, second string }{
		{"S1", "shore-collection", "S1-SHORE-COLLECTION", "S1-COLLECTION-2"},
		{"S1", "diatom-culture", "S1-DIATOM-CULTURE", "S1-DIATOM-CULTURE-2"},
		{"HL-27-01", "shore-collection", "HL-27-01-COLLECTION", "HL-27-01-SHORE-2"},
		{"HL-27-01", "plate-seeding", "HL-27-01-SEEDING", "HL-27-01-SEEDING-2"},
		{"HL-27-01", "broodstock-acclimation", "HL-27-01-ACCLIMATION", "HL-27-01-BA-2"},
		{"HL-27-01", "nursery", "HL-27-01-NURSERY", "HL-27-01-NURSERY-2"},
		{"KESTREL-27-01", "settlement", "KESTREL-27-01-SETT", "KESTREL-27-01-SETT-2"},
		{"KESTREL-27-01", "larval-rearing", "KESTREL-27-01-LARVAL", "KESTREL-27-01-LR-2"},
		{"KESTREL-STACK-27-01", "f1-broodstock", "KESTREL-STACK-F1", "KESTREL-STACK-F1-2"},
	} {
		a := &arranger{codes: map[string]bool{}}
		if first, second := a.unused(c.root, c.protocol), a.unused(c.root, c.protocol); first != c.first || second != c.second {
			t.Errorf("%s, %s: got %s and %s, want %s and %s", c.root, c.protocol, first, second, c.first, c.second)
		}
	}
}

// TestProposedCodesAreCodes, of any root and protocol, and no two are the same.
func TestProposedCodesAreCodes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		root := rapid.StringMatching(`[A-Z0-9]{1,9}(-[A-Z0-9]{1,5}){0,2}`).Draw(r, "root")
		protocol := rapid.StringMatching(`[a-z0-9]{1,12}(-[a-z0-9]{1,12}){0,3}`).Draw(r, "protocol")
		a := &arranger{codes: map[string]bool{}}
		var all []string
		for range rapid.IntRange(1, 120).Draw(r, "how many") {
			code := a.unused(root[:min(20, len(root))], protocol)
			if err := calc.CheckBatchCode(code); err != nil {
				r.Fatal(err)
			}
			all = append(all, code)
		}
		if slices.Sort(all); len(slices.Compact(all)) != len(a.codes) {
			r.Errorf("codes twice: %s", strings.Join(all, " "))
		}
	})
}
