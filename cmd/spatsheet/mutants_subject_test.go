package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"hash/fnv"
	"io"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/calc/example"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
	"spatsheet/render/workbook"
	"spatsheet/templates"
)

// subject is an untouched filled workbook, taken apart.
type subject struct {
	content []byte
	parts   map[string]string // the parts of the package, by name
	order   []string
	archive map[string]*zip.File
	shared  []string // the shared texts, as in XML
	sheet   *calc.Sheet
	filled  *calc.Filled
	result  check.Result
	tabs    map[string]string // the part of each sheet, by the sheet's name
	other   *subject          // another batch of the same protocol
}

// way is one way of breaking a workbook. The seed behind the breaker decides where.
type way struct {
	name   string
	change func(b *breaker) mutant
}

func allWays() []way {
	return slices.Concat(valueWays, moveWays, cellWays, nameWays, printedWays, manifestWays, packageWays, harmlessWays)
}

// mutantSubjects are small workbooks with numbers, counts, choices, dates, times, texts,
// tables, amounts and their parts.
func mutantSubjects(t *testing.T) []*subject {
	t.Helper()
	site, err := calc.ReadSite("site.yaml", templates.Site)
	needs(t, err)
	var out []*subject
	for i, ref := range []string{"diatom-culture@1.0.0", "shore-collection@1.0.0", "out-planting@1.0.0"} {
		p, err := library.Load(ref, functions.All())
		needs(t, err)
		text := examplePlan(p, nil, 0.25)
		coded := func(code string) *subject {
			return newSubject(t, p, site, bytes.Replace(text, []byte("EX-1"), fmt.Appendf(nil, "EX-%d%s", i+1, code), 1))
		}
		s := coded("A")
		s.other = coded("B")
		out = append(out, s)
	}
	return out
}

func newSubject(t *testing.T, p *protocols.Protocol, site calc.Site, planText []byte) *subject {
	t.Helper()
	plan, err := calc.ReadPlan("plan.yaml", planText)
	needs(t, err)
	sheet, err := calc.Scale(p, site, plan)
	needs(t, err)
	var blank bytes.Buffer
	needs(t, workbook.Write(&blank, sheet))
	values, err := example.Fill(sheet, nil)
	needs(t, err)
	content, err := workbook.Fill(blank.Bytes(), values)
	needs(t, err)
	s := &subject{content: content, sheet: sheet}
	s.filled, err = workbook.Read(content)
	needs(t, err)
	s.result = check.Sheet(sheet, s.filled)
	if len(s.result.Findings) > 0 {
		t.Fatalf("%s has findings before anything is broken: %v", sheet.Protocol.Ref(), s.result.Findings)
	}
	s.parts, s.order, s.archive = unpacked(t, content)
	s.tabs = tabParts(s.parts)
	for _, m := range sharedItem.FindAllStringSubmatch(s.parts[sharedStrings], -1) {
		s.shared = append(s.shared, m[1])
	}
	return s
}

func unpacked(t *testing.T, content []byte) (parts map[string]string, order []string, files map[string]*zip.File) {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	needs(t, err)
	parts, files = map[string]string{}, map[string]*zip.File{}
	for _, part := range archive.File {
		r, err := part.Open()
		needs(t, err)
		text, err := io.ReadAll(r)
		needs(t, err)
		needs(t, r.Close())
		parts[part.Name], files[part.Name] = string(text), part
		order = append(order, part.Name)
	}
	return parts, order, files
}

var (
	sheetEntry = regexp.MustCompile(`<sheet name="([^"]*)" sheetId="\d+" r:id="([^"]*)"`)
	relEntry   = regexp.MustCompile(`<Relationship Id="([^"]*)"[^>]*Target="([^"]*)"`)
	unescape   = strings.NewReplacer("&#39;", "'", "&quot;", `"`, "&lt;", "<", "&gt;", ">", "&amp;", "&")
)

// tabParts finds the part of each sheet.
func tabParts(parts map[string]string) map[string]string {
	targets := map[string]string{}
	for _, m := range relEntry.FindAllStringSubmatch(parts["xl/_rels/workbook.xml.rels"], -1) {
		targets[m[1]] = "xl/" + strings.TrimPrefix(strings.TrimPrefix(m[2], "/xl/"), "xl/")
	}
	out := map[string]string{}
	for _, m := range sheetEntry.FindAllStringSubmatch(parts["xl/workbook.xml"], -1) {
		out[unescape.Replace(m[1])] = targets[m[2]]
	}
	return out
}

// noBox is thrown by a breaker whose subject has no box of the kind that a way needs.
type noBox string

// apply breaks a subject by the seed: the first, from a random one on, that has what the
// way needs.
func (w way) apply(subjects []*subject, seed uint64) (*subject, mutant) {
	first := rand.New(rand.NewPCG(seed, seedOf(w.name))).IntN(len(subjects))
	for i := range subjects {
		s := subjects[(first+i)%len(subjects)]
		if m, ok := w.tryOn(s, seed); ok {
			return s, m
		}
	}
	panic("no subject for " + w.name)
}

func (w way) tryOn(s *subject, seed uint64) (m mutant, ok bool) {
	defer func() {
		if fault := recover(); fault != nil {
			if _, isNoBox := fault.(noBox); !isNoBox {
				panic(fault)
			}
		}
	}()
	random := rand.New(rand.NewPCG(seed, seedOf(w.name)+1))
	return w.change(&breaker{subject: s, random: random}), true
}

// breaker breaks one copy of a subject.
type breaker struct {
	*subject
	random  *rand.Rand
	changed map[string]string // parts that differ from the subject's
}

func (b *breaker) part(name string) string {
	if text, ok := b.changed[name]; ok {
		return text
	}
	return b.parts[name]
}

func (b *breaker) set(name, text string) {
	if b.changed == nil {
		b.changed = map[string]string{}
	}
	b.changed[name] = text
}

// edit changes a part by its text; a pattern that is not there is a fault of the generator.
func (b *breaker) edit(name, old, replacement string) {
	if !strings.Contains(b.part(name), old) {
		panic(fmt.Sprintf("%s holds no %q", name, old))
	}
	b.set(name, strings.Replace(b.part(name), old, replacement, 1))
}

// pack makes the workbook of the changed parts; parts with an empty text are left out.
func (b *breaker) pack() []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	more := slices.Sorted(maps.Keys(b.changed))
	more = slices.DeleteFunc(more, func(name string) bool { return slices.Contains(b.order, name) })
	for _, name := range append(slices.Clone(b.order), more...) {
		if _, isChanged := b.changed[name]; !isChanged {
			if err := w.Copy(b.archive[name]); err != nil { // as it is packed
				panic(err)
			}
		} else if text := b.part(name); text != "" {
			b.add(w, name, text)
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

func (b *breaker) add(w *zip.Writer, name, text string) {
	part, err := w.Create(name)
	if err == nil {
		_, err = io.WriteString(part, text)
	}
	if err != nil { // a buffer takes everything
		panic(err)
	}
}

func (b *breaker) mutant() mutant { return one(b.pack()) }

// target is a box with what stands in it.
type mutantBox struct {
	calc.Box
	reading calc.Reading
	cell    calc.Cell
}

func (x mutantBox) place() string { return x.cell.Sheet + "!" + x.cell.Ref }

// boxes are those that a condition holds for; they are the same for every seed.
func (b *breaker) boxes(fits func(x mutantBox) bool) []mutantBox {
	var out []mutantBox
	for i, box := range b.sheet.Boxes() {
		x := mutantBox{box, b.result.Readings[i], b.filled.Cells[box.Key]}
		if fits(x) {
			out = append(out, x)
		}
	}
	return out
}

// box picks a box; the subject must have one.
func (b *breaker) box(fits func(x mutantBox) bool) mutantBox {
	all := b.boxes(fits)
	if len(all) == 0 {
		panic(noBox("no box fits"))
	}
	return all[b.random.IntN(len(all))]
}

func given(x mutantBox) bool { return x.reading.State == calc.Given }

func holdsNumber(x mutantBox) bool {
	return given(x) && (x.Entry.Kind == protocols.KindNumber || x.Entry.Kind == protocols.KindCount)
}

func isKind(kinds ...protocols.EntryKind) func(x mutantBox) bool {
	return func(x mutantBox) bool { return given(x) && slices.Contains(kinds, x.Entry.Kind) }
}

// seedOf makes a number of a name, to give each way seeds of its own.
func seedOf(name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name))
	return h.Sum64()
}

func oneOf[T any](b *breaker, all ...T) T { return all[b.random.IntN(len(all))] }
