package workbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
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
//	names    "entry e_females females 0\n"  kind, defined name, key or id, row; by the line
//	printed  "Start\t\n\tBatch\n"            what is printed outside the boxes; see printedText
//	sum      ...                            SHA-256 over all rows before it
//
// Texts are quoted as in Go, so that no row is taken for a formula or a number and no
// line end or blank is lost on the way through an office program. They are cut into as few
// rows as cells allow: every cell costs time when a folder of workbooks is read. Workbooks
// of before 2026-11-25 have a row for each line, a row "name" for each name, and at the end
// a row "sha256" with another way of putting the rows together.
type manifest struct {
	identity calc.Manifest
	names    []named
	printed  []printedSheet
}

// textPiece is the most bytes of text in a row: quoted they are at most four times as many,
// and a cell holds 32,767 characters.
const textPiece = 8000

func (b *book) manifestPage() {
	rows := append([][]string{{magic}}, identityRows(b.sheet)...)
	rows = append(rows, b.texts...)
	rows = append(rows, b.listRows...)
	var names bytes.Buffer
	for _, n := range b.names {
		fmt.Fprintf(&names, "%s %s %s %d\n", n.Kind, n.Name, n.Of, n.Row)
	}
	rows = append(rows, textRows("names", names.Bytes())...)
	rows = append(rows, textRows("printed", b.printedText())...)
	rows = append(rows, []string{"sum", sumOf(rows)})
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

// textRows cuts a text into rows.
func textRows(kind string, text []byte) [][]string {
	var rows [][]string
	for piece := range slices.Chunk(text, textPiece) {
		rows = append(rows, []string{kind, quoted(string(piece))})
	}
	return rows
}

// quoted also breaks up "_x", which the workbook form takes for the start of a character
// code.
func quoted(text string) string {
	return strings.ReplaceAll(strconv.Quote(text), "_x", `_\x78`)
}

// unquoted is strconv.Unquote, which takes a letter at a time; here what stands between
// two escapes is taken whole.
func unquoted(text string) (string, error) {
	if len(text) < 2 || text[0] != '"' || text[len(text)-1] != '"' {
		return "", strconv.ErrSyntax
	}
	rest := text[1 : len(text)-1]
	var out strings.Builder
	out.Grow(len(rest))
	for {
		plain, _, escaped := strings.Cut(rest, `\`)
		if strings.ContainsAny(plain, "\"\n") {
			return "", strconv.ErrSyntax
		}
		out.WriteString(plain)
		if !escaped {
			return out.String(), nil
		}
		letter, whole, after, err := strconv.UnquoteChar(rest[len(plain):], '"')
		if err != nil {
			return "", err
		}
		if whole {
			out.WriteRune(letter)
		} else {
			out.WriteByte(byte(letter))
		}
		rest = after
	}
}

// sumOf digests rows; blank cells at the end of a row do not count.
func sumOf(rows [][]string) string {
	h := sha256.New()
	for _, row := range rows {
		text := strings.TrimRight(strings.Join(row, "\t"), "\t")
		fmt.Fprintf(h, "%d:%s,", len(text), text)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// earlierSum is sumOf as workbooks of before 2026-11-25 have it.
func earlierSum(rows [][]string) string {
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
	above := 1 + len(identityRows(b.sheet)) + len(b.texts)
	row := above + len(b.listRows) + 1
	b.listRows = append(b.listRows, append([]string{"list"}, choices...))
	at := fmt.Sprintf("%s!$B$%d:$%s$%d", manifestSheet, row, column(1+len(choices)), row)
	b.lists[key] = at
	return at
}

// readManifest understands the rows of a manifest.
func readManifest(rows [][]string) (*manifest, error) {
	if len(rows) == 0 || len(rows[0]) == 0 || rows[0][0] != magic {
		return nil, fmt.Errorf("%w: it has no manifest; collect the workbook that was printed for the batch", ErrNotOurs)
	}
	if err := checkSum(rows); err != nil {
		return nil, err
	}
	m, texts := &manifest{}, map[string]*strings.Builder{}
	for _, row := range rows[1:] {
		if err := m.take(append(row, ""), texts); err != nil {
			return nil, err
		}
	}
	if m.identity.Format != formVersion {
		return nil, fmt.Errorf("%w of form %d: its form is %d; use the version of spatsheet that printed it, or a newer "+
			"one", ErrNotOurs, formVersion, m.identity.Format)
	}
	return m, m.takeTexts(texts)
}

// take keeps one row, which has at least two cells; pieces of a text are gathered in texts.
func (m *manifest) take(row []string, texts map[string]*strings.Builder) error {
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
	case "protocol-text", "plan", "site", "names", "printed":
		if texts[row[0]] == nil {
			texts[row[0]] = &strings.Builder{}
		}
		var piece string
		piece, err = unquoted(row[1])
		texts[row[0]].WriteString(piece)
	case "name":
		err = m.takeName(row[1])
	}
	if err != nil {
		return unreadableRow(strings.Join(row, " "))
	}
	return nil
}

func (m *manifest) takeTexts(texts map[string]*strings.Builder) error {
	whole := func(kind string) string {
		if b := texts[kind]; b != nil {
			return b.String()
		}
		return ""
	}
	m.identity.ProtocolText, m.identity.Plan, m.identity.Site = whole("protocol-text"), whole("plan"), whole("site")
	m.printed = readPrinted(whole("printed"))
	for line := range strings.Lines(whole("names")) {
		if err := m.takeName(line); err != nil {
			return unreadableRow(strings.TrimSpace(line))
		}
	}
	return nil
}

func (m *manifest) takeName(line string) error {
	words := append(strings.Fields(line), "", "", "", "")
	n := named{Kind: words[0], Name: words[1], Of: words[2]}
	var err error
	n.Row, err = strconv.Atoi(words[3])
	m.names = append(m.names, n)
	return err
}

func unreadableRow(row string) error {
	return fmt.Errorf("%w: its manifest has a row %q that cannot be read; use the workbook as it was printed", ErrDamaged, row)
}

// checkSum refuses a manifest that was edited: amounts and names could not be trusted.
func checkSum(rows [][]string) error {
	sums := map[string]func([][]string) string{"sum": sumOf, "sha256": earlierSum}
	for i := len(rows) - 1; i > 0; i-- {
		sum, ok := sums[rows[i][0]]
		if !ok {
			continue
		}
		if len(rows[i]) > 1 && rows[i][1] == sum(rows[:i]) {
			return nil
		}
		break
	}
	return fmt.Errorf("%w: its hidden manifest was changed by hand or cut short; copy the readings into a freshly printed workbook of the same plan", ErrDamaged)
}
