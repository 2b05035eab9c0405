package station

import (
	"errors"
	"fmt"
	"os"

	"spatsheet/calc"
	"spatsheet/calc/check"
	"spatsheet/render/workbook"
)

// Returned is a filled workbook, understood.
type Returned struct {
	Name    string
	Content []byte
	Sheet   *calc.Sheet
	Result  check.Result
}

// ReadBack is understand for a file.
func (f *Folder) ReadBack(name string) (*Returned, error) {
	content, err := os.ReadFile(name)
	if err != nil {
		return nil, ofInput(ReadFault(name, err))
	}
	return f.Understand(name, content)
}

// Understand reads a filled workbook, scales its protocol again from the plan and site that
// came with it, and checks it. Goroutines may do so at once.
func (f *Folder) Understand(name string, content []byte) (r *Returned, err error) {
	defer func() { // one file must not end the reading of a folder of them
		if trouble := recover(); trouble != nil {
			r, err = nil, ofInput(fmt.Errorf("%s: it cannot be understood (%v), which is a fault of spatsheet; report it, with the file", name, trouble))
		}
	}()
	filled, err := workbook.Read(content)
	if errors.Is(err, workbook.ErrNotOurs) {
		if other := otherKind(name); other != nil {
			return nil, other
		}
	}
	if err != nil {
		return nil, ofInput(fmt.Errorf("%s: %w", name, err))
	}
	sheet, err := f.ScaleAgain(filled.Manifest)
	if err != nil {
		return nil, ofInput(fmt.Errorf("%s: %w", name, err))
	}
	result := check.Sheet(sheet, filled)
	if shipped, err := f.shippedOnce(sheet.Protocol.Ref()); err == nil { // else the season's own
		result.Findings = append(check.OtherText(sheet, shipped), result.Findings...)
	}
	return &Returned{Name: name, Content: content, Sheet: sheet, Result: result}, nil
}

// Untouched says whether nothing is filled in.
func (r *Returned) Untouched() bool { return len(r.Result.Readings) > 0 && r.FilledBoxes() == 0 }

// FilledBoxes counts the boxes that something was typed into.
func (r *Returned) FilledBoxes() int {
	n := 0
	for _, reading := range r.Result.Readings {
		if reading.State != calc.Blank {
			n++
		}
	}
	return n
}

// ScaleAgain computes the sheet a workbook was printed from, by the protocol, plan and
// site that it carries: newer versions of a protocol change nothing for it.
func (f *Folder) ScaleAgain(m calc.Manifest) (*calc.Sheet, error) {
	protocol, err := f.loadOnce(m.Protocol+" kept in the workbook", []byte(m.ProtocolText))
	if err != nil {
		return nil, hiddenChanged(err)
	}
	sheet, err := f.rescale(protocol, []byte(m.Plan), []byte(m.Site))
	if err != nil {
		return nil, hiddenChanged(err)
	}
	if protocol.Digest != m.ProtocolDigest || sheet.Digest != m.Digest {
		return nil, fmt.Errorf("its digest %s does not fit the protocol, plan and site it carries, which give %s; the "+
			"hidden sheet was changed: copy the readings into a freshly printed workbook", m.Digest, sheet.Digest)
	}
	return sheet, nil
}

// hiddenChanged gives the remedy for texts that cannot be scaled: they could when they were
// printed.
func hiddenChanged(err error) error {
	return fmt.Errorf("%w; the hidden sheet was changed: copy the readings into a freshly printed workbook", err)
}
