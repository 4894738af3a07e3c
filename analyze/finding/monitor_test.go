package finding

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// struck is the tick at which the arc of a test is struck, step the time between its
// values, both in ns.
const (
	struck = 7_000_000_000
	step   = 10_000_000
)

// between10And20 returns a monitor that fills a list, and how to run it over values
// that are a step apart.
func between10And20(window, dwell int64) (m *monitor, found *[]deviation, run func(values ...float64)) {
	found = new([]deviation)
	m = &monitor{limits: quantity.Range[quantity.Ratio]{Low: 10, High: 20, HasLow: true, HasHigh: true}, dwell: dwell}
	m.recent.length = window
	m.report = func(d deviation) { *found = append(*found, d) }
	tick := int64(struck)
	return m, found, func(values ...float64) {
		for _, v := range values {
			m.add(reading{start: tick, end: tick + step, weight: step, mean: v})
			tick += step
		}
	}
}

// play runs a monitor with a window of half a second and a dwell of one over values.
func play(values []float64) []deviation {
	m, found, run := between10And20(5e8, 1e9)
	run(values...)
	m.end()
	return *found
}

// times is a value so many times over.
func times(n int, value float64) []float64 { return slices.Repeat([]float64{value}, n) }

// level is values and how many seconds each of them lasts.
func level(valuesAndSeconds ...float64) (x []float64) {
	for k := 0; k < len(valuesAndSeconds); k += 2 {
		x = append(x, times(int(valuesAndSeconds[k+1]*100), valuesAndSeconds[k])...)
	}
	return x
}

// The dwell to the sample, where the mean is that of a single reading: 100 readings
// of 10 ms are a second.
func TestMonitor_dwellToTheSample(t *testing.T) {
	for out, want := range map[int]int{99: 0, 100: 1, 101: 1} {
		m, found, run := between10And20(step, 100*step)
		run(slices.Concat(times(20, 15), times(out, 24), times(20, 15))...)
		m.end()
		require.Len(t, *found, want, "%d readings out", out)
		for _, d := range *found {
			assert.Equal(t, int64(struck+20*step), d.start.start)
			assert.Equal(t, int64(out)*step, d.out)
			assert.Equal(t, 24.0, d.worst)
			assert.Equal(t, 20.0, d.limit)
		}
	}
}

// The same with a window of 50 readings: of 15 and 25 the mean is above 20 with the 26th
// reading of 25, and until 24 readings of 15 have followed, so that it is out for one
// reading less than the channel.
func TestMonitor_dwellOfAMean(t *testing.T) {
	for out, want := range map[int]int{100: 0, 101: 1} {
		m, found, run := between10And20(50*step, 100*step)
		run(slices.Concat(times(200, 15), times(out, 25), times(200, 15))...)
		m.end()
		require.Len(t, *found, want, "%d readings out", out)
		for _, d := range *found {
			assert.Equal(t, int64(struck+200*step), d.start.start, "dated to the step")
			assert.Equal(t, int64(struck+301*step), d.end.start)
			assert.Equal(t, int64(100*step), d.out)
		}
	}
}

func TestMonitor_dwell(t *testing.T) {
	require.Empty(t, play(level(15, 3, 22, 0.9, 15, 3)), "shorter than the dwell")
	d := play(level(15, 3, 24, 2, 15, 3))
	require.Len(t, d, 1)
	require.Equal(t, int64(struck+3e9), d[0].start.start)
	require.Equal(t, int64(struck+5e9), d[0].end.start)
	require.Equal(t, 24.0, d[0].worst)
	require.Equal(t, 20.0, d[0].limit)
}

func TestMonitor_outFromTheStrikeToTheEnd(t *testing.T) {
	d := play(level(22, 4))
	require.Len(t, d, 1)
	require.Equal(t, int64(struck), d[0].start.start)
	require.Equal(t, int64(4e9), d[0].out)
}

// What is out with the first full window, or with the next reading, has been out since
// the strike; from the one after on it is dated by the change.
func TestMonitor_sinceTheStrike(t *testing.T) {
	for name, c := range map[string]struct {
		values []float64
		start  int64
		out    int64
	}{
		"with the first window":     {slices.Concat(times(20, 15), times(30, 24)), 0, 50},
		"with the reading after it": {slices.Concat(times(23, 15), times(28, 24)), 0, 51}, // 22*15 + 28*24 are 1002
		"a reading later":           {slices.Concat(times(24, 15), times(28, 24)), 24, 1},
	} {
		m, found, run := between10And20(50*step, 0)
		run(c.values[:len(c.values)-1]...)
		require.Zero(t, m.side, name)
		run(c.values[len(c.values)-1])
		require.NotZero(t, m.side, name)
		m.end()
		require.Len(t, *found, 1, name)
		assert.Equal(t, struck+c.start*step, (*found)[0].start.start, name)
		assert.Equal(t, c.out*step, (*found)[0].out, name)
	}
}

func TestMonitor_bothSides(t *testing.T) {
	d := play(level(22, 3, 5, 3))
	require.Len(t, d, 2)
	require.Equal(t, 20.0, d[0].limit)
	require.Equal(t, 10.0, d[1].limit)
	require.Equal(t, 5.0, d[1].worst)
	d = play(level(5, 3, 22, 3))
	require.Len(t, d, 2)
	require.Equal(t, 10.0, d[0].limit)
	require.Equal(t, 22.0, d[1].worst)
}

// From one side to the other in one reading: the first is over, the second begins.
func TestMonitor_fromSideToSide(t *testing.T) {
	m, found, run := between10And20(step, 3*step)
	run(15, 15, 25, 25, 25, 4, 4, 4, 4)
	require.Len(t, *found, 1)
	require.Equal(t, int64(3*step), (*found)[0].out)
	require.Equal(t, -6.0, m.side)
	m.end()
	require.Equal(t, int64(struck+5*step), (*found)[1].start.start)
	require.Equal(t, int64(4*step), (*found)[1].out)
}

// The worst is the greatest mean of those above, the least of those below.
func TestMonitor_worst(t *testing.T) {
	_, found, run := between10And20(step, step)
	run(15, 15, 22, 25, 23, 15)
	run(5, 2, 8, 15)
	require.Len(t, *found, 2)
	require.Equal(t, 25.0, (*found)[0].worst)
	require.Equal(t, 20.0, (*found)[0].limit)
	require.Equal(t, 2.0, (*found)[1].worst)
	require.Equal(t, 10.0, (*found)[1].limit)
}

// A mean that is back inside for a window ends the deviation; for less, it is still
// the same one. With a window of four readings, two of 15 between many of 25 leave the
// mean at 20 for three readings, on the limit; three of them at 20, 17.5, 17.5 and 20.
func TestMonitor_backInside(t *testing.T) {
	for inside, want := range map[int]int{2: 1, 3: 2} {
		m, found, run := between10And20(4*step, step)
		run(slices.Concat(times(10, 15), times(10, 25), times(inside, 15), times(10, 25))...)
		m.end()
		require.Len(t, *found, want, "%d of 15", inside)
		require.Equal(t, int64(struck+10*step), (*found)[0].start.start)
		if want == 2 {
			require.Equal(t, int64(struck+20*step), (*found)[0].end.start, "over where the channel went in")
			require.Equal(t, int64(struck+23*step), (*found)[1].start.start)
		}
	}
}

// A deviation is over where the mean went in, whatever the channel does later: with
// 18 for three readings the mean is at 19.75, and the -10 after it is another matter.
func TestMonitor_overWhereItWentIn(t *testing.T) {
	m, found, run := between10And20(4*step, step)
	run(slices.Concat(times(10, 15), times(10, 25), times(3, 18), times(1, -10), times(10, 18))...)
	m.end()
	require.Len(t, *found, 1)
	require.Equal(t, int64(struck+20*step), (*found)[0].end.start)
}

// On the limit is inside.
func TestMonitor_onTheLimit(t *testing.T) {
	m, found, run := between10And20(step, 0)
	run(10, 20, 10, 20, 20, 20)
	m.end()
	require.Empty(t, *found)
}

func TestMonitor_singleDipsAreNeverJudged(t *testing.T) {
	x := level(15, 10)
	for k := range x {
		if k%25 == 0 {
			x[k] = 0
		}
	}
	require.Empty(t, play(x))
}

// An arc that is out does not end a deviation: it goes on if the next arc interval
// begins with it, and was over with the arc if it does not.
func TestMonitor_overAnArcOut(t *testing.T) {
	for next, want := range map[float64]int64{25: 22, 15: 15} {
		m, found, run := between10And20(4*step, 0)
		run(slices.Concat(times(10, 15), times(5, 25))...)
		m.rest(reading{start: struck + 15*step, end: struck + 15*step})
		require.True(t, m.paused)
		m.rest(reading{start: struck + 99*step, end: struck + 99*step}) // twice is no worse
		run(times(8, next)...)
		m.end()
		require.Len(t, *found, 1)
		require.Equal(t, struck+want*step, (*found)[0].end.start, next)
	}
}

// Without a window nothing is a mean, and without limits nothing is judged though the
// mean is known.
func TestMonitor_withoutWindowOrLimits(t *testing.T) {
	m, found, run := between10And20(0, 0)
	run(times(10, 25)...)
	m.end()
	require.Empty(t, *found)
	require.False(t, m.now().Known)

	m, found, run = between10And20(2*step, 0)
	m.limits = limits{}
	run(25, 26, 28)
	require.Equal(t, Mean{Value: 27, Low: 26, High: 28, Known: true, Full: true}, m.now())
	require.Zero(t, m.side)
	m.end()
	require.Empty(t, *found)
	require.Equal(t, Mean{}, m.now())
}

func TestMonitor_now(t *testing.T) {
	m, _, run := between10And20(4*step, 0)
	require.Equal(t, Mean{}, m.now())
	run(12, 11, 13)
	require.Equal(t, Mean{Value: 12, Low: 11, High: 13, Known: true}, m.now(), "of what there is")
	run(12, 17)
	require.Equal(t, Mean{Value: 13.25, Low: 11, High: 17, Known: true, Full: true}, m.now())
}
