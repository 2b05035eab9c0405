package quantity

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyUnit draws a unit of at most so many factors, or of none.
func anyUnit(t *rapid.T, most int) Unit {
	n := rapid.IntRange(0, most).Draw(t, "factors")
	var factors []factor
	for range n {
		factors = append(factors, factor{
			atom:  uint8(rapid.IntRange(1, len(atoms)-1).Draw(t, "atom")),
			power: rapid.SampledFrom([]int8{1, 1, 1, -1, -1, 2, -2, 3}).Draw(t, "power"),
		})
	}
	if n != 1 || factors[0].power != 1 {
		asDifferences(factors)
	}
	u, err := newUnit(factors)
	if err != nil {
		t.Fatalf("%v: %v", factors, err)
	}
	return u
}

// unitLike draws a unit of the same dimension: some atom replaced by another of its kind.
func unitLike(t *rapid.T, u Unit) Unit {
	for i, f := range u.used() {
		var like []uint8
		for a := 1; a < len(atoms); a++ {
			if atoms[a].dim == atoms[f.atom].dim {
				like = append(like, uint8(a))
			}
		}
		u.factors[i].atom = rapid.SampledFrom(like).Draw(t, "like")
	}
	return u
}

// anyQuantity draws a value of working size: 1e-12 to 1e12, of either sign, or zero.
func anyQuantity(t *rapid.T, u Unit) Quantity {
	x := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-1e12, -1e-12), rapid.Float64Range(1e-12, 1e12)).Draw(t, "value")
	if u.isPoint() {
		x = math.Max(x, absoluteZeroC)
	}
	q, err := New(x, u)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func near(a, b, size float64) bool { return math.Abs(a-b) <= 1e-12*size }

func TestPrintThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, 3)
		q, err := New(rapid.Float64().Draw(t, "value"), u)
		if err != nil {
			return // NaN, below absolute zero, or beyond what base units hold
		}
		again, err := Parse(q.String())
		if err != nil || again != q {
			t.Fatalf("%q was read as %v, %v", q.String(), again, err)
		}
		if printed, err := ParseUnit(u.Print()); err != nil || printed != u {
			t.Fatalf("%q was read as %q, %v", u.Print(), printed.Symbol(), err)
		}
	})
}

func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, 3)
		q, v := anyQuantity(t, u), unitLike(t, u)
		there, err := q.In(v)
		if err != nil {
			t.Fatal(err)
		}
		back, err := there.In(u)
		if err != nil || !near(back.value, q.value, math.Abs(q.value)) {
			t.Fatalf("%v, %v, %v: %v", q, there, back, err)
		}
		if b := u.FromBase(q.Base()); !near(b, q.value, math.Abs(q.value)) {
			t.Fatalf("%v through base units is %v", q, b)
		}
		if !near(there.Base(), q.Base(), math.Abs(q.Base())) {
			t.Fatalf("%v and %v differ in base units", q, there)
		}
	})
}

func TestPlusCommutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, 3)
		q, r := anyQuantity(t, u), anyQuantity(t, unitLike(t, u))
		a, errA := q.Plus(r)
		b, errB := r.Plus(q)
		if (errA == nil) != (errB == nil) || a.Dimension() != b.Dimension() {
			t.Fatalf("%v + %v: %v, %v; %v, %v", q, r, a, errA, b, errB)
		}
		if errA == nil && !near(a.Base(), b.Base(), math.Abs(q.Base())+math.Abs(r.Base())) {
			t.Fatalf("%v + %v: %v and %v", q, r, a, b)
		}
	})
}

func TestPlusThenMinus(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, 3)
		q, r := anyQuantity(t, u), anyQuantity(t, unitLike(t, u))
		total, err := q.Plus(r)
		if err != nil {
			return // two temperatures
		}
		back, err := total.Minus(r)
		if err != nil || !near(back.Base(), q.Base(), 2*(math.Abs(q.Base())+math.Abs(r.Base()))) {
			t.Fatalf("%v + %v - %v = %v, %v", q, r, r, back, err)
		}
	})
}

func TestTimesThenOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u, v := anyUnit(t, 2), anyUnit(t, 2) // so that no product has over 8 factors
		d, e := u.Dimension(), v.Dimension()
		product, err := d.Times(e)
		if d.point || e.point {
			if err == nil {
				t.Fatal("a temperature was multiplied")
			}
			return
		}
		back, errBack := product.Over(e)
		if err != nil || errBack != nil || back != d {
			t.Fatalf("%v times %v over %v is %v: %v, %v", d, e, e, back, err, errBack)
		}
		q, r := anyQuantity(t, u), anyQuantity(t, v)
		x, err := q.Times(r)
		if err != nil || x.Dimension() != product {
			t.Fatalf("%v times %v: %v, %v; want %v", q, r, x, err, product)
		}
		if want := q.Base() * r.Base(); !near(x.Base(), want, math.Abs(want)) {
			t.Fatalf("%v times %v: %v is %v in base units, want %v", q, r, x, x.Base(), want)
		}
		if r.value == 0 {
			return
		}
		if y, err := x.Over(r); err != nil || !near(y.Base(), q.Base(), 3*math.Abs(q.Base())) {
			t.Fatalf("%v times and over %v: %v, %v", q, r, y, err)
		}
	})
}

func TestScalingKeepsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t, 3)
		q, r := anyQuantity(t, u), anyQuantity(t, u)
		v := unitLike(t, u)
		a, errA := q.In(v)
		b, errB := r.In(v)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if q.value <= r.value && a.value > b.value || q.value >= r.value && a.value < b.value {
			t.Fatalf("%v and %v change order as %v and %v", q, r, a, b)
		}
	})
}

func TestParseNeverPanics(t *testing.T) {
	pieces := []string{"1", "-", ".", "e", ",", " ", "\u202f", "m", "mL", "larva", "/", "°C", "µ", "²", "%", "\xff", "99", "E9"}
	text := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }),
		rapid.Map(rapid.SliceOf(rapid.SampledFrom(pieces)), func(p []string) string {
			joined := ""
			for _, s := range p {
				joined += s
			}
			return joined
		}))
	rapid.Check(t, func(t *rapid.T) {
		q, err := Parse(text.Draw(t, "text"))
		if err == nil && (math.IsNaN(q.Base()) || math.IsInf(q.Base(), 0)) {
			t.Fatalf("%v has no base value", q)
		}
		if err != nil && q != (Quantity{}) {
			t.Fatalf("an error, and yet %v", q)
		}
	})
}
