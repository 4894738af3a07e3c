package acquire_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
)

// Just a second after the last one a fit is due again. What brings no newer tick
// says nothing of the clock, and brings none.
func TestRecord_ClockFitsAreDueAfterASecond(t *testing.T) {
	b := newBox(t)
	p := cut(nil, 1, 0)
	b.hello(described())
	for range 5 {
		b.arc(1)
		p.left = append(p.left, piece{slices.Clone(b.stream), 500 * time.Millisecond})
		b.stream = b.stream[:0]
	}
	begun := p.now
	b.head.TickUS -= stepUS // that of the last sample
	b.hello(described())
	p.left = append(p.left, piece{b.stream, 5 * time.Second})
	m, _ := record(t, link.Binary, p)
	var at []time.Duration
	for _, fit := range m.fits {
		at = append(at, fit.Arrival.Sub(begun))
	}
	const half = 500 * time.Millisecond
	assert.Equal(t, []time.Duration{half, 3 * half, 5 * half, 5 * half}, at, "the last one at the end")
}

// The fit is handed out once a second of host time, at once in a new epoch, and
// at the end.
func TestRecord_ClockFits(t *testing.T) {
	b := newBox(t)
	p := cut(nil, 1, 0)
	begun := p.now
	b.hello(described())
	send := func(frames int) {
		for range frames {
			b.arc(1)
			p.left = append(p.left, piece{slices.Clone(b.stream), samples * stepUS * time.Microsecond})
			b.stream = b.stream[:0]
		}
	}
	send(1000) // 3.2 s
	b.reboot()
	send(10)
	m, _ := record(t, link.Binary, p)
	require.Len(t, m.fits, 6, "at 0, 1, 2, 3 s, at the reboot, at the end")
	for k, fit := range m.fits[:4] {
		assert.Equal(t, 0, fit.Epoch)
		assert.InDelta(t, float64(k), fit.Arrival.Sub(begun).Seconds(), 0.02)
		assert.InDelta(t, 1, fit.Slope, 1e-9)
		// Without delay a sample is here when the frame is: its last step
		// has not ended.
		assert.Equal(t, fit.Arrival, fit.Wall)
		assert.Equal(t, fit.Arrival.Sub(begun), time.Duration(fit.Tick)+step)
	}
	assert.Equal(t, 1, m.fits[4].Epoch)
	assert.Equal(t, 1, m.fits[5].Epoch)
	assert.Equal(t, p.now, m.fits[5].Arrival)
}
