package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// idling returns what a detector tells of samples without an arc, handed on in blocks.
func idling(size int, x ...Sample) (told []Idle) {
	d := NewDetector(limits, func(Event) {})
	d.Source(series.Source{MaxStep: 50 * ms})
	d.WhileOut(func(i Idle) { told = append(told, i) })
	for len(x) > 0 {
		block := x[:min(size, len(x))]
		n := d.SkipCold(block, 1<<62)
		if n == 0 {
			n = d.Take(block)
		}
		x = x[n:]
	}
	return told
}

// Means over a tenth of a second each, up to the strike and from where the arc went out:
// 60 V without current, then current without voltage. Blocks make no difference.
func TestIdle(t *testing.T) {
	var x []Sample
	for k := int64(0); k <= 150; k++ {
		x = append(x, at(k, 60, 0))
	}
	for k := int64(151); k < 200; k++ {
		x = append(x, burning(k))
	}
	for k := int64(200); k <= 620; k++ {
		x = append(x, at(k, 2, float64(k%2)*10))
	}
	want := []Idle{
		{From: 0, Tick: 100 * ms, V: 60},
		{From: 199 * ms, Tick: 200 * ms, V: 2},
		{From: 200 * ms, Tick: 300 * ms, V: 2, I: 5},
		{From: 300 * ms, Tick: 400 * ms, V: 2, I: 5},
		{From: 400 * ms, Tick: 500 * ms, V: 2, I: 5},
		{From: 500 * ms, Tick: 600 * ms, V: 2, I: 5},
	}
	for _, size := range []int{1, 7, 1000} {
		require.Equal(t, want, idling(size, x...), size)
	}
}

// What is missing, held or goes back in time is no step; what comes behind it begins anew.
func TestIdle_doesNotJoin(t *testing.T) {
	require.Equal(t, []Idle{{From: 91 * ms, Tick: 110 * ms, V: 30}, {From: 180 * ms, Tick: 200 * ms, V: 30}}, idling(1,
		at(0, 60, 0), at(40, 60, 0), at(91, 60, 0), // a gap of 51 ms
		at(90, 70, 0), at(90, 30, 0), // goes back, and is skipped
		at(110, 30, 0), at(130, 30, 0), at(140, 99, 0, Held), at(180, 60, 0, Held), at(200, 30, 0))[:2])
}

// A window says it by itself, with the wire that it counted.
func TestIdle_window(t *testing.T) {
	var told []Idle
	d := NewDetector(limits, func(Event) {})
	d.Window(Window{Start: 0, End: 20 * ms, V: 60})
	d.WhileOut(func(i Idle) { told = append(told, i) })
	d.Window(Window{Start: 20 * ms, End: 40 * ms, V: 60, Wire: 2e-3})
	d.Window(Window{Start: 40 * ms, End: 60 * ms, V: 20, I: 100, Arc: 20 * ms})
	require.Equal(t, []Idle{{From: 20 * ms, Tick: 40 * ms, V: 60, Wire: 0.1}}, told)
}

// Nothing is summed up across the end of a clock.
func TestIdle_finish(t *testing.T) {
	var told []Idle
	d := NewDetector(limits, func(Event) {})
	d.WhileOut(func(i Idle) { told = append(told, i) })
	play(d, at(0, 60, 0), at(50, 60, 0))
	d.Finish()
	play(d, at(1000, 30, 0), at(1050, 30, 0), at(1100, 30, 0))
	require.Equal(t, []Idle{{From: 1000 * ms, Tick: 1100 * ms, V: 30}}, told)
}
