package finding

import "arctally/acquire/quantity"

// Unit is how the trade states the values of a rule.
type Unit struct {
	Name     string // "1" is a pure number
	Decimals int
	In       func(si float64) float64 // a value in this unit
}

// Against are a value and the limit that it is held against, with the unit as a
// sentence has it, and not the same where the two are not. A pure number has none.
func (u Unit) Against(value, limit float64) (said, against string) {
	name := u.Name
	if name == "1" {
		name = ""
	}
	return quantity.Against(value, limit, u.Decimals, u.In, name)
}

// Units returns the units of a rule, for those who read metric units and for those
// who read US units. A rule that nobody knows keeps its SI value and says so.
func Units(rule Rule) (metric, us Unit) {
	r := rowOf(rule)
	switch {
	case r == nil:
		return scaled(1, "SI", 3), scaled(1, "SI", 3)
	case r.us.Name == "":
		return r.unit, r.unit
	default:
		return r.unit, r.us
	}
}

// in is a unit of a quantity.
func in[Q quantity.Quantity](name string, decimals int) Unit {
	return Unit{
		Name: name, Decimals: decimals,
		In: func(si float64) float64 { return quantity.In(Q(si), name) },
	}
}

// scaled is a unit of something that is no quantity of its own: so many of it make
// one SI unit.
func scaled(by float64, name string, decimals int) Unit {
	return Unit{Name: name, Decimals: decimals, In: func(si float64) float64 { return by * si }}
}

// pure is a number without a unit.
func pure(decimals int) Unit {
	u := in[quantity.Ratio]("", decimals)
	u.Name = "1"
	return u
}
