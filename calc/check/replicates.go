package check

import (
	"fmt"

	"spatsheet/calc"
	"spatsheet/calc/counts"
	"spatsheet/protocols"
)

// fewestReplicates is the number of subsamples from which their spread says something:
// chance alone passes the limit in 5 % of pairs (see counts.ReplicateSpread).
const fewestReplicates = 3

// replicates tells counts of equal subsamples that differ by more than counting explains:
// the vessel was not stirred, or one count is a slip.
func (r *reader) replicates(k *facts) {
	for i := range r.sheet.Steps {
		for t := range r.sheet.Steps[i].Tables {
			table := r.sheet.Steps[i].Tables[t].Definition
			for c := range table.Columns {
				if table.Columns[c].Replicates {
					r.spread(k, table, &table.Columns[c])
				}
			}
		}
	}
}

func (r *reader) spread(k *facts, table *protocols.Table, column *protocols.Entry) {
	var numbers []int
	var last *calc.Reading
	for i, b := range k.boxes {
		if b.Table != table || k.readings[i].State != calc.Given {
			continue
		}
		if b.Entry == column {
			numbers = append(numbers, int(k.readings[i].Number))
			last = &k.readings[i]
		}
	}
	if len(numbers) < fewestReplicates || !k.equalSubsamples(table, column) {
		return
	}
	s, err := counts.ReplicateSpread(numbers)
	if err != nil || !s.BadlyMixed { // a count out of range has its own finding
		return
	}
	r.find(last, protocols.Warning, "spread",
		fmt.Sprintf("the counts of %q spread more than counting explains: coefficient of variation %.0f %%, a stirred "+
			"vessel gives about %.0f %%", table.Title, s.CVPercent, s.PoissonCVPercent),
		"stir and count again if there is still time; otherwise treat the total as uncertain")
}

// equalSubsamples says whether every other number of the rows (the subsample's volume) is
// the same in all rows; only then can the counts be compared as they are.
func (k *facts) equalSubsamples(table *protocols.Table, column *protocols.Entry) bool {
	first := map[*protocols.Entry]float64{}
	for i, b := range k.boxes {
		if b.Table != table || b.Entry == column || b.Entry.Kind != protocols.KindNumber || k.readings[i].State != calc.Given {
			continue
		}
		if x, seen := first[b.Entry]; seen && x != k.readings[i].Number {
			return false
		}
		first[b.Entry] = k.readings[i].Number
	}
	return true
}
