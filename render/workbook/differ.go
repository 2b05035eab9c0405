package workbook

import "spatsheet/calc"

// mostCompared bounds the work of comparing a sheet that is nothing like the printed one:
// cells printed times cells found, between the first difference and the last. Site choice.
const mostCompared = 4_000_000

// compared tells how a sheet differs from what was printed on it. Rows and columns may have
// been inserted: only the order of the texts counts.
func compared(tab string, printed []string, found []foundCell) []calc.Change {
	for len(printed) > 0 && len(found) > 0 && printed[0] == found[0].compared {
		printed, found = printed[1:], found[1:]
	}
	for len(printed) > 0 && len(found) > 0 && printed[len(printed)-1] == found[len(found)-1].compared {
		printed, found = printed[:len(printed)-1], found[:len(found)-1]
	}
	if len(printed)*len(found) > mostCompared {
		return differences(tab, printed, found)
	}
	return aligned(tab, printed, found)
}

// aligned pairs the texts that both have, as many as can be in order (the longest common
// subsequence), and tells what stands between them.
func aligned(tab string, printed []string, found []foundCell) []calc.Change {
	width := len(found) + 1
	length := make([]int32, (len(printed)+1)*width)
	for i := len(printed) - 1; i >= 0; i-- {
		for k := len(found) - 1; k >= 0; k-- {
			if printed[i] == found[k].compared {
				length[i*width+k] = length[(i+1)*width+k+1] + 1
				continue
			}
			length[i*width+k] = max(length[(i+1)*width+k], length[i*width+k+1])
		}
	}
	var out []calc.Change
	i, k := 0, 0
	firstI, firstK := 0, 0
	for i < len(printed) || k < len(found) {
		switch {
		case i < len(printed) && k < len(found) && printed[i] == found[k].compared:
			out = append(out, differences(tab, printed[firstI:i], found[firstK:k])...)
			i, k = i+1, k+1
			firstI, firstK = i, k
		case k == len(found) || i < len(printed) && length[(i+1)*width+k] >= length[i*width+k+1]:
			i++
		default:
			k++
		}
	}
	return append(out, differences(tab, printed[firstI:], found[firstK:])...)
}

// differences tells texts that stand between two that are as printed: as many as there
// were are changed, in order, those over were typed, those short are gone.
func differences(tab string, printed []string, found []foundCell) []calc.Change {
	var out []calc.Change
	for n := range max(len(printed), len(found)) {
		switch {
		case n >= len(printed):
			out = append(out, calc.Change{Kind: calc.TypedOutside, Cell: found[n].cell(tab)})
		case n >= len(found):
			out = append(out, calc.Change{Kind: calc.PrintedGone, Cell: calc.Cell{Sheet: tab}, Was: printed[n]})
		default:
			out = append(out, calc.Change{Kind: calc.PrintedChanged, Cell: found[n].cell(tab), Was: printed[n]})
		}
	}
	return out
}
