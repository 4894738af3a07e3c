package analyze

import (
	"fmt"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// slowChannel is what becomes of the readings of a slow channel.
type slowChannel struct {
	use  func(r *Run, tick int64, value float64)
	toSI func(value float64) float64
}

// slowUse tells what becomes of a slow channel, by its name.
func slowUse(c series.Channel, line calib.Line) (slowChannel, error) {
	corrected := line.Of
	var s slowChannel
	var err error
	switch c.Name {
	case "wire_speed":
		s.use = func(r *Run, tick int64, v float64) {
			r.splitter.WireSpeed(v)
			r.watch.Wire(tick, v)
			r.unrolled.WireSpeed(v)
			r.byAngle.WireSpeed(v)
			r.now.WireSpeed(tick, v)
		}
		s.toSI, err = converter[quantity.MetresPerSecond](c.Unit, corrected)
	case "wire_length":
		s.use = func(r *Run, _ int64, v float64) { r.splitter.WireLength(v) }
		s.toSI, err = converter[quantity.Metres](c.Unit, corrected)
	case "gas_flow":
		s.use = func(r *Run, tick int64, v float64) {
			r.watch.Gas(tick, v)
			r.now.GasFlow(tick, v)
		}
		s.toSI, err = converter[quantity.CubicMetresPerSecond](c.Unit, corrected)
	case "temperature":
		s.use = func(r *Run, tick int64, v float64) {
			r.watch.Temperature(quantity.Celsius(v))
			r.now.Temperature(tick, v)
		}
		s.toSI, err = converter[quantity.Celsius](c.Unit, corrected)
	}
	if err != nil {
		return s, fmt.Errorf("channel %q: %w", c.Name, err)
	}
	return s, nil
}

// converter returns the way from a channel's unit to SI, after correction.
func converter[Q quantity.Quantity](unit string, corrected func(float64) float64) (func(float64) float64, error) {
	if _, err := quantity.Parse[Q]("1 " + unit); err != nil {
		return nil, err
	}
	return func(v float64) float64 { return float64(quantity.Of[Q](corrected(v), unit)) }, nil
}
