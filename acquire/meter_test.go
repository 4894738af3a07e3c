package acquire_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// recordMeter records the lines of a plain meter, on the clock of the pieces.
func recordMeter(t *testing.T, p *pieces, r interface{ Read([]byte) (int, error) }) (*memory, acquire.Tally) {
	t.Helper()
	m := &memory{}
	box := acquire.NewMeter(r, sensorbox.Layout(), func() time.Time { return p.now })
	tallies, err := acquire.RecordBoxes(context.Background(), []acquire.Box{box}, acquire.Config{Sinks: []series.Sink{m}, Beat: make(chan time.Time)})
	require.NoError(t, err)
	return m, tallies[0]
}

// A plain meter is recorded by the clock of the host, and its record says what it lacks.
func TestRecord_PlainMeter(t *testing.T) {
	var text strings.Builder
	for k := range 101 {
		fmt.Fprintf(&text, "17.%d,14%d,5.5\r\n", k%10, k%10)
	}
	p := cut([]byte(text.String()), len("17.5,145,5.5\r\n"), 20*time.Millisecond)
	m, tally := recordMeter(t, p, p)
	require.Len(t, m.sources, 1)
	assert.True(t, m.sources[0].Unprotected)
	assert.Contains(t, m.events1(t, series.Remark).Text, "unprotected link")
	assert.EqualValues(t, 100, tally.Samples, "the first line never counts")
	assert.Zero(t, tally.Damaged+tally.Lost)
	got := m.samples()
	require.Len(t, got, 100)
	for k, s := range got {
		n := (k + 1) % 10
		assert.Equal(t, int32(17_000_000+100_000*n), s.v)
		assert.Equal(t, int32(14_000_000+100_000*n), s.i)
		assert.EqualValues(t, (k+1)*20*int(time.Millisecond), s.tick)
	}
	require.NotEmpty(t, m.fits)
	assert.InDelta(t, 1, m.fits[len(m.fits)-1].Slope, 1e-6)
}

// What was cut by the plug is not joined with what came after it; the damage is a break,
// as nothing tells what it has cost.
func TestRecord_PlainMeterUnplugged(t *testing.T) {
	p := cut(nil, 1, 0)
	p.left = []piece{
		{[]byte("17.1,141,5.5\n17.1,141,5.5\n17.1,14"), time.Millisecond},
		{[]byte("9,5.5\n17.2,142,5.5\n17.3,143,5.5\nx\n17.4,144,5.5\n"), time.Second},
	}
	w := &watched{pieces: p}
	reads := 0
	p.at = func() {
		if reads++; reads == 2 {
			w.tell(series.Event{Kind: series.Unplugged, Count: 1, Text: "away"})
			w.tell(series.Event{Kind: series.Replugged, Count: 1, Text: "back"})
		}
	}
	m, tally := recordMeter(t, p, w)
	var volts []float64
	var breaks []bool
	for _, s := range m.samples() {
		volts, breaks = append(volts, math.Round(float64(s.v)/1e5)/10), append(breaks, s.begin)
	}
	assert.Equal(t, []float64{17.1, 17.3, 17.4}, volts)
	assert.Equal(t, []bool{true, true, true}, breaks)
	assert.EqualValues(t, 2, tally.Damaged, "the line behind the cut one, whose beginning nobody saw, and the bad one")
}
