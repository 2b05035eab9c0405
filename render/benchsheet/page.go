package benchsheet

import (
	"fmt"

	"spatsheet/render/style"
)

// Places in mm from the edges of the paper. Site choice.
const (
	headHeight = 18.0 // the running head of pages after the first
	footHeight = 7.0
)

// page is a placed page.
type page []mark

// pages places blocks on pages of a paper, in order.
type pages struct {
	paper style.Paper
	done  []page
	y     float64 // where the next block goes
}

func (p *pages) top() float64 {
	if len(p.done) == 1 { // the first page has the large head, a block of its own
		return p.paper.Top
	}
	return p.paper.Top + headHeight
}

func (p *pages) bottom() float64 { return p.paper.Height - p.paper.Bottom - footHeight }

func (p *pages) turn() {
	p.done = append(p.done, nil)
	p.y = p.top()
}

func (p *pages) room() float64 { return p.bottom() - p.y }

func (p *pages) atTop() bool { return p.y == p.top() }

// paginate breaks the blocks over pages. Blocks that keep together go to the next page
// together, unless they fill more than a page.
//
// Error: a block that is higher than a page, told by its first words.
func paginate(paper style.Paper, blocks []block) ([]page, error) {
	p := &pages{paper: paper}
	p.turn()
	for len(blocks) > 0 {
		n := 1
		for n < len(blocks) && blocks[n-1].keep {
			n++
		}
		if err := p.group(blocks[:n]); err != nil {
			return nil, err
		}
		blocks = blocks[n:]
	}
	return p.done, nil
}

func (p *pages) group(blocks []block) error {
	if (blocks[0].fresh || heightOf(blocks) > p.room()) && !p.atTop() {
		p.turn()
		p.again(blocks[0])
	}
	for i, b := range blocks {
		if b.before+b.height > p.room() && i > 0 {
			p.turn()
			p.again(b)
		}
		if !p.atTop() {
			p.y += b.before
		}
		if b.height > p.room() {
			return fmt.Errorf("%q does not fit on a page of %s; shorten the text", firstWords(b), p.paper.Name)
		}
		p.put(b)
	}
	return nil
}

// again prints what a block wants to see repeated above it on a new page.
func (p *pages) again(b block) {
	if b.repeat != nil {
		p.put(b.repeat())
	}
}

func (p *pages) put(b block) {
	last := len(p.done) - 1
	for _, m := range b.marks {
		p.done[last] = append(p.done[last], m.moved(p.paper.Left, p.y))
	}
	p.y += b.height
}

func heightOf(blocks []block) float64 {
	height := 0.0
	for _, b := range blocks {
		height += b.before + b.height
	}
	return height
}

func firstWords(b block) string {
	for _, m := range b.marks {
		if w, ok := m.(words); ok {
			return w.text
		}
	}
	return "a block"
}
