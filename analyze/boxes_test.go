package analyze

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// said is a source as a box says it on a port.
func said(serial, port string) series.Source {
	s := source(0)
	s.Serial, s.Port = serial, port
	return s
}

// weldedBy has a coupon laid once an epoch, 2 s at 20 V and 150 A, each time by a box.
func weldedBy(t *testing.T, r *Run, who ...series.Source) Result {
	t.Helper()
	for epoch, s := range who {
		require.NoError(t, r.Source(s))
		b := steady(0, ms, 2001)
		b.Epoch = epoch
		require.NoError(t, r.Block(&b))
	}
	return r.Finish()
}

// bound is gained, bound to a box.
func bound(box, channel string, gain, relative float64) calib.Calibration {
	c := gained(channel, gain, relative)
	c.Box = box
	return c
}

// What was seen: a check of gain 1.2 made with one box silently corrected another that
// appeared on the same path.
func TestRun_anotherBoxIsNotCorrected(t *testing.T) {
	r := New(coupon(), []calib.Calibration{gained("current", 1.1, 0.01)}) // of the box that speaks first
	r.Calibrate(bound("A", "voltage", 1.2, 0.001), 0, 0)
	res := weldedBy(t, r, said("A", "p"), said("B", "p"), said("A", "p"))
	require.Len(t, res.Passes, 3)
	a, b, again := res.Passes[0], res.Passes[1], res.Passes[2]
	assert.InDelta(t, 24, float64(*a.VoltageMean), 1e-9)
	assert.InDelta(t, 165, float64(*a.CurrentMean), 1e-9)
	assert.InDelta(t, 20, float64(*b.VoltageMean), 1e-9, "B was never checked")
	assert.InDelta(t, 150, float64(*b.CurrentMean), 1e-9)
	assert.InDelta(t, 24, float64(*again.VoltageMean), 1e-9)
	assert.Equal(t, a.Budget, again.Budget)
	assert.Greater(t, *b.ExpandedUncertainty / *b.HeatInput, *a.ExpandedUncertainty / *a.HeatInput)
	assert.Equal(t, "the calibration of voltage is that of box A, and box B measured", b.Budget[0].Elsewhere)
	boxes := kind(res, "box")
	require.Len(t, boxes, 2)
	assert.Equal(t, "another box measures from here on: box B in place of box A; what is bound to the former corrects nothing of it; no calibration: voltage, current", boxes[0].Text)
	assert.Equal(t, 1, boxes[0].Start.Epoch)
	assert.Contains(t, boxes[1].Text, "box A in place of box B")
	assert.NotContains(t, boxes[1].Text, "voltage")
	assert.Equal(t, "no calibration of voltage holds for 1 of 3 passes: the calibration of voltage is that of box A, and box B measured; the uncertainty of a field instrument stands in",
		kind(res, "no-calibration")[0].Text)
}

// A record of a program that bound nothing is read as it was, and says so.
func TestRun_oldRecordsReadAsTheyAre(t *testing.T) {
	r := New(coupon(), nil)
	r.Calibrate(gained("voltage", 1.2, 0.001), 0, 0)
	res := weldedBy(t, r, said("A", ""), said("B", ""))
	assert.Equal(t, res.Passes[0].VoltageMean, res.Passes[1].VoltageMean)
	assert.Equal(t, res.Passes[0].Budget, res.Passes[1].Budget)
	boxes := kind(res, "box")
	require.Len(t, boxes, 1)
	assert.Contains(t, boxes[0].Text, "2 boxes speak in this record, A, B, and it was made by a program that bound no calibration to a box")
	for _, one := range [][]series.Source{{said("A", "")}, {said("", ""), said("", "")}, {said("A", "p"), said("A", "q")}} {
		assert.Empty(t, kind(weldedBy(t, New(coupon(), nil), one...), "box"))
	}
}

// A box that says once more what it has said, as where a record is gone on with, is not
// another one: live it says so, and the record keeps no row of it.
func TestRun_saidAgain(t *testing.T) {
	assert.Len(t, weldedBy(t, New(coupon(), nil), said("A", "p"), said("A", "p")).Speakers, 1)
	assert.Len(t, weldedBy(t, New(coupon(), nil), said("A", "p"), said("B", "p")).Speakers, 2)
}

// Samples of nobody that said who he was are under no calibration, and a pass that they
// share with others is no better known than they are.
func TestRun_notDescribedInMidPass(t *testing.T) {
	lay := func(middle series.Source) Result {
		r := New(coupon(), nil)
		r.Calibrate(bound("A", "voltage", 1.2, 0.001), 0, 0)
		for k, s := range []series.Source{said("A", "p"), middle, said("A", "p")} {
			require.NoError(t, r.Source(s))
			b := steady(int64(k)*2001*ms, ms, 2001)
			require.NoError(t, r.Block(&b))
		}
		return r.Finish()
	}
	for name, change := range map[string]func(*series.Source){
		"not described":  func(s *series.Source) { s.Assumed, s.Serial = true, "" },
		"of one serial":  func(s *series.Source) { s.Contested = true },
		"said otherwise": func(s *series.Source) { s.Firmware = "2" },
	} {
		middle := said("A", "p")
		change(&middle)
		res := lay(middle)
		require.Len(t, res.Passes, 1, name)
		volts, elsewhere := 24-4.0/3, true
		if name == "said otherwise" {
			volts, elsewhere = 24, false
		}
		assert.InDelta(t, volts, float64(*res.Passes[0].VoltageMean), 0.01, name)
		assert.Equal(t, elsewhere, res.Passes[0].Budget[0].Elsewhere != "", name)
		assert.Equal(t, elsewhere, len(kind(res, "box")) == 1, "%s: %v", name, kind(res, "box"))
	}
}

// The wire speed of a companion goes by the companion's calibration, and the arc box
// that is swapped leaves it as it is.
func TestRun_companion(t *testing.T) {
	with := func(arc, companion string) series.Source {
		s := said(arc, "p")
		s.Channels[2].Owner = companion
		return s
	}
	wire := func(who ...series.Source) (speeds []float64) {
		r := New(coupon(), nil)
		r.Calibrate(bound("W", "wire_speed", 2, 0.001), 0, 0)
		r.instruments.slow = func(c series.Channel, line calib.Line) slowChannel {
			speeds = append(speeds, line.Of(1))
			return slowChannel{}
		}
		weldedBy(t, r, who...)
		return speeds
	}
	last := func(speeds []float64) float64 { return speeds[len(speeds)-2] } // the temperature comes after it
	assert.Equal(t, 2.0, last(wire(with("A", "W"), with("B", "W"))))
	assert.Equal(t, 1.0, last(wire(with("A", "W"), with("A", "X"))))
	assert.Equal(t, 1.0, last(wire(with("W", "X"))), "the serial of the arc box is not that of the wire")
}

// Whatever boxes come and go, and whenever checks are made: no calibration that names a
// box touches a sample of another, and a review that knows all of them from the start
// gives what was judged while they came.
func TestRun_boxesLiveAsReviewed(t *testing.T) {
	random := rand.New(rand.NewPCG(10, 2))
	serials := []string{"A", "B", "C", ""}
	for round := range 40 {
		var who []series.Source
		var checks []calib.Timed
		for epoch := range 2 + random.IntN(4) {
			s := said(serials[random.IntN(len(serials))], []string{"p", "q"}[random.IntN(2)])
			s.Contested, s.Assumed = random.IntN(8) == 0, random.IntN(8) == 0
			who = append(who, s)
			if random.IntN(2) == 0 {
				c := calib.Timed{Calibration: gained([]string{"voltage", "current"}[random.IntN(2)], 1.5+float64(len(checks)), 0.01), Epoch: epoch, Tick: 2000*ms + 1}
				if own := s.Identity(); random.IntN(2) == 0 && series.IsNamed(own) {
					c.Box = own
				}
				checks = append(checks, c)
			}
		}
		live, review := New(coupon(), nil), New(coupon(), nil)
		for _, c := range checks {
			review.Calibrate(c.Calibration, c.Epoch, c.Tick)
		}
		for epoch, s := range who {
			for _, c := range checks {
				if c.Epoch == epoch-1 {
					live.Calibrate(c.Calibration, c.Epoch, c.Tick)
				}
			}
			b := steady(0, ms, 2001)
			b.Epoch = epoch
			for _, r := range []*Run{live, review} {
				require.NoError(t, r.Source(s))
				require.NoError(t, r.Block(&b))
			}
		}
		told, again := live.Finish(), review.Finish()
		require.Equal(t, told.Warnings, again.Warnings, "round %d", round)
		require.Equal(t, told.Passes, again.Passes, "round %d", round)
		require.Len(t, told.Passes, len(who))
		for k, p := range told.Passes {
			for _, c := range checks {
				if c.Channel == "voltage" && c.Box != "" && c.Box != who[k].Identity() {
					require.NotEqual(t, 20*c.Gain, float64(*p.VoltageMean), "round %d, pass %d", round, k+1)
				}
			}
		}
	}
}
