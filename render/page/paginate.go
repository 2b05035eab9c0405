package page

import (
	"fmt"

	"spatsheet/render/style"
)

// Page is a placed page.
type Page []Mark

// Room is what of a paper takes blocks, lengths in mm.
type Room struct {
	Paper     style.Paper
	FirstHead float64 // kept free at the top of the first page
	Head      float64 // of the others
	Foot      float64
}

// Paginate breaks blocks over pages, in order. Blocks that keep together go to the next page
// together, unless they fill more than a page.
//
// Error: a block that is higher than a page, told by its first words.
func Paginate(room Room, blocks []Block) ([]Page, error) {
	p := &pages{room: room}
	p.turn()
	for len(blocks) > 0 {
		n := 1
		for n < len(blocks) && blocks[n-1].Keep {
			n++
		}
		if err := p.group(blocks[:n]); err != nil {
			return nil, err
		}
		blocks = blocks[n:]
	}
	return p.done, nil
}

// pages are those in the making.
type pages struct {
	room Room
	done []Page
	y    float64 // where the next block goes
}

func (p *pages) top() float64 {
	if len(p.done) == 1 {
		return p.room.Paper.Top + p.room.FirstHead
	}
	return p.room.Paper.Top + p.room.Head
}

func (p *pages) turn() {
	p.done = append(p.done, nil)
	p.y = p.top()
}

// left is the height that is free on the page.
func (p *pages) left() float64 {
	return p.room.Paper.Height - p.room.Paper.Bottom - p.room.Foot - p.y
}

func (p *pages) atTop() bool { return p.y == p.top() }

func (p *pages) group(blocks []Block) error {
	if (blocks[0].Fresh || HeightOf(blocks) > p.left()) && !p.atTop() {
		p.turn()
		p.again(blocks[0])
	}
	for i, b := range blocks {
		if b.Before+b.Height > p.left() && i > 0 {
			p.turn()
			p.again(b)
		}
		if !p.atTop() {
			p.y += b.Before
		}
		if b.Height > p.left() {
			return fmt.Errorf("%s does not fit on a page of %s; shorten the text", firstWords(b), p.room.Paper.Name)
		}
		p.put(b)
	}
	return nil
}

// again prints what a block wants to see repeated above it on a new page.
func (p *pages) again(b Block) {
	if b.Repeat != nil {
		p.put(b.Repeat())
	}
}

func (p *pages) put(b Block) {
	last := len(p.done) - 1
	for _, m := range b.Marks {
		p.done[last] = append(p.done[last], m.Moved(p.room.Paper.Left, p.y))
	}
	p.y += b.Height
}

// Draw draws a page.
func (p Page) Draw(c Canvas) {
	for _, m := range p {
		m.Draw(c)
	}
}

// LettersOf gathers what pages print; only words have letters. The faces know no others, see
// NewPDF: what else is drawn must be text of such words.
func LettersOf(pages ...Page) *style.Letters {
	letters := &style.Letters{}
	for _, p := range pages {
		for _, m := range p {
			if w, ok := m.(Words); ok {
				letters.Add(w.Text)
			}
		}
	}
	return letters
}
