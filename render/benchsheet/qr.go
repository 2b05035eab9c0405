package benchsheet

import (
	"spatsheet/calc"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

// newCode makes the sheet's QR code: batch code, a blank, digest.
func newCode(s *calc.Sheet) (page.Code, error) {
	q, err := style.CodeOf(s.Plan.Batch + " " + s.Digest)
	return page.Code{Code: q}, err
}
