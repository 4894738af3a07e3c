package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/quantity"
)

// The caution follows the time: at 0.576 kJ/mm on 30 mm, (6700-5*T0)*0.576*(1/(500-T0) -
// 1/(800-T0)) is 3.9 s at 106 degC, and 11.1 s at 330.
func TestMake_Hardness(t *testing.T) {
	p := made(t, job(t), Options{})
	assert.Contains(t, warning(p, "hardness"), "from a wall at 106 degC the weld takes 3.9 s from 800 to 500 degC, less than 10.0 s: the steel beside it may harden")
	assert.Contains(t, warning(p, "hardness"), "10 to 25 s are common practice for structural and fine-grained steels (memory)")
	wall := quantity.Celsius(330)
	j := job(t)
	j.Procedure.Limits.Interpass.High = 350
	p = made(t, j, Options{Wall: &wall})
	assert.Greater(t, p.Layers[0].Cooling.Time, quantity.Seconds(10))
	assert.Empty(t, warning(p, "hardness"))
	assert.Empty(t, warning(p, "toughness"))
}

// The fastest layer counts for hardness, the slowest for toughness: at one rotation the
// first is laid with the least heat.
func TestMake_HardnessOfTheFastestLayer(t *testing.T) {
	j := job(t)
	j.Setpoints.TravelSpeed, j.Procedure.Limits.TravelSpeed = 0, quantity.Range[quantity.MetresPerSecond]{}
	j.Procedure.Limits.Interpass.High = 350
	p := made(t, j, Options{})
	first, last := p.Layers[0].Cooling.Time, p.Layers[len(p.Layers)-1].Cooling.Time
	assert.Less(t, first, last)
	assert.Contains(t, warning(p, "hardness"), quantity.Text(first, "s", 1))

	j = job(t)
	j.Material.Thickness, j.Procedure.Limits.Interpass.High = 0.006, 200 // thin: slow
	p = made(t, j, Options{})
	assert.Empty(t, warning(p, "hardness"))
	assert.Contains(t, warning(p, "toughness"), "from a wall at 200 degC the weld takes")
	assert.Contains(t, warning(p, "toughness"), "more than 25.0 s: the steel beside it may lose toughness")
	assert.Contains(t, warning(p, "toughness"), quantity.Text(p.Layers[0].Warmest.Time, "s", 1))
}

// At one rotation the last layer has the most heat and cools most slowly.
func TestMake_ToughnessOfTheSlowestLayer(t *testing.T) {
	j := job(t)
	j.Setpoints.TravelSpeed, j.Procedure.Limits.TravelSpeed = 0, quantity.Range[quantity.MetresPerSecond]{}
	j.Rotation.Speed = 1.0 / 60
	j.Material.Thickness, j.Procedure.Limits.Interpass.High = 0.006, 200
	p := made(t, j, Options{})
	first, last := p.Layers[0].Warmest.Time, p.Layers[len(p.Layers)-1].Warmest.Time
	assert.Greater(t, last, first)
	assert.Contains(t, warning(p, "toughness"), "takes "+quantity.Text(last, "s", 1))
}

// An absurd time is told: a wire speed or a pitch typed wrong by a power of ten.
func TestMake_AbsurdTime(t *testing.T) {
	j := job(t)
	j.Bore.Length = 60
	assert.Contains(t, warning(made(t, j, Options{}), "time"), "the torch would turn for 38 days")
	assert.Empty(t, warning(made(t, job(t), Options{}), "time"))
}
