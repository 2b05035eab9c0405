package seasonlog

import (
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"math"
	"strconv"
	"sync"

	"spatsheet/calc"
	"spatsheet/calc/check"
)

func sha256Hex(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// tally digests a list of values in one way only: each as its length in decimal, a
// colon, its bytes and a comma, so that no two lists read alike.
type tally struct {
	hash hash.Hash
	room []byte // values on their way into the hash
}

// tallyRoom is how many bytes go into the hash at once.
const tallyRoom = 4096

func newTally() *tally { return tallies.Get().(*tally) }

// tallies are those that have given their sum.
var tallies = sync.Pool{New: func() any { return &tally{hash: sha256.New()} }}

func (t *tally) texts(values ...string) {
	for _, v := range values {
		t.text(v)
	}
}

func (t *tally) text(v string) {
	t.room = append(strconv.AppendInt(t.room, int64(len(v)), 10), ':')
	t.room = append(append(t.room, v...), ',')
	if len(t.room) >= tallyRoom {
		t.hash.Write(t.room)
		t.room = t.room[:0]
	}
}

func (t *tally) whole(values ...int) {
	for _, v := range values {
		t.text(strconv.Itoa(v))
	}
}

// number digests the bits of a number. SQLite keeps no sign on zero, so neither do we.
func (t *tally) number(v float64) {
	if v == 0 {
		v = 0 // takes minus zero to zero
	}
	t.text(strconv.FormatUint(math.Float64bits(v), 16))
}

// hex is the sum in hex; the tally is not to be used after it.
func (t *tally) hex() string {
	t.hash.Write(t.room)
	sum := hex.EncodeToString(t.hash.Sum(nil))
	t.hash.Reset()
	t.room = t.room[:0]
	tallies.Put(t)
	return sum
}

// digestReadings covers every column of every reading, in printed order.
func digestReadings(readings []calc.Reading) string {
	t := newTally()
	for i, r := range readings {
		t.whole(i + 1)
		t.texts(string(r.Key), r.Printed, string(r.State), r.Raw)
		t.number(r.Number)
		t.texts(r.Unit, r.Text, r.Sheet, r.Ref)
	}
	return t.hex()
}

// digestFindings covers every column of every finding, in the order of the check.
func digestFindings(findings []check.Finding) string {
	t := newTally()
	for i, f := range findings {
		t.whole(i + 1)
		t.texts(string(f.Level), f.Code, f.Sheet, f.Ref, string(f.Key), f.Entry, f.Raw, f.Says, f.Remedy)
	}
	return t.hex()
}

// digest covers every column of the revision but the digest itself.
func (r *Revision) digest() string {
	t := newTally()
	t.whole(r.Collected)
	t.texts(r.Batch)
	t.whole(r.Number)
	t.texts(r.Workbook, r.FileName, r.Protocol, r.ProtocolText, r.PlanText, r.SiteText, r.Sheet, r.Stage, r.Species,
		r.Start.Format(clockForm), r.CollectedAt.Format(offsetForm), r.Program, r.Reason)
	t.whole(r.Readings, r.Findings)
	t.texts(r.ReadingsDigest, r.FindingsDigest)
	return t.hex()
}
