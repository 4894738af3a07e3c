package thermal

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"arctally/acquire/quantity"
)

// MassPercent is a share of the mass in %, as a mill sheet gives it.
type MassPercent float64

// Analysis is what a steel consists of: mass % by the symbol of the element. One
// that is not listed counts as zero.
type Analysis map[string]float64

// CarbonEquivalents are four measures of how readily a steel hardens. They are
// not interchangeable: each has its own limits in its own code.
type CarbonEquivalents struct {
	IIW MassPercent // of the International Institute of Welding
	D11 MassPercent // the form of AWS D1.1, with silicon
	CET MassPercent // of EN 1011-2, what method B of preheat takes
	Pcm MassPercent // for steels low in carbon
}

// Equivalents returns the carbon equivalents of a steel. A share that is not
// from 0 to 100 %, or shares that are more than 100 % together, are a *RangeError;
// a share that no steel for welding has is a *TypedError.
func (a Analysis) Equivalents() (CarbonEquivalents, error) {
	if err := a.check(); err != nil {
		return CarbonEquivalents{}, err
	}
	c, si, mn, cr, mo, v, ni, cu, b := a["C"], a["Si"], a["Mn"], a["Cr"], a["Mo"], a["V"], a["Ni"], a["Cu"], a["B"]
	return CarbonEquivalents{
		IIW: MassPercent(c + mn/6 + (cr+mo+v)/5 + (ni+cu)/15),
		D11: MassPercent(c + (mn+si)/6 + (cr+mo+v)/5 + (ni+cu)/15),
		CET: MassPercent(c + (mn+mo)/10 + (cr+cu)/20 + ni/40),
		Pcm: MassPercent(c + si/30 + (mn+cu+cr)/20 + ni/60 + mo/15 + v/10 + 5*b),
	}, nil
}

func (a Analysis) check() error {
	const formula = "carbon equivalent"
	sum := 0.0
	for _, element := range slices.Sorted(maps.Keys(a)) {
		share := a[element]
		if !(share >= 0 && share <= 100) {
			return &RangeError{formula, element, percent(share), "0 to 100 %"}
		}
		if most, ok := mostOf[element]; ok && share > most {
			return &TypedError{element, share, most}
		}
		sum += share
	}
	if sum > 100 {
		return &RangeError{formula, "sum of all elements", percent(sum), "0 to 100 %"}
	}
	return nil
}

// mostOf is the most of an element that a steel welded up by arc may have, and that a
// mill sheet of one ever shows: above it a point slipped. The carbon reaches over
// C45 and 42CrMo4. Chromium and nickel are not in it, for a stainless steel has much
// of both. Ours, no source.
var mostOf = map[string]float64{
	"C": 0.6, "Si": 3, "Mn": 4, "Mo": 2, "V": 1, "Cu": 3, "B": 0.05, "P": 0.5, "S": 0.5, "Al": 3, "Nb": 1, "Ti": 1, "N": 0.5,
}

// TypedError reports a share of an element that no steel for welding has.
type TypedError struct {
	Element     string
	Share, Most float64 // mass %
}

// Error returns one line that names the element and asks for what was likely meant.
func (e *TypedError) Error() string {
	text := fmt.Sprintf("%s %s is no weldable steel, which has at most %s", e.Element, percent(e.Share), percent(e.Most))
	if meant := e.Share / 10; meant <= e.Most {
		text += fmt.Sprintf(": is it %s?", percent(quantity.Clean(meant)))
	}
	return text
}

// Hint says where the share stands.
func (e *TypedError) Hint() string { return "look it up on the mill sheet, in mass %" }

func percent(share float64) string { return strconv.FormatFloat(share, 'g', -1, 64) + " %" }

// composition is the range of one element for which CET, and preheat by it, was
// made. Source: EN 1011-2 annex C. Standing: memory.
type composition struct {
	element   string
	low, high float64
}

var compositions = []composition{
	{"C", 0.05, 0.32},
	{"Si", 0, 0.8},
	{"Mn", 0.5, 1.9},
	{"Cr", 0, 1.5},
	{"Mo", 0, 0.75},
	{"V", 0, 0.18},
	{"Ni", 0, 2.5},
	{"Cu", 0, 0.7},
	{"B", 0, 0.005},
	{"Nb", 0, 0.06},
	{"Ti", 0, 0.12},
}

// OutsideCET lists the elements of which the steel has more or less than CET was
// made for, each with its share and the range. It is a caution, not a refusal:
// the ranges are memory, and CET itself is computed all the same.
func (a Analysis) OutsideCET() []string {
	var outside []string
	for _, c := range compositions {
		share := a[c.element]
		if share < c.low || share > c.high {
			outside = append(outside, fmt.Sprintf("%s %s (%v to %v %%)", c.element, percent(share), c.low, c.high))
		}
	}
	return outside
}
