package pass

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/arc"
	"arctally/analyze/bore"
)

// Each reading stands for the time halfway to its neighbours: 0.1 m/s for the first
// second, 0.15 for the next two, 0.2 for what follows the last.
func TestFeed_speed(t *testing.T) {
	var f feed
	require.False(t, f.known())
	require.Zero(t, f.upTo(9*s))
	f.readSpeed(0.1, s)
	require.True(t, f.known())
	require.InDelta(t, 0.1, f.upTo(s), 1e-12)
	f.readSpeed(0.2, 3*s)
	require.InDelta(t, 0.1+0.3, f.upTo(3*s), 1e-12)
	require.InDelta(t, 0.1+0.3+0.4, f.upTo(5*s), 1e-12)
	require.InDelta(t, 0.4, f.upTo(3*s), 1e-12, "asking books nothing")
	f.book(5 * s)
	f.readSpeed(0.4, 6*s)
	require.InDelta(t, 0.8+0.3, f.upTo(6*s), 1e-12)
	f.restart(0.5, 2*s)
	require.InDelta(t, 0.5+0.4, f.upTo(3*s), 1e-12)
}

// The first reading stands for all the arc time before it, though that was looked at.
func TestFeed_bookedBeforeTheFirstReading(t *testing.T) {
	var f feed
	f.book(s)
	f.readSpeed(0.1, 2*s)
	require.InDelta(t, 0.2, f.upTo(2*s), 1e-12)
}

// A length counts while the arc burns, and from its second reading on; one that
// falls is a counter that was put back.
func TestFeed_length(t *testing.T) {
	var f feed
	f.readLength(5, true)
	require.True(t, f.known())
	require.Zero(t, f.upTo(s))
	f.readLength(5.25, true)
	f.readLength(6, false)
	f.readLength(6.5, true)
	f.readLength(1, true)
	f.readLength(1.125, true)
	require.InDelta(t, 0.25+0.5+0.125, f.upTo(s), 1e-12)
	f.readLength(1.125, true)
	require.InDelta(t, 0.875, f.upTo(s), 1e-12)
}

// 0.08 m/s over 9.99 s of arc; the deposit is that of a wire of 0.9 mm.
func TestTotal_wire(t *testing.T) {
	l := newLathe(job(bore.Straight), 0).play(wait(1))
	l.WireSpeed(0.08)
	p := l.play(burn(10), wait(2), burn(5)).end()
	require.InDelta(t, 0.7992, float64(*p[0].Wire), 1e-9)
	require.Equal(t, bore.DepositMass(0.0009, *p[0].Wire, 0.95), *p[0].Deposit)
	require.InDelta(t, 0.3992, float64(*p[1].Wire), 1e-9, "each pass has its own")

	j := job(bore.Straight)
	j.Deposit.WireDiameter = 0
	l = newLathe(j, 0)
	l.WireLength(1)
	l.play(burn(1))
	l.WireLength(2)
	p = l.end()
	require.InDelta(t, 1, float64(*p[0].Wire), 1e-12)
	require.Nil(t, p[0].Deposit)
	j.Deposit.WireDiameter, j.Deposit.Efficiency = 0.0009, 0
	l = newLathe(j, 0)
	l.WireLength(1)
	require.Nil(t, l.play(burn(1)).end()[0].Deposit)
}

// Wire that windows count is summed up with them.
func TestTotal_wireOfWindows(t *testing.T) {
	l := newLathe(job(bore.Straight), 0)
	for k := range int64(3) {
		l.Window(arc.Window{Start: k * s, End: (k + 1) * s, Arc: s, Energy: 2000, V: 20, I: 100, Wire: 0.08})
	}
	p := l.end()
	require.InDelta(t, 0.24, float64(*p[0].Wire), 1e-12)
}
