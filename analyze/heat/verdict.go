package heat

import (
	"fmt"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"arctally/acquire/quantity"
)

// Judge compares a value and its expanded uncertainty with a window. The guard
// band is share*expanded: with share 1 a value on the acceptance limit is wrong
// in less than 2.5 % of cases. Source: ILAC-G8:09/2019 4.2; standing: read. The
// verdict is empty where the window has no limit.
func Judge[Q quantity.Quantity](value, expanded Q, window quantity.Range[Q], share float64) Verdict {
	if window.IsZero() {
		return ""
	}
	guard := Q(share) * expanded
	narrow, wide := window, window
	narrow.Low, narrow.High = window.Low+guard, window.High-guard
	wide.Low, wide.High = window.Low-guard, window.High+guard
	switch {
	case narrow.Beyond(value) == 0:
		return Within
	case window.Beyond(value) == 0:
		return WithinNearLimit
	case wide.Beyond(value) == 0:
		return OutsideNearLimit
	default:
		return Outside
	}
}

// FalseAcceptance returns how often, at worst, a pass that is not within is
// called within: the truth stands on the upper limit, and what is not known is normal.
//
//	P = 1 - Phi( k*share / (1 + k*share*u) )       k = 2
//
// with the standard uncertainty u as a share of the value. As U is taken at the
// value, it is too small below an upper limit, by 1 + k*share*u; with u = 0 the rate is
// the one for a U that is the same everywhere. Source of that: ILAC-G8:09/2019 4.2;
// standing: read for no guard band and for a full one. The correction: plain
// arithmetic.
func FalseAcceptance(share, u float64) quantity.Ratio {
	k := CoverageFactor * share
	return quantity.Ratio(distuv.UnitNormal.CDF(-k / (1 + k*u)))
}

// DecisionRule states the decision rule in one sentence, which must stand with every
// verdict. The guard band is share times the expanded uncertainty; u is the greatest
// standard uncertainty of a pass, as a share of its heat input.
func DecisionRule(share, u float64) string {
	return fmt.Sprintf("guard band w = %s U, U = k*u with the coverage factor k = %d: within is inside every limit by w or more, "+
		"outside is beyond one by more than w, and between them the verdict says that the limit is closer than w; "+
		"where what is not known is normal, a true value that is not inside is called within in at most %s of cases",
		strconv.FormatFloat(share, 'g', -1, 64), CoverageFactor, quantity.Text(FalseAcceptance(share, u), "%", 2))
}

// Conformity returns the probability that the true value lies in the window,
// where the value has a normal standard uncertainty and nothing else is known:
//
//	P = Phi((high-y)/u) - Phi((low-y)/u)
//
// It is 0 or 1 where the uncertainty is 0. Source: JCGM 106. Standing: memory,
// checked on figures from memory.
func Conformity(value, standard quantity.JoulesPerMetre, window quantity.Range[quantity.JoulesPerMetre]) float64 {
	if standard <= 0 {
		if window.Beyond(value) == 0 {
			return 1
		}
		return 0
	}
	above, below := 0.0, 0.0 // the shares beyond each limit, so that nothing small is lost
	if window.HasHigh {
		above = distuv.UnitNormal.CDF(float64((value - window.High) / standard))
	}
	if window.HasLow {
		below = distuv.UnitNormal.CDF(float64((window.Low - value) / standard))
	}
	return 1 - above - below
}

// Doubted is what is left of a verdict where another reading of the same samples gives
// another one: on its side of the limit, and not proved.
func (v Verdict) Doubted() Verdict {
	switch v {
	case Within:
		return WithinNearLimit
	case Outside:
		return OutsideNearLimit
	default:
		return v
	}
}
