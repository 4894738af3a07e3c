package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/rotation"
)

// Two seconds of 15 V, from 90 degrees and 2 s, that is 105 degrees on: a finding with
// all that is known of it.
func TestMeans_voltage(t *testing.T) {
	w := newWeld(testJob())
	w.burn(2)
	w.volts = 15
	w.burn(2)
	w.volts = 17.5
	w.burn(2)
	w.end()
	f := w.only(t)
	require.InDelta(t, 105, float64(f.Place.Angle), 1e-9)
	require.InDelta(t, 0.003*14/48, float64(f.Place.Depth), 1e-12)
	require.InDelta(t, 15, float64(*f.Way), 1e-9)
	f.Place, f.Way = nil, nil
	require.Equal(t, Finding{
		Number: 1, Rule: Voltage, Pass: 4, Layer: 2, Start: pass.Moment{Epoch: 3, Tick: 14e9}, Duration: 2, Worst: 15, Limit: 16.5, Beyond: -1.5,
		Sentence: "voltage 15.0 V, below the limit of 16.5 V for 2.0 s, from 105 deg at 0.9 mm depth; look at the set voltage, the leads and clamps, and whether the wire was stubbing",
	}, f)
	require.Equal(t, 1, w.pass.Findings)
}

// A bucket counts for the time in which its arc burned: of 160 A over 10 ms and 200 A
// over 5 ms by turns the mean is 173.3 A.
func TestMeans_currentByArcTime(t *testing.T) {
	w := newWeld(testJob())
	for k := range int64(300) {
		burned := int64(step) >> (k % 2)
		amperes := 160 + 40*float64(k%2)
		w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + step, Arc: burned, V: 18 * float64(burned), I: amperes * float64(burned)}})
		w.tick += step
	}
	w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + step, V: 1e12, I: 1e12}}) // without arc it says nothing
	require.InDelta(t, 18, w.Means().Voltage.Value, 1e-9)
	require.InDelta(t, 520.0/3, w.Means().Current.Value, 1e-9)
	require.Equal(t, 160.0, w.Means().Current.Low)
	require.Equal(t, 200.0, w.Means().Current.High)
	w.end()
	f := w.only(t)
	require.Equal(t, Current, f.Rule)
	require.Equal(t, 160.0, f.Limit)
}

// Travel is judged by the counts, either way round: 6 mm/s at the speed of the torch, so
// 4.8 mm/s at 0.8 of it. Where nothing is counted there is no mean of it.
func TestMeans_travel(t *testing.T) {
	for _, direction := range []float64{1, -1} {
		job := testJob()
		w := newWeld(job)
		turns := w.here().Turns
		for k := range 600 {
			speed := 1.0
			if k >= 200 && k < 400 {
				speed = 0.8
			}
			turns += direction * speed * step / turnTime
			w.Burn(&pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + step}, TurnsBasis: heat.TravelMeasured, Turns: turns})
			w.tick += step
		}
		require.InDelta(t, 0.006, w.Means().Travel.Value, 1e-9)
		w.end()
		f := w.only(t)
		require.Equal(t, TravelSpeed, f.Rule)
		require.InDelta(t, 0.0048, f.Worst, 1e-9)
		require.InDelta(t, 2, float64(f.Duration), 1e-9)
		require.InDelta(t, float64(turning{}.PlaceOf(0.25+direction*2/48).Angle), float64(f.Place.Angle), 1e-6)
	}
	w := newWeld(testJob())
	w.basis = heat.TravelDerived
	w.burn(1)
	require.False(t, w.Means().Travel.Known)
	require.True(t, w.Means().Current.Known)
}

// A reading of a slow channel stands for the time since the one before it, and the
// first one for the time since the strike; what is read without an arc does not count.
func TestMeans_slowChannels(t *testing.T) {
	w := newWeld(testJob())
	read := func(seconds float64, wire, gas float64) {
		w.burn(seconds)
		w.Wire(w.tick, wire)
		w.Gas(w.tick, gas)
	}
	read(0.3, 0.1, 0.00025)
	require.False(t, w.Means().Wire.Full, "0.3 s of half a second")
	require.Equal(t, 0.1, w.Means().Wire.Value)
	read(0.2, 0.05, 0.00025)
	require.InDelta(t, (0.3*0.1+0.2*0.05)/0.5, w.Means().Wire.Value, 1e-15)
	require.True(t, w.Means().Wire.Full)
	w.Wire(w.tick, 7) // of no time at all
	require.InDelta(t, 0.08, w.Means().Wire.Value, 1e-15)
	require.Equal(t, 0.1, w.Means().Wire.High)
	require.Equal(t, 0.00025, w.Means().Gas.Value)

	w.Rest(w.here())
	w.tick += 5e9
	w.Wire(w.tick, 0.01)
	require.False(t, w.Means().Wire.Known, "the arc is out")
	w.Resume(w.here(), w.here(), 0)
	read(0.25, 0.1, 0.00025)
	require.Equal(t, Mean{Value: 0.1, Low: 0.1, High: 0.1, Known: true}, w.Means().Wire, "since the strike, and no longer")
}

// The gas fails 2 s after the strike: its reading stands from 1.9 s on, and so does the
// place.
func TestMeans_gas(t *testing.T) {
	w := newWeld(testJob())
	for k := range 60 {
		w.burn(0.1)
		flow := 0.00025
		if k >= 20 && k < 40 {
			flow = 0.0001
		}
		w.Gas(w.tick, flow)
	}
	w.end()
	f := w.only(t)
	require.Equal(t, GasFlow, f.Rule)
	require.Equal(t, pass.Moment{Epoch: 3, Tick: 14e9}, f.Start)
	require.InDelta(t, 105, float64(f.Place.Angle), 1e-9)
	require.InDelta(t, 2, float64(f.Duration), 1e-9)
	require.InDelta(t, 0.0001, f.Worst, 1e-12)
}

// Without limits everything is a mean and nothing is a finding.
func TestMeans_withoutLimits(t *testing.T) {
	job := testJob()
	job.Procedure.Limits.Voltage = quantity.Range[quantity.Volts]{}
	w := newWeld(job)
	w.volts = 50
	w.burn(3)
	require.Equal(t, Mean{Value: 50, Low: 50, High: 50, Known: true, Full: true}, w.Means().Voltage)
	w.end()
	require.Empty(t, w.Found())
}

func TestMeans_deviating(t *testing.T) {
	w := newWeld(testJob())
	w.burn(1)
	require.False(t, w.means.deviating())
	w.amperes = 200
	w.burn(1)
	require.True(t, w.means.deviating())
}

// What goes on is told from the first mean that is out, and is certain from the dwell on.
func TestWatch_Open(t *testing.T) {
	w := newWeld(testJob())
	require.Empty(t, w.Open(w.here(), 0))
	w.burn(2)
	w.volts, w.amperes = 22, 100 // 26 readings take the mean of the voltage out of its limit, 38 that of the current
	w.burn(0.37)
	require.Len(t, w.Open(w.here(), 0), 1)
	w.burn(0.13)
	open := w.Open(w.here(), 0)
	require.Len(t, open, 2)
	require.InDelta(t, 105, float64(open[0].Place.Angle), 1e-9)
	open[0].Place, open[1].Place = nil, nil
	require.Equal(t, Open{Rule: Voltage, Since: pass.Moment{Epoch: 3, Tick: 14e9}, Lasted: 0.5, Value: 22, Worst: 22, Limit: 19, Beyond: 3}, open[0])
	require.Equal(t, Open{Rule: Current, Since: pass.Moment{Epoch: 3, Tick: 14e9}, Lasted: 0.5, Value: 100, Worst: 100, Limit: 110, Beyond: -10}, open[1])

	// The voltage has been out since the 17th reading: 1.5 V * 17/50 is 0.51 V.
	w.amperes = 140
	w.burn(0.65)
	require.False(t, w.Open(w.here(), 0)[0].Certain)
	w.burn(0.01)
	open = w.Open(w.here(), 0)
	require.True(t, open[0].Certain, "for the dwell exactly")
	require.Len(t, open, 1)

	w.Rest(w.here())
	w.tick += 1e9
	open = w.Open(w.here(), 1)
	require.Len(t, open, 2, "and the arc is out")
	require.True(t, open[0].Paused)
	require.InDelta(t, 1.16, float64(open[0].Lasted), 1e-12, "until the arc went out")
	require.Equal(t, 22.0, open[0].Value, "the worst, for there is no present one")
	require.Equal(t, ArcOut, open[1].Rule)
	w.end()
	require.Empty(t, w.Open(w.here(), 0), "no pass is open")
}

// The value is that of now, the worst that of before.
func TestWatch_OpenPresentValue(t *testing.T) {
	w := newWeld(testJob())
	w.volts = 22
	w.burn(1)
	w.volts = 21
	w.burn(0.5)
	o := w.Open(w.here(), 0)[0]
	assert.InDelta(t, 21, o.Value, 1e-9)
	assert.InDelta(t, 22, o.Worst, 1e-9)
	assert.InDelta(t, 2, o.Beyond, 1e-9)
	w.volts = 17.5
	w.burn(0.5)
	assert.Empty(t, w.Open(w.here(), 0), "back inside, though not for a window yet")
}

// The one that began first stands in front, whatever the order of the judges.
func TestWatch_OpenInOrder(t *testing.T) {
	job := testJob()
	job.Deposit.Gaps = []bore.Gap{{From: 80, To: 140}}
	w := newWeld(job)
	w.burn(1)
	w.volts = 22
	w.burn(1)
	open := w.Open(w.here(), 0)
	require.Len(t, open, 2)
	require.Equal(t, ArcInGap, open[0].Rule)
	require.Equal(t, Voltage, open[1].Rule)
	require.Equal(t, "arc burning where the plan has none", open[0].Going())
	require.Empty(t, open[1].Going())
}

// What another box measured is found where the torch was when it was read, give or take
// the way in the time that is not known: a turn in 48 s is 7.5 deg/s.
func TestMeans_anotherClock(t *testing.T) {
	l := &ledger{torch: rated{}}
	l.apart[wireFeed] = 2
	at := &bore.Place{Angle: 90, AngleUncertainty: 8}
	for rule, want := range map[Rule]float64{WireSpeed: 17, WireSlip: 17, GasFlow: 8, Voltage: 8, ArcOut: 8} {
		require.InDelta(t, want, float64(l.widen(rule, at).AngleUncertainty), 1e-9, rule)
	}
	require.EqualValues(t, 8, at.AngleUncertainty, "of the torch itself")
	require.Nil(t, l.widen(WireSpeed, nil))
	unknown := &bore.Place{AngleUncertainty: rotation.NoAngle}
	require.Equal(t, unknown, l.widen(WireSpeed, unknown))
	l.apart[wireFeed] = 1e4
	require.Equal(t, rotation.NoAngle, l.widen(WireSpeed, at).AngleUncertainty)
}

// rated is a torch that turns at a known rate.
type rated struct{ turning }

func (rated) Rate() quantity.TurnsPerSecond { return 1 / 48. }
