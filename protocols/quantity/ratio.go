package quantity

import "math"

// ratio is a scale kept as two whole numbers, so that a conversion costs one rounding:
// 250 µL is 250*1/1000 mL, not 250*0.001.
type ratio struct{ over, under float64 }

var one = ratio{1, 1}

func (r ratio) times(s ratio) ratio  { return ratio{r.over * s.over, r.under * s.under}.reduced() }
func (r ratio) inverse() ratio       { return ratio{r.under, r.over} }
func (r ratio) of(x float64) float64 { return x * r.over / r.under }

func (r ratio) power(n int) ratio {
	if n < 0 {
		return r.inverse().power(-n)
	}
	p := one
	for range n {
		p = p.times(r)
	}
	return p
}

// usable says whether neither part overflowed.
func (r ratio) usable() bool {
	return r.over >= 1 && r.under >= 1 && !math.IsInf(r.over, 0) && !math.IsInf(r.under, 0)
}

// reduced divides out the greatest common divisor; math.Mod is exact.
func (r ratio) reduced() ratio {
	if !r.usable() {
		return r
	}
	a, b := r.over, r.under
	for b != 0 {
		a, b = b, math.Mod(a, b)
	}
	return ratio{r.over / a, r.under / a}
}
