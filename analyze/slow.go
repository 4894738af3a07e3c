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

// slowChannel tells what becomes of a slow channel, by its name; one in a unit that is
// none of its quantity is not used.
func (r *Run) slowChannel(c series.Channel, line calib.Line) slowChannel {
	corrected := line.Of
	var s slowChannel
	var err error
	switch c.Name {
	case "wire_speed":
		s.take = func(tick int64, v float64) {
			r.splitter.WireSpeed(v)
			r.judge.Wire(tick, v)
			r.byPiece.WireSpeed(v)
			r.byAngle.WireSpeed(v)
			r.now.WireSpeed(tick, v)
		}
		s.toSI, err = converter[quantity.MetresPerSecond](c.Unit, corrected)
	case "wire_length":
		s.take = func(_ int64, v float64) { r.splitter.WireLength(v) }
		s.toSI, err = converter[quantity.Metres](c.Unit, corrected)
	case pass.TravelChannel:
		s.take = func(_ int64, v float64) { r.splitter.TravelSpeed(v) }
		s.toSI, err = converter[quantity.MetresPerSecond](c.Unit, corrected)
	case pass.PositionChannels[0], pass.PositionChannels[1], pass.PositionChannels[2]:
		axis := slices.Index(pass.PositionChannels[:], c.Name)
		s.take = func(tick int64, v float64) { r.splitter.Position(axis, tick, v) }
		s.toSI, err = converter[quantity.Metres](c.Unit, corrected)
	case "gas_flow":
		s.take = func(tick int64, v float64) {
			r.judge.Gas(tick, v)
			r.now.GasFlow(tick, v)
		}
		s.toSI, err = converter[quantity.CubicMetresPerSecond](c.Unit, corrected)
	case "temperature":
		s.take = func(tick int64, v float64) {
			r.judge.Temperature(quantity.Celsius(v))
			r.now.Temperature(tick, v)
		}
		s.toSI, err = converter[quantity.Celsius](c.Unit, corrected)
	}
	if err != nil {
		r.sound.leaveOnce("channel %q is not used: %v", c.Name, err)
		return slowChannel{}
	}
	return s
}

// converter returns the way from a channel's unit to SI, after correction.
func converter[Q quantity.Quantity](unit string, corrected func(float64) float64) (func(float64) float64, error) {
	if _, err := quantity.Parse[Q]("1 " + unit); err != nil {
		return nil, err
	}
	return func(v float64) float64 { return float64(quantity.Of[Q](corrected(v), unit)) }, nil
}
