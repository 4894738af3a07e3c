package bore

import (
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
