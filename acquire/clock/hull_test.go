package clock

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seen is one arrival: seconds of the source since its first one, and how much
// later than the first one it came, in us.
type seen struct{ second, late float64 }

// The edges of a hull in us of delay over seconds are parts per million. Corners
// at (0, 0), (1, -200) and (2, 100) have edges of -200 and +300 ppm.
func TestTracker_edgeByHand(t *testing.T) {
	for _, c := range []struct {
		name    string
		arrived []seen
		ppm     float64 // of the edge over the mean tick
		late    float64 // us, of the newest tick on that edge
	}{
		{"one arrival drifts by nothing", []seen{{0, 0}}, 0, 0},
		{"two are a line", []seen{{0, 0}, {2, 300}}, 150, 300},
		{"what lies above the edge says nothing", []seen{{0, 0}, {1, 900}, {2, 300}}, 150, 300},
		{"mean tick on the second edge", []seen{{0, 0}, {1, -200}, {3, 400}}, 300, 400},
		{"mean tick on the first edge", []seen{{0, 0}, {3, -600}, {4, -300}}, -200, -800},
		{"mean tick at the corner: the edge before it", []seen{{0, 0}, {1, -200}, {2, 100}}, -200, -400},
		{"a corner between two others goes away", []seen{{0, 0}, {1, 100}, {2, 100}, {3, -300}, {6, 600}}, -100, -600},
		// Mean of 0, 1 and 2.5 s: 1.17. With one of the late ones beside the first, it is below 1.
		{"the least delayed of a half second stands for it", []seen{{0, 0}, {0.1, 900}, {0.4, 900}, {0.49, 900}, {1, -200}, {2.5, 250}}, 300, 250},
		{"which is not the first of them", []seen{{0, 800}, {0.1, 900}, {0.25, -50}, {1, -200}, {2.5, 250}}, 300, 250},
		// Mean of 0, 1 and 1.8 s: 0.93; of 0.4, 1 and 1.8 s it is 1.07.
		{"of equals the first stands", []seen{{0, 0}, {0.4, 0}, {1, -200}, {1.8, 40}}, -200, -360},
		{"too steep for a drift: the steepest that can be", []seen{{0, 0}, {1, -700}, {2, -1400}}, -500, -1000 - 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			tracker, origin := Tracker{}, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
			at := func(s seen) time.Time {
				return origin.Add(time.Duration(s.second*1e9 + s.late*1e3))
			}
			for _, s := range c.arrived {
				tracker.Observe(0, int64(1.3e9+s.second*1e9), at(s))
			}
			fit, ok := tracker.Fit()
			require.True(t, ok)
			assert.InDelta(t, c.ppm, (fit.Slope-1)*1e6, 1e-4)
			newest := c.arrived[len(c.arrived)-1]
			assert.Equal(t, at(seen{newest.second, c.late}), fit.Wall)
		})
	}
}

// A mean that rounding puts beyond the last corner is still on the last edge.
func TestEdgeOver_ends(t *testing.T) {
	hull := []point{{0, 0}, {1, -2}, {2, 1}}
	a, b := edgeOver(hull, 2.5)
	assert.Equal(t, []point{hull[1], hull[2]}, []point{a, b})
	a, b = edgeOver(hull, 0)
	assert.Equal(t, []point{hull[0], hull[1]}, []point{a, b})
}

// An arrival counts for 120 s, and not for a nanosecond more. All but the first
// come 1 ms after it, so that the edge from it to the last is 1000/120 ppm.
func TestTracker_window(t *testing.T) {
	for last, want := range map[int64]float64{120e9: 1000.0 / 120, 120e9 + 1: 0} {
		tracker, origin := Tracker{}, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
		tracker.Observe(0, 0, origin)
		for tick := int64(10e9); tick < 120e9; tick += 10e9 {
			tracker.Observe(0, tick, origin.Add(time.Duration(tick)+time.Millisecond))
		}
		tracker.Observe(0, last, origin.Add(time.Duration(last)+time.Millisecond))
		fit, _ := tracker.Fit()
		assert.InDelta(t, want, (fit.Slope-1)*1e6, 1e-4, "after %d ns", last)
	}
}
