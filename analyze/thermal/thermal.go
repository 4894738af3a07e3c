// Package thermal knows what welding heat does to the steel of a wall, as far as
// the published formulas reach: how readily the steel hardens (carbon
// equivalents), how warm it should be before the arc (preheat), and how long the
// weld takes from 800 to 500 degC (cooling time t8/5). All of it is guidance: the
// qualified procedure rules.
//
// Formulas. Elements are mass %, T0 is the temperature of the wall before the
// bead in degC, Q the heat input in kJ/mm with the thermal efficiency k in it, d
// the thickness in mm, HD the diffusible hydrogen in ml/100 g:
//
//	IIW = C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15
//	D11 = IIW + Si/6
//	CET = C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40
//	Pcm = C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5*B
//	Tp  = 697*CET + 160*tanh(d/35) + 62*HD^0.35 + (53*CET-32)*Q - 328
//	t3  = (6700-5*T0)*Q*(1/(500-T0) - 1/(800-T0))*F3
//	t2  = (4300-4.3*T0)*1e5*(Q/d)^2*(1/(500-T0)^2 - 1/(800-T0)^2)*F2
//
// Source: EN 1011-2 (preheat: method B of annex C; cooling: annex D; F2 and F3:
// table D.1), as public program code, German texts on the cooling time and a book
// on steel quote it; AWS D1.1 for D11. Standing: secondary; nobody read the
// standards themselves, and no conformity to them is claimed. Figures from
// elsewhere name their own source and standing.
//
// Errors: an input outside the range for which a formula was made is a
// *RangeError that names the quantity and the range; nothing is extrapolated. A share
// of an element that no weldable steel has is a *TypedError.
package thermal
