package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// 0.3 kJ/mm on 30 mm cool by 6600*0.3*(1/480 - 1/780) = 1.59 s from 20 degC, and
// 0.5 kJ/mm by 2.64 s; a pass whose heat is not known says nothing.
func TestCoolingCaution(t *testing.T) {
	s := &Sheet{}
	s.Job.Material.Thickness = 0.03
	assert.Empty(t, s.CoolingCaution(), "no pass")
	of := func(number int, heat float64) Pass {
		p := Pass{}
		p.Number, p.HeatInput = number, new(quantity.JoulesPerMetre(heat))
		return p
	}
	s.Passes = []Pass{of(1, 0.5e6), of(2, 0.3e6), of(3, 0.4e6), {}}
	assert.Contains(t, s.CoolingCaution(), "Cooling of pass 2, the fastest, by t8/5 of EN 1011-2 (secondary), its heat input and the temperature of a shop, "+
		"for nobody measured another: from a wall at 20 degC the weld takes 1.6 s from 800 to 500 degC, less than 10.0 s")
	s.Passes[1].AtStart.Temperature = &pass.Reading[quantity.Celsius]{Value: 200}
	assert.Contains(t, s.CoolingCaution(), "Cooling of pass 3", "at 200 degC pass 2 takes longer")
	s.Passes = s.Passes[1:2]
	assert.Contains(t, s.CoolingCaution(), "the temperature at its start: from a wall at 200 degC the weld takes 2.9 s")
	s.Passes[0].HeatInput = new(quantity.JoulesPerMetre(2e6))
	assert.Empty(t, s.CoolingCaution(), "slow enough")
	s.Passes[0].HeatInput = new(quantity.JoulesPerMetre(0.3e6))
	s.Job.Material.Thickness = 0
	assert.Empty(t, s.CoolingCaution(), "nothing is said without a thickness")
}
