package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"
)

// manifestWays change the identity that a workbook carries, or mix batches up.
var manifestWays = []way{
	{"the batch code edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { rows[2][1] = "EX-7" }, false).refusing()
	}},
	{"a digit of the plan edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, "plan") }, false).refusing()
	}},
	{"a digit of the site edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, "site") }, false).refusing()
	}},
	{"a digit of the protocol edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, "protocol-text") }, false).refusing()
	}},
	{"a digit of a digest edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, oneOf(b, "digest", "protocol-sha256", "sum")) }, false).refusing()
	}},
	{"a name's row edited", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, oneOf(b, "names", "printed")) }, false).refusing()
	}},
	{"a manifest row deleted", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { clear(rows[b.random.IntN(len(rows))]) }, false).refusing()
	}},
	{"the plan edited and the manifest summed again", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) { b.digitIn(rows, "plan") }, true).refusing()
	}},
	{"the batch edited everywhere and summed again", func(b *breaker) mutant {
		return b.manifestWith(func(rows [][]string) {
			rows[2][1] = "EX-7"
			for _, row := range rows {
				if row[0] == "plan" {
					row[1] = strings.Replace(row[1], b.sheet.Plan.Batch, "EX-7", 1)
				}
			}
		}, true).refusing()
	}},
	{"the manifest of another batch", func(b *breaker) mutant {
		return b.manifestOf(b.other.rowsOfManifest())
	}},
	{"the workbook of another batch under this name", func(b *breaker) mutant {
		m := one(b.other.content).good()
		m.isOther = true
		return m
	}},
	{"two copies of a batch with two values", func(b *breaker) mutant {
		x := b.box(holdsNumber)
		b.putNumber(x.cell.Sheet, x.cell.Ref, digitsOf(x.reading.Number+1))
		m := mutant{files: map[string][]byte{mutantFile: b.content, "filled-2.xlsx": b.pack()}, fresh: true}
		return m.refusing()
	}},
	{"two batches in one folder", func(b *breaker) mutant {
		return mutant{files: map[string][]byte{mutantFile: b.content, "other.xlsx": b.other.content}, fresh: true}.good()
	}},
	{"the same file twice", func(b *breaker) mutant {
		return mutant{files: map[string][]byte{mutantFile: b.content, "again.xlsx": bytes.Clone(b.content)}, fresh: true}.good()
	}},
}

func (m mutant) refusing() mutant {
	m.refuse = true
	return m
}

const manifestTab = "_manifest"

var manifestCell = regexp.MustCompile(`<c r="([A-Z]+)(\d+)"[^>]* t="s"><v>(\d+)</v></c>`)

// rowsOfManifest reads the hidden sheet by itself.
func (s *subject) rowsOfManifest() [][]string {
	items := sharedItem.FindAllStringSubmatch(s.parts[sharedStrings], -1)
	var rows [][]string
	for _, m := range manifestCell.FindAllStringSubmatch(s.parts[s.tabs[manifestTab]], -1) {
		n, err := strconv.Atoi(m[3])
		if err != nil {
			panic(err)
		}
		if m[1] == "A" {
			rows = append(rows, nil)
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], html.UnescapeString(items[n][1]))
	}
	return rows
}

// manifestWith changes the rows of the manifest; summed makes its checksum fit again.
func (b *breaker) manifestWith(change func(rows [][]string), summed bool) mutant {
	rows := b.rowsOfManifest()
	change(rows)
	if summed {
		last := len(rows) - 1
		h := sha256.New()
		for _, row := range rows[:last] {
			text := strings.TrimRight(strings.Join(row, "\t"), "\t")
			fmt.Fprintf(h, "%d:%s,", len(text), text)
		}
		rows[last][1] = hex.EncodeToString(h.Sum(nil))
	}
	return b.manifestOf(rows)
}

// manifestOf writes rows as the hidden sheet.
func (b *breaker) manifestOf(rows [][]string) mutant {
	var xml strings.Builder
	xml.WriteString(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`)
	for r, row := range rows {
		fmt.Fprintf(&xml, `<row r="%d">`, r+1)
		for c, text := range row {
			ref := fmt.Sprintf("%c%d", 'A'+c, r+1)
			xml.WriteString(cellXML(ref, "", "inlineStr", "<is><t>"+html.EscapeString(text)+"</t></is>"))
		}
		xml.WriteString("</row>")
	}
	xml.WriteString("</sheetData></worksheet>")
	b.set(b.tabs[manifestTab], xml.String())
	return b.mutant()
}

// digitIn changes one digit in a row of a kind.
func (b *breaker) digitIn(rows [][]string, kind string) {
	var with [][]string
	for _, row := range rows {
		if row[0] == kind && strings.ContainsAny(row[1], "0123456789") {
			with = append(with, row)
		}
	}
	row := with[b.random.IntN(len(with))]
	digits := regexp.MustCompile(`\d`).FindAllStringIndex(row[1], -1)
	at := digits[b.random.IntN(len(digits))][0]
	row[1] = row[1][:at] + string('0'+(row[1][at]-'0'+1+byte(b.random.IntN(9)))%10) + row[1][at+1:]
}
