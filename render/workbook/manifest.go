package workbook

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"spatsheet/calc"
)

const (
	manifestSheet = "_manifest"
	formVersion   = 1
	magic         = "spatsheet workbook"
)

// A manifest is rows of text cells, told apart by their first cell:
//
//	spatsheet workbook                      the first row
//	format   1
//	batch    KS-26-01                       and so on: protocol, protocol-sha256, digest
//	protocol-text  "protocol: ...\n"        the protocol's text, a quoted piece in each row
//	plan     "batch: KS-26-01\n"            the plan's text
//	site     "site: ...\n"                  the site's text
//	list     clean  ciliates  ...           choices too long for a validation
//	name     entry e_females females 0      kind, defined name, key or id, row
//	sha256   ...                            over all rows before it
//
// Texts are quoted as in Go, so that no row is taken for a formula or a number and no
// line end or blank is lost on the way through an office program.
type manifest struct {
	identity calc.Manifest
	names    []named
}

// textPiece is the most bytes of text in a row; a cell holds 32,767 characters.
const textPiece = 4000

func (b *book) manifestPage() {
	rows := append([][]string{{magic}}, identityRows(b.sheet)...)
	rows = append(rows, keptTexts(b.sheet)...)
	rows = append(rows, b.listRows...)
	for _, n := range b.names {
		rows = append(rows, []string{"name", fmt.Sprintf("%s %s %s %d", n.Kind, n.Name, n.Of, n.Row)})
	}
	rows = append(rows, []string{"sha256", sumOf(rows)})
	widest := 1
	for r, row := range rows {
		widest = max(widest, len(row))
		for c, text := range row {
			b.try(b.file.SetCellStr(manifestSheet, column(c+1)+strconv.Itoa(r+1), text))
		}
	}
	b.try(b.file.SetSheetDimension(manifestSheet, "A1:"+column(widest)+strconv.Itoa(len(rows))))
	b.try(b.file.ProtectSheet(manifestSheet, &excelize.SheetProtectionOptions{SelectLockedCells: true}))
	b.try(b.file.SetSheetVisible(manifestSheet, false, true))
}

func identityRows(s *calc.Sheet) [][]string {
	return [][]string{
		{"format", strconv.Itoa(formVersion)},
		{"batch", s.Plan.Batch},
		{"protocol", s.Protocol.Ref()},
		{"protocol-sha256", s.Protocol.Digest},
		{"digest", s.Digest},
	}
}

// keptTexts are the texts that the sheet is computed from, so that a workbook can be
// checked years later by the version it was printed from.
func keptTexts(s *calc.Sheet) [][]string {
	rows := textRows("protocol-text", s.Protocol.Text)
	rows = append(rows, textRows("plan", s.Plan.Text)...)
	return append(rows, textRows("site", s.Site.Text)...)
}

// textRows cuts a text at line ends, and longer lines into pieces.
func textRows(kind string, text []byte) [][]string {
	var rows [][]string
	for _, line := range strings.SplitAfter(string(text), "\n") {
		for len(line) > 0 {
			n := min(len(line), textPiece)
			rows = append(rows, []string{kind, quoted(line[:n])})
			line = line[n:]
		}
	}
	return rows
}

// quoted also breaks up "_x", which the workbook form takes for the start of a character
// code.
func quoted(text string) string {
	return strings.ReplaceAll(strconv.Quote(text), "_x", `_\x78`)
}

// sumOf digests rows; blank cells at the end of a row do not count.
func sumOf(rows [][]string) string {
	h := sha256.New()
	for _, row := range rows {
		fmt.Fprintf(h, "%q\n", strings.TrimRight(strings.Join(row, "\t"), "\t"))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// listRange keeps choices in the manifest and gives their place. The rows of lists stand
// where manifestPage will write them: after the identity and the texts.
func (b *book) listRange(choices []string) string {
	key := strings.Join(choices, "\t")
	if at, ok := b.lists[key]; ok {
		return at
	}
	above := 1 + len(identityRows(b.sheet)) + len(keptTexts(b.sheet))
	row := above + len(b.listRows) + 1
	b.listRows = append(b.listRows, append([]string{"list"}, choices...))
	at := fmt.Sprintf("%s!$B$%d:$%s$%d", manifestSheet, row, column(1+len(choices)), row)
	b.lists[key] = at
	return at
}

// readManifest understands the rows of a manifest.
func readManifest(rows [][]string) (*manifest, error) {
	if len(rows) == 0 || len(rows[0]) == 0 || rows[0][0] != magic {
		return nil, fmt.Errorf("%w: it has no manifest; collect the workbook that `spatsheet print` made for the batch", ErrNotOurs)
	}
	if err := checkSum(rows); err != nil {
		return nil, err
	}
	m := &manifest{}
	for _, row := range rows[1:] {
		if err := m.take(append(row, "")); err != nil {
			return nil, err
		}
	}
	if m.identity.Format != formVersion {
		return nil, fmt.Errorf("%w of form %d: its form is %d; use the version of spatsheet that printed it, or a newer one", ErrNotOurs, formVersion, m.identity.Format)
	}
	return m, nil
}

// take keeps one row, which has at least two cells.
func (m *manifest) take(row []string) error {
	var err error
	switch id := &m.identity; row[0] {
	case "format":
		id.Format, err = strconv.Atoi(row[1])
	case "batch":
		id.Batch = row[1]
	case "protocol":
		id.Protocol = row[1]
	case "protocol-sha256":
		id.ProtocolDigest = row[1]
	case "digest":
		id.Digest = row[1]
	case "protocol-text":
		err = unquote(row[1], &id.ProtocolText)
	case "plan":
		err = unquote(row[1], &id.Plan)
	case "site":
		err = unquote(row[1], &id.Site)
	case "name":
		words := append(strings.Fields(row[1]), "", "", "", "")
		n := named{Kind: words[0], Name: words[1], Of: words[2]}
		n.Row, err = strconv.Atoi(words[3])
		m.names = append(m.names, n)
	}
	if err != nil {
		return fmt.Errorf("%w: its manifest has a row %q that cannot be read; use the workbook as it was printed", ErrDamaged, strings.Join(row, " "))
	}
	return nil
}

// unquote adds a quoted piece to a text.
func unquote(piece string, text *string) error {
	plain, err := strconv.Unquote(piece)
	*text += plain
	return err
}

// checkSum refuses a manifest that was edited: amounts and names could not be trusted.
func checkSum(rows [][]string) error {
	for i := len(rows) - 1; i > 0; i-- {
		if len(rows[i]) > 1 && rows[i][0] == "sha256" {
			if rows[i][1] == sumOf(rows[:i]) {
				return nil
			}
			break
		}
	}
	return fmt.Errorf("%w: its hidden manifest was changed by hand or cut short; copy the readings into a freshly printed workbook of the same plan", ErrDamaged)
}
