package quantity

import (
	"errors"
	"fmt"
)

// The kinds of refusal, to be told apart with errors.Is.
var (
	ErrDimension = errors.New("dimensions do not fit") // like added to unlike
	ErrUnit      = errors.New("unknown unit")          // a unit that cannot be read
	ErrNumber    = errors.New("not a usable number")   // a number that cannot be read or kept
)

// refusal is an error with its own words that still answers to its kind.
type refusal struct {
	words string
	kind  error
}

func (r *refusal) Error() string { return r.words }
func (r *refusal) Unwrap() error { return r.kind }

func refuse(format string, args ...any) error {
	return &refusal{fmt.Sprintf(format, args...), ErrDimension}
}

func badUnit(format string, args ...any) error {
	return &refusal{fmt.Sprintf(format, args...), ErrUnit}
}

func badNumber(format string, args ...any) error {
	return &refusal{fmt.Sprintf(format, args...), ErrNumber}
}
