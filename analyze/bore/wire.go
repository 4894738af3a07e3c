package bore

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
)

// SteelDensity is 7850 kg/m^3, the figure that the trade takes for unalloyed
// steel. Source: common practice. Standing: memory.
const SteelDensity = 7850

// DefaultEfficiency is the share of the wire's mass that becomes deposit where
// a job does not say otherwise: 0.95, a usual design value for solid wire under
// gas, inside the 92 to 99 % that trade tables give. Standing: the range is
// secondary, the design value memory.
const DefaultEfficiency quantity.Ratio = 0.95

// WireArea returns the cross-section of round wire:
//
//	A = pi/4*d^2
func WireArea(d quantity.Metres) quantity.SquareMetres {
	return quantity.SquareMetres(math.Pi / 4 * float64(d) * float64(d))
}

// WireMassPerLength returns the mass of steel wire per length:
//
//	m = rho*pi/4*d^2
//
// with the density rho = SteelDensity.
func WireMassPerLength(d quantity.Metres) quantity.KilogramsPerMetre {
	return quantity.KilogramsPerMetre(SteelDensity * float64(WireArea(d)))
}

// DepositionRate returns the deposit per time from wire of diameter d fed at a
// speed:
//
//	rate = eff*rho*pi/4*d^2*WFS
//
// with the deposition efficiency eff; 1 gives the wire melted off.
func DepositionRate(d quantity.Metres, feed quantity.MetresPerSecond, efficiency quantity.Ratio) quantity.KilogramsPerSecond {
	return quantity.KilogramsPerSecond(float64(efficiency) * float64(WireMassPerLength(d)) * float64(feed))
}

// DepositMass returns the deposit from a length of wire of diameter d:
//
//	m = eff*rho*pi/4*d^2*L
//
// with the deposition efficiency eff, deposit over wire consumed.
func DepositMass(d, length quantity.Metres, efficiency quantity.Ratio) quantity.Kilograms {
	return quantity.Kilograms(float64(efficiency) * float64(WireMassPerLength(d)) * float64(length))
}

// WeighedRate returns the deposit per time from what was weighed and timed:
//
//	rate = m/t
//
// with the mass m that a weld gained in the arc time t.
func WeighedRate(mass quantity.Kilograms, t quantity.Seconds) quantity.KilogramsPerSecond {
	return quantity.KilogramsPerSecond(float64(mass) / float64(t))
}

// WeighedError reports masses that cannot be: more metal laid than wire used up.
type WeighedError struct{ Deposit, Wire, Stub quantity.Kilograms }

// Error returns one line with the masses.
func (e *WeighedError) Error() string {
	if e.Stub < 0 || !(e.Stub < e.Wire) {
		return fmt.Sprintf("stubs of %s are not what is left of %s of wire", quantity.Significant(e.Stub, "kg", 4), quantity.Significant(e.Wire, "kg", 4))
	}
	deposit, used := quantity.TextAgainst(e.Deposit, e.Wire-e.Stub, "kg", 3)
	return fmt.Sprintf("a deposit of %s from %s of wire used up is an efficiency above 100 %%", deposit, used)
}

// Hint says what to do.
func (e *WeighedError) Hint() string { return "weigh the part and the wire again, before and after" }

// WeighedEfficiency returns the deposition efficiency from what was weighed:
//
//	eff = m/(M - s)
//
// with the mass m laid, the mass M of the wire taken and the mass s of what was left
// of it, stubs and ends. Source: a filler-metal handbook, check value WD-16; standing:
// read. More laid than used up is a *WeighedError.
func WeighedEfficiency(deposit, wire, stub quantity.Kilograms) (quantity.Ratio, error) {
	efficiency := quantity.Ratio(deposit / (wire - stub))
	if stub < 0 || !(stub < wire) || !(deposit > 0) || efficiency > 1 {
		return 0, &WeighedError{deposit, wire, stub}
	}
	return efficiency, nil
}

// BeadArea returns the cross-section of the bead that wire of diameter d leaves
// behind a travelling torch:
//
//	A = eff*(pi/4*d^2)*WFS/v
//
// with the wire speed WFS, the travel speed v and the deposition efficiency
// eff. A torch that stands still gives no finite bead.
func BeadArea(d quantity.Metres, feed, travel quantity.MetresPerSecond, efficiency quantity.Ratio) quantity.SquareMetres {
	return quantity.SquareMetres(float64(efficiency) * float64(WireArea(d)) * float64(feed/travel))
}
