package pedigree

import (
	"fmt"
	"regexp"

	"spatsheet/protocols"
)

// register takes in the animals of a lot's register. An animal may stand in a later
// register again; two animals of one code may not.
func (l *Lineage) register(lot *Lot) {
	r := newRecord(lot.of)
	here := map[string]bool{}
	for i, t := 1, r.tells.Register; t != nil; i++ {
		if _, there := r.row(t.Animal, i); !there {
			break
		}
		a := &Animal{Code: r.rowText(t.Animal, i), Cohort: r.rowText(t.Cohort, i), Sex: r.rowText(t.Sex, i), Lot: lot}
		if a.Code == "" {
			continue
		}
		if here[a.Code] {
			l.find(lot, protocols.Error, "code-twice", fmt.Sprintf("the code %s stands twice in the register", a.Code),
				"give each animal a code of its own, and say which crosses were whose")
			continue
		}
		here[a.Code] = true
		lot.Animals = append(lot.Animals, l.enter(lot, a))
	}
	l.fates(r)
}

func (l *Lineage) fates(r record) {
	t := r.tells.Fates
	for i := 1; t != nil; i++ {
		if _, there := r.row(t.Animal, i); !there {
			return
		}
		if a := l.byAnimal[r.rowText(t.Animal, i)]; a != nil {
			a.Fate = r.rowText(t.Fate, i)
		}
	}
}

// enter makes an animal known, or finds it known already.
func (l *Lineage) enter(lot *Lot, a *Animal) *Animal {
	before, known := l.byAnimal[a.Code]
	if !known {
		if a.From = l.lotNamedIn(a.Cohort); a.From != nil && !descends(lot, a.From) {
			l.find(lot, protocols.Warning, "cohort-not-ancestor",
				fmt.Sprintf("animal %s is of cohort %q, but this batch does not start from %s", a.Code, a.Cohort, a.From.Batch),
				fmt.Sprintf("plan it with %s as a parent, or correct the cohort", a.From.Batch))
		}
		l.byAnimal[a.Code] = a
		l.Animals = append(l.Animals, a)
		return a
	}
	if before.Cohort != a.Cohort || !sexesAgree(before.Sex, a.Sex) {
		l.find(lot, protocols.Error, "code-twice",
			fmt.Sprintf("the code %s is that of an animal of %s (%s, %s) and of another here (%s, %s)", a.Code,
				before.Lot.Batch, before.Cohort, before.Sex, a.Cohort, a.Sex),
			"a code is never used again; give the new animal another")
		return before
	}
	if before.Sex != "F" && before.Sex != "M" {
		before.Sex = a.Sex
	}
	return before
}

// sexesAgree lets a sex not yet seen go with either.
func sexesAgree(a, b string) bool {
	seen := func(s string) bool { return s == "F" || s == "M" }
	return a == b || !seen(a) || !seen(b)
}

// lotCode finds batch codes in what people wrote: "KS-26-05 pool A".
var lotCode = regexp.MustCompile(`[A-Z0-9]+(?:-[A-Z0-9]+)+`)

func (l *Lineage) lotNamedIn(text string) *Lot {
	for _, code := range lotCode.FindAllString(text, -1) {
		if lot, ok := l.byCode[code]; ok {
			return lot
		}
	}
	return nil
}
