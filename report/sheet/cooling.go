package sheet

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/thermal"
)

// CoolingCaution is a caution about the pass that cooled fastest by its heat input and
// the temperature at its start, faster than shops have it; empty where none did, or
// nothing tells. A wall that nobody measured counts as one of the shop.
func (s *Sheet) CoolingCaution() string {
	var fastest *Pass
	var least quantity.Seconds
	for i := range s.Passes {
		if t, known := s.coolingOf(&s.Passes[i]); known && (fastest == nil || t < least) {
			fastest, least = &s.Passes[i], t
		}
	}
	if fastest == nil {
		return ""
	}
	wall, how := startOf(fastest)
	caution := thermal.TooFast(least, wall)
	if caution == "" {
		return ""
	}
	return fmt.Sprintf("Cooling of pass %d, the fastest, by t8/5 of EN 1011-2 (secondary), its heat input and the temperature %s: %s.", fastest.Number, how, s.units.Words(caution))
}

func (s *Sheet) coolingOf(p *Pass) (t quantity.Seconds, known bool) {
	if p.HeatInput == nil {
		return 0, false
	}
	wall, _ := startOf(p)
	c, err := thermal.CoolingTime(thermal.Weld{
		Wall: wall, HeatInput: *p.HeatInput, Thickness: s.Job.Material.Thickness, Shape: thermal.RunOnPlate,
	})
	return c.Time, err == nil
}

// startOf is the temperature of the wall at the start of a pass, and how it is known.
func startOf(p *Pass) (wall quantity.Celsius, how string) {
	if t := p.AtStart.Temperature; t != nil {
		return t.Value, "at its start"
	}
	return thermal.Shop, "of a shop, for nobody measured another"
}
