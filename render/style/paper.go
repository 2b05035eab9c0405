package style

import "fmt"

// Paper is a sheet of paper upright, with the margins kept free, all in mm.
type Paper struct {
	Name                     string
	Width, Height            float64
	Left, Right, Top, Bottom float64 // margins
}

// The papers. Source: ISO 216 for A4; ANSI/ASME Y14.1 for Letter (8.5 x 11 inches of
// 25.4 mm), both from memory. The left margin leaves room for a clip or punched holes.
var papers = []Paper{
	{Name: "A4", Width: 210, Height: 297, Left: 17, Right: 13, Top: 10, Bottom: 9},
	{Name: "Letter", Width: 215.9, Height: 279.4, Left: 19, Right: 15, Top: 10, Bottom: 9},
}

// PaperOf finds a paper by name, "A4" or "Letter".
//
// Error: another name, with the two that there are.
func PaperOf(name string) (Paper, error) {
	for _, p := range papers {
		if p.Name == name {
			return p, nil
		}
	}
	return Paper{}, fmt.Errorf("there is no paper %q; write A4 or Letter", name)
}

// TextWidth is the width in mm between the side margins.
func (p Paper) TextWidth() float64 { return p.Width - p.Left - p.Right }
