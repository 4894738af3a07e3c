package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/pass"
)

// silentJob has thresholds of 15 A and 8 V, and a wire set to 0.1 m/s.
func silentWeld() *weld {
	job := testJob()
	job.Procedure.Judge.ArcCurrent, job.Procedure.Judge.ArcVoltage = 15, 8
	job.Setpoints.WireSpeed = 0.1
	w := newWeld(job)
	w.volts, w.amperes = 18, 140
	return w
}

// idles shows voltage and current without an arc for so many tenths of a second, while the
// wire feeds.
func (w *weld) idles(tenths int, v, i, wire float64) {
	for range tenths {
		w.Watch.Wire(w.tick, wire)
		w.Idle(arc.Idle{From: w.tick, Tick: w.tick + 1e8, V: v, I: i})
		w.tick += 1e8
	}
}

func (w *weld) going() (rules []Rule) {
	for _, o := range w.Open(w.here(), 0) {
		rules = append(rules, o.Rule)
	}
	return rules
}

// What comes alone is told once it has lasted for a second: wire, voltage with wire, current.
func TestSilent_afterASecond(t *testing.T) {
	for rule, show := range map[Rule][3]float64{WireWithoutArc: {0, 0, 0.1}, VoltageOnly: {70, 3, 0.1}, CurrentOnly: {3, 120, 0}} {
		w := silentWeld()
		w.burn(2)
		w.Rest(w.here())
		w.idles(9, show[0], show[1], show[2])
		require.NotContains(t, w.going(), rule)
		w.idles(1, show[0], show[1], show[2])
		require.Contains(t, w.going(), rule)
		for _, o := range w.Open(w.here(), 1) {
			if o.Rule == rule {
				require.True(t, o.Certain)
				require.NotEmpty(t, o.Going())
				require.Equal(t, quantity.Seconds(1), o.Lasted)
			}
		}
		w.idles(1, 0, 0, 0)
		require.NotContains(t, w.going(), rule)
		require.Len(t, w.Found(), 1)
		f := w.Found()[0]
		require.Equal(t, rule, f.Rule)
		require.Equal(t, 1.0, f.Worst)
		require.InDelta(t, 105, float64(f.Place.Angle), 1e-9)
		require.InDelta(t, 7.5, float64(*f.Way), 1e-9)
	}
}

// What is as it should be is not told: nothing, voltage while the wire stands or is not
// known to feed, an arc.
func TestSilent_nothingAlone(t *testing.T) {
	w := silentWeld()
	w.burn(3)
	w.Rest(w.here())
	w.idles(20, 0, 0, 0)
	w.idles(20, 70, 0, 0.009)
	w.idles(20, 18, 140, 0.1) // the source's flag says no arc
	w.idles(5, 70, 0, 0.1)
	w.tick += 1e9
	w.idles(5, 70, 0, 0.1) // data was missing in between
	w.idles(1, 0, 0, 0)
	w.Watch.Wire(w.tick, 0.1)
	for range 15 { // that reading is old by now
		w.Idle(arc.Idle{From: w.tick + 3e9, Tick: w.tick + 3.1e9})
		w.tick += 1e8
	}
	require.Empty(t, w.going())
	w.end()
	require.Empty(t, w.Found())
	require.Empty(t, w.Silent())
}

// Current that goes on at no voltage while an arc is taken to burn is none.
func TestSilent_currentOnlyInTheArc(t *testing.T) {
	w := silentWeld()
	w.burn(2)
	w.volts = 3
	w.burn(1.5)
	require.Contains(t, w.going(), CurrentOnly)
	w.volts = 18
	w.burn(2)
	require.NotContains(t, w.going(), CurrentOnly)
	w.end()
	require.Equal(t, CurrentOnly, w.Found()[0].Rule)
	require.InDelta(t, 1.5, w.Found()[0].Worst, 1e-9)
	require.EqualValues(t, 14e9, w.Found()[0].Start.Tick)
}

// The bucket in which the arc went out says nothing of what came after it.
func TestSilent_bucketOfTheArcOut(t *testing.T) {
	w := silentWeld()
	w.burn(1)
	w.idles(8, 70, 0, 0.1)
	w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: w.tick - 8e8, End: w.tick, Arc: 1e6, V: 18e6, I: 140e6}})
	w.idles(2, 70, 0, 0.1)
	require.Contains(t, w.going(), VoltageOnly)
}

// An arc that was out where the plan has it burning is told once.
func TestSilent_arcOutIsToldOnce(t *testing.T) {
	w := silentWeld()
	w.burn(2)
	from := w.here()
	w.Rest(from)
	w.idles(20, 70, 0, 0.1)
	w.Resume(from, w.here(), 2)
	w.burn(2)
	w.end()
	require.Len(t, w.Found(), 1)
	require.Equal(t, ArcOut, w.Found()[0].Rule)
}

// What goes on as the pass ends is a finding of it, up to there.
func TestSilent_endOfThePass(t *testing.T) {
	w := silentWeld()
	w.burn(2)
	w.Rest(w.here())
	w.idles(15, 70, 0, 0.1)
	w.end()
	f := w.only(t)
	require.Equal(t, VoltageOnly, f.Rule)
	require.Equal(t, 1.5, f.Worst)
	w.idles(15, 70, 0, 0.1)
	require.Empty(t, w.going())
	require.NotEmpty(t, w.Seen())
}

// Outside of a pass nothing is a finding: it is counted, and said to be going on.
func TestSilent_outsideOfPasses(t *testing.T) {
	w := silentWeld()
	w.end()
	for range 2 {
		w.idles(15, 3, 120, 0)
		require.Equal(t, []Rule{CurrentOnly}, w.going())
		require.Empty(t, w.Seen())
		require.False(t, w.Open(w.here(), 0)[0].Certain)
		w.idles(1, 0, 0, 0)
	}
	w.idles(12, 70, 0, 0.1)
	require.Empty(t, w.going(), "it may be as it should be")
	require.Contains(t, w.Seen(), "voltage but no current")
	w.strike(5)
	w.burn(1)
	require.Empty(t, w.Found())
	require.Len(t, w.Silent(), 2)
	require.Equal(t, Silent{CurrentOnly, 2, 3, pass.Moment{Epoch: 3, Tick: 12e9}}, w.Silent()[0])
	require.Equal(t, 1, w.Silent()[1].Count)
}

// A wire that is read once a second feeds in between as well.
func TestSilent_slowReadings(t *testing.T) {
	w := silentWeld()
	w.burn(2)
	w.Rest(w.here())
	for k := range 12 {
		if k%10 == 0 {
			w.Watch.Wire(w.tick, 0.1)
		}
		w.Idle(arc.Idle{From: w.tick, Tick: w.tick + 1e8, V: 70})
		w.tick += 1e8
	}
	require.Contains(t, w.going(), VoltageOnly)
}

// Windows bring the wire that they counted.
func TestSilent_wireOfWindows(t *testing.T) {
	w := silentWeld()
	w.end()
	for range 60 {
		w.Idle(arc.Idle{From: w.tick, Tick: w.tick + 2e7, V: 70, Wire: 0.1})
		w.tick += 2e7
	}
	require.Contains(t, w.Seen(), "voltage but no current")
	w.idles(1, 0, 0, 0)
	require.Empty(t, w.Seen())
}
