package analyze

import (
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/pass"
)

// slowChannel is what becomes of the readings of a slow channel.
type slowChannel struct {
	take func(tick int64, value float64)
	toSI func(value float64) float64
}

// slowChannels are the names of those that the analysis uses.
var slowChannels = [...]string{
	wireSpeed, wireLength, pass.TravelChannel, pass.PositionChannels[0], pass.PositionChannels[1], pass.PositionChannels[2], gasFlow, temperature,
}

const (
	wireSpeed   = "wire_speed"
	wireLength  = "wire_length"
	gasFlow     = "gas_flow"
	temperature = "temperature"
)

// slowNumber is the place of a name among them; -1 where it is none of them.
func slowNumber(name string) int { return slices.Index(slowChannels[:], name) }

// slowChannel tells what becomes of a slow channel, by its name; one in a unit that is
// none of its quantity is not used.
func (r *Run) slowChannel(c series.Channel, line calib.Line) slowChannel {
	if slowNumber(c.Name) < 0 {
		return slowChannel{}
	}
	toSI, err := slowConverter(c, line.Of)
	if err != nil {
		r.sound.leaveOnce("channel %q is not used: %v", c.Name, err)
		return slowChannel{}
	}
	take := r.slowTaker(c.Name)
	if r.tape != nil {
		take = r.tape.read(c.Name, take)
	}
	return slowChannel{take, toSI}
}

// slowTaker returns who takes the readings of a slow channel.
func (r *Run) slowTaker(name string) func(tick int64, value float64) {
	switch name {
	case wireSpeed:
		return r.wireSpeed
	case wireLength:
		return func(_ int64, v float64) { r.splitter.WireLength(v) }
	case pass.TravelChannel:
		return func(_ int64, v float64) { r.splitter.TravelSpeed(v) }
	case gasFlow:
		return func(tick int64, v float64) {
			r.judge.Gas(tick, v)
			r.now.GasFlow(tick, v)
		}
	case temperature:
		return func(tick int64, v float64) {
			r.judge.Temperature(quantity.Celsius(v))
			r.now.Temperature(tick, v)
		}
	default:
		axis := slices.Index(pass.PositionChannels[:], name)
		return func(tick int64, v float64) { r.splitter.Position(axis, tick, v) }
	}
}

func (r *Run) wireSpeed(tick int64, v float64) {
	r.splitter.WireSpeed(v)
	r.judge.Wire(tick, v)
	r.byPiece.WireSpeed(v)
	r.byAngle.WireSpeed(v)
	r.now.WireSpeed(tick, v)
}

// slowConverter returns the way from the unit of a slow channel to SI, after correction.
func slowConverter(c series.Channel, corrected func(float64) float64) (func(float64) float64, error) {
	switch c.Name {
	case wireSpeed, pass.TravelChannel:
		return converter[quantity.MetresPerSecond](c.Unit, corrected)
	case gasFlow:
		return converter[quantity.CubicMetresPerSecond](c.Unit, corrected)
	case temperature:
		return converter[quantity.Celsius](c.Unit, corrected)
	default:
		return converter[quantity.Metres](c.Unit, corrected)
	}
}

// converter returns the way from a channel's unit to SI, after correction.
func converter[Q quantity.Quantity](unit string, corrected func(float64) float64) (func(float64) float64, error) {
	if _, err := quantity.Parse[Q]("1 " + unit); err != nil {
		return nil, err
	}
	return func(v float64) float64 { return float64(quantity.Of[Q](corrected(v), unit)) }, nil
}
