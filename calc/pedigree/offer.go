package pedigree

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"spatsheet/calc/season"
	"spatsheet/protocols"
	"spatsheet/protocols/quantity"
)

// Offer is what a batch has for a setting of another one.
type Offer struct {
	Left quantity.Quantity
	Note string // what others took of it, in brackets; empty for nothing
}

// ErrNothingLeft is told where others have taken all of what a batch handed over.
var ErrNothingLeft = errors.New("nothing is left")

// Offered finds what a batch has left for a setting of a batch that is planned, whose code
// is not counted among those that took of it; ok is false when it has nothing of the kind, or
// a reading is missing.
//
// Animals are not used up: those that spawned may spawn again. All else counted is what was
// handed over less what others took, whole where the setting must be.
// Error: ErrNothingLeft; a hand-over that is no finite number, or in another unit.
// Source: arithmetic; that broodstock may spawn again is common practice.
func (l *Lineage) Offered(parent season.Batch, s *protocols.Setting, planned string) (o Offer, ok bool, err error) {
	for _, h := range season.HandsOver(parent) {
		if h.ID != s.Handed {
			continue
		}
		if h.Err != nil || !h.Has {
			return o, false, h.Err
		}
		unit, err := quantity.ParseUnit(h.Unit)
		if err != nil {
			return o, false, err
		}
		rest := h.Number
		taken := l.TakenFrom(parent.Sheet.Plan.Batch, h.ID, planned)
		thing, count := unit.Dimension().CountOf()
		if count && thing != "animal" && taken.Number > 0 {
			rest -= taken.Number
			o.Note = fmt.Sprintf(" (of %s %s; %s to %s)", quantity.FormatNumber(h.Number, 0), h.Unit,
				quantity.FormatNumber(taken.Number, 0), strings.Join(taken.By, " and "))
		}
		if count && rest < 1 {
			return o, false, fmt.Errorf("%w%s", ErrNothingLeft, o.Note)
		}
		o.Left, err = inSetting(rest, unit, s)
		return o, err == nil, err
	}
	return o, false, nil
}

// countDust is what a count worked out in binary may lack of a whole number.
const countDust = 1e-9

// inSetting gives a number in a setting's unit, whole where it must be.
func inSetting(x float64, unit quantity.Unit, s *protocols.Setting) (quantity.Quantity, error) {
	q, err := quantity.New(x, unit)
	if err != nil {
		return q, err
	}
	if q, err = q.In(s.Unit); err == nil && s.Whole {
		q, err = quantity.New(math.Floor(q.Value()+countDust), s.Unit)
	}
	return q, err
}
