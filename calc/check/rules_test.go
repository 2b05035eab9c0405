package check

import (
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
)

func TestOffPlanReadsForOneAndMany(t *testing.T) {
	s := sheet(t)
	for used, want := range map[float64]string{1: "1 plate used, 28 plates planned; ", 53: "53 plates used, 28 plates planned; "} {
		found := Sheet(s, filled(t, s, map[string]calc.Cell{"plates_used": number(used)})).Findings
		i := slices.IndexFunc(found, func(f Finding) bool { return f.Code == "off-plan" })
		if i < 0 || !strings.HasPrefix(found[i].Says, want) {
			t.Errorf("%v used: got %+v, want %q", used, found, want)
		}
	}
}
