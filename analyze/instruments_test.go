package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

func noSlow() instruments {
	return newInstruments([]calib.Calibration{gained("voltage", 1, 0.05)}, nil)
}

// A calibration holds from its tick on, and in all epochs after its own.
func TestInstruments_holdingAt(t *testing.T) {
	i := noSlow()
	i.calibrate(gained("voltage", 2, 0.01), pass.Moment{Epoch: 1, Tick: 100})
	i.calibrate(gained("voltage", 3, 0.02), pass.Moment{Epoch: 1, Tick: 200})
	for _, c := range []struct {
		epoch             int
		tick, from, until int64
		gain              float64
	}{
		{0, 500, minTick, maxTick, 1},
		{1, 99, minTick, 100, 1},
		{1, 100, 100, 200, 2},
		{1, 199, 100, 200, 2},
		{1, 200, 200, maxTick, 3},
		{2, 5, minTick, maxTick, 3},
	} {
		h := i.holdingAt(c.epoch, c.tick)
		assert.Equal(t, [2]int64{c.from, c.until}, [2]int64{h.from, h.until}, "%+v", c)
		last := h.calibrations[len(h.calibrations)-1]
		assert.Equal(t, c.gain, last.Gain, "%+v", c)
	}
}

// Of a channel the last calibration counts; one without an uncertainty is none.
func TestInstruments_known(t *testing.T) {
	i := noSlow()
	i.calibrate(gained("current", 1, 0.01), pass.Moment{Tick: 100})
	i.calibrate(gained("current", 1, 0), pass.Moment{Tick: 200})
	for tick, want := range map[int64]bool{99: false, 100: true, 199: true, 200: false} {
		assert.Equal(t, want, i.known("current", pass.Moment{Tick: tick}), "%d", tick)
		assert.True(t, i.known("voltage", pass.Moment{Tick: tick}))
		assert.False(t, i.known("travel", pass.Moment{Tick: tick}))
	}
}

// The map covers the whole record: of all that ever held of the wire, the worst.
func TestInstruments_wireDoubt(t *testing.T) {
	i := noSlow()
	assert.Zero(t, i.wireDoubt())
	i.calibrate(gained("wire_speed", 1, 0.006), pass.Moment{Tick: 100})
	assert.Equal(t, quantity.Ratio(0.006), i.wireDoubt())
	i.calibrate(gained("wire_speed", 1, 0.004), pass.Moment{Tick: 200})
	assert.Equal(t, quantity.Ratio(0.006), i.wireDoubt())
	i.calibrate(gained("wire_length", 1, 0.007), pass.Moment{Tick: 50})
	assert.Equal(t, quantity.Ratio(0.007), i.wireDoubt())
}
