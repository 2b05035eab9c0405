package quantity

// Plus adds r to q; the result is in the unit of q, or in °C when either is a temperature.
//
// Range: unlike dimensions and two temperatures are refused with ErrDimension; a result that
// cannot be held, as in New. Source: arithmetic.
func (q Quantity) Plus(r Quantity) (Quantity, error) {
	d, err := q.Dimension().Plus(r.Dimension())
	if err != nil {
		if q.Dimension().point && r.Dimension().point {
			return Quantity{}, refuse("cannot add the temperatures %s and %s; add a temperature difference in K instead", q, r)
		}
		return Quantity{}, refuse("cannot add %s and %s: %s and %s", q, r, q.Dimension(), r.Dimension())
	}
	return sum(q, r, 1, d)
}

// Minus subtracts r from q; the result is in the unit of q, or in K for two temperatures.
//
// Range: as for Plus, but two temperatures give a temperature difference. Source: arithmetic.
func (q Quantity) Minus(r Quantity) (Quantity, error) {
	d, err := q.Dimension().Minus(r.Dimension())
	if err != nil {
		return Quantity{}, refuse("cannot subtract %s from %s: %s and %s", r, q, r.Dimension(), q.Dimension())
	}
	return sum(q, r, -1, d)
}

// sum gives q + sign*r, known to be of dimension d.
func sum(q, r Quantity, sign float64, d Dimension) (Quantity, error) {
	switch {
	case q.unit == r.unit && d == q.Dimension():
		return New(q.value+sign*r.value, q.unit)
	case d == q.Dimension():
		return FromBase(q.Base()+sign*r.Base(), q.unit)
	case d.point:
		return FromBase(q.Base()+sign*r.Base(), MustUnit("°C"))
	}
	return FromBase(q.Base()+sign*r.Base(), MustUnit("K"))
}

// Times multiplies. Units that meet themselves are joined (2 larvae/mL times 5 mL is
// 10 larvae); where two units of one kind meet (2 L times 3 larvae/mL), the result is in
// base units, or the usual unit of its dimension.
//
// Range: temperatures (points) are refused with ErrDimension; a result that cannot be held,
// as in New. Source: arithmetic.
func (q Quantity) Times(r Quantity) (Quantity, error) {
	d, err := q.Dimension().Times(r.Dimension())
	if err != nil {
		return Quantity{}, refuse("cannot multiply %s and %s: %v", q, r, err)
	}
	if u, ok := joined(q.unit, r.unit, 1); ok {
		return New(q.value*r.value, u)
	}
	return inUsualUnit(q.Base()*r.Base(), q.unit, r.unit, d)
}

// Over divides; units as for Times.
//
// Range: as for Times, and dividing by zero is refused with ErrNumber. Source: arithmetic.
func (q Quantity) Over(r Quantity) (Quantity, error) {
	d, err := q.Dimension().Over(r.Dimension())
	if err != nil {
		return Quantity{}, refuse("cannot divide %s by %s: %v", q, r, err)
	}
	if r.value == 0 {
		return Quantity{}, badNumber("cannot divide %s by %s; give a divisor that is not zero", q, r)
	}
	if u, ok := joined(q.unit, r.unit, -1); ok {
		return New(q.value/r.value, u)
	}
	return inUsualUnit(q.Base()/r.Base(), q.unit, r.unit, d)
}

// joined gives the unit u*v (sign 1) or u/v (sign -1) with like atoms taken together; false
// when two different units of one kind, such as L and mL, would stand side by side.
func joined(u, v Unit, sign int8) (Unit, bool) {
	var factors []factor
	for _, f := range u.used() {
		factors = takeTogether(factors, f)
	}
	for _, f := range v.used() {
		factors = takeTogether(factors, factor{f.atom, sign * f.power})
	}
	for i, f := range factors {
		if atoms[f.atom].dim == None {
			return Unit{}, false // a percentage is better as a plain number
		}
		for _, g := range factors[:i] {
			if shareKind(f, g) {
				return Unit{}, false
			}
		}
	}
	joint, err := newUnit(factors)
	return joint, err == nil
}

// takeTogether adds f to the factors, dropping an atom whose power becomes zero.
func takeTogether(factors []factor, f factor) []factor {
	for i := range factors {
		if factors[i].atom != f.atom {
			continue
		}
		factors[i].power += f.power
		if factors[i].power == 0 {
			return append(factors[:i], factors[i+1:]...)
		}
		return factors
	}
	return append(factors, f)
}

func shareKind(f, g factor) bool {
	for k, p := range atoms[f.atom].dim.powers {
		if p != 0 && atoms[g.atom].dim.powers[k] != 0 {
			return true
		}
	}
	return false
}

// inUsualUnit writes a base value in the unit of whichever operand already has dimension d,
// else in the usual unit of d.
func inUsualUnit(base float64, u, v Unit, d Dimension) (Quantity, error) {
	for _, w := range []Unit{u, v} {
		if w.Dimension() == d && d != None {
			return FromBase(base, w)
		}
	}
	w, err := usualUnit(d)
	if err != nil {
		return Quantity{}, err
	}
	return FromBase(base, w)
}

// usualUnits are shown for a result that has no unit of its own.
var usualUnits = func() map[Dimension]Unit {
	usual := map[Dimension]Unit{}
	for _, s := range []string{"m", "m2", "W", "J", "Pa", "V", "S", "S/m", "m/s", "W/m2"} {
		usual[MustUnit(s).Dimension()] = MustUnit(s)
	}
	return usual
}()

// BaseUnit gives a unit of a dimension to name it by, such as L or cells/L.
//
// Error: one that no unit can be written for. Range: any dimension. Source: none needed.
func BaseUnit(d Dimension) (Unit, error) { return usualUnit(d) }

// baseSymbols are the units of base value 1; a volume is handled apart, as L.
var baseSymbols = [firstCounted]string{"dm", "g", "h", "mol", "A", "K", "PSU", "pH"}

// usualUnit gives the unit of usualUnits, or else the base unit of d.
func usualUnit(d Dimension) (Unit, error) {
	if u, ok := usualUnits[d]; ok {
		return u, nil
	}
	var over, under []factor
	for i := range d.powers {
		k := (i + firstCounted) % kindCount
		f := factor{baseAtom(k), d.powers[k]}
		if k == length && f.power%3 == 0 {
			f = factor{spellings["L"], f.power / 3}
		}
		switch {
		case f.power > 0:
			over = append(over, f)
		case f.power < 0:
			under = append(under, f)
		}
	}
	return newUnit(append(over, under...))
}

func baseAtom(k kind) uint8 {
	if k < firstCounted {
		return spellings[baseSymbols[k]]
	}
	return spellings[countedThings[k-firstCounted].one]
}
