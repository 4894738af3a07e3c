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
	"arctally/analyze/waveform"
)

// dipping is a look at a good arc: 140 A melt 0.112 m/s of wire, 0.8 mm/s for an ampere.
func dipping() waveform.Statistics {
	return waveform.Statistics{Mode: waveform.Dip, ShortsTold: true, Transfer: 80, ShortShare: 0.2, Voltage95: 22, Current: 140, RMS: 145, Known: 0.5, Instability: new(quantity.Ratio(0.3))}
}

// look lays half a second, at the end of which the waveform is looked at.
func (w *weld) look(edit ...func(*waveform.Statistics)) {
	const half = 500_000_000
	s := dipping()
	for _, e := range edit {
		e(&s)
	}
	b := pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + half, Arc: half, V: w.volts * half, I: w.amperes * half, Looked: true, Waveform: &s}, TurnsBasis: w.basis}
	w.tick += half
	b.Turns = w.here().Turns
	w.Burn(&b)
}

func (w *weld) lookTimes(n int, edit ...func(*waveform.Statistics)) {
	for range n {
		w.look(edit...)
	}
}

func withStubs(n int) func(*waveform.Statistics) {
	return func(s *waveform.Statistics) { s.Stubs = n }
}

func withTransfers(perSecond quantity.Hertz) func(*waveform.Statistics) {
	return func(s *waveform.Statistics) { s.Transfer = perSecond }
}

// noGas is what an arc looks like without its gas.
func noGas(s *waveform.Statistics) { s.Transfer, s.Voltage95 = 120, 25 }

// waveWeld is a weld whose wire is set to what its current melts.
func waveWeld() *weld {
	job := testJob()
	job.Setpoints.WireSpeed = 0.112
	return newWeld(job)
}

// goodPass lays a pass of a whole turn, with nothing wrong.
func (w *weld) goodPass() {
	w.lookTimes(97) // the first is not judged
	w.end()
}

// Stubs of a second and a half, from look 4 on: a finding with its place. For a second,
// which is the dwell, there is one too, for half a second none.
func TestWave_stubbing(t *testing.T) {
	for n, want := range map[int]int{1: 0, 2: 1, 3: 1} {
		w := waveWeld()
		w.lookTimes(4)
		w.lookTimes(n, withStubs(4))
		w.lookTimes(4)
		w.end()
		require.Len(t, w.Found(), want, n)
		for _, f := range w.Found() {
			require.InDelta(t, 105, float64(f.Place.Angle), 1e-9)
			require.InDelta(t, 3.75*float64(n), float64(*f.Way), 1e-9)
			f.Place, f.Way, f.Sentence = nil, nil, ""
			require.Equal(t, Finding{
				Number: 1, Rule: Stubbing, Pass: 4, Layer: 2, Start: pass.Moment{Epoch: 3, Tick: 14e9}, Duration: quantity.Seconds(n) / 2, Worst: 8, Limit: 2, Beyond: 6,
			}, f)
		}
	}
	w := waveWeld()
	w.lookTimes(9, withStubs(1))
	w.end()
	require.Empty(t, w.Found(), "two a second are the limit")
	w.strike(5)
	w.lookTimes(9, withStubs(2))
	w.end()
	require.Len(t, w.Found(), 1, "until the end of the pass")
}

// A new arc settles for a quarter of a second: a look that begins before that is not
// judged, after an arc-out as after a strike.
func TestWave_settling(t *testing.T) {
	w := waveWeld()
	w.lookTimes(3, withStubs(4))
	w.end()
	require.Equal(t, quantity.Seconds(1), w.only(t).Duration, "the first look of a pass is not judged")
	for before, want := range map[int64]int{250_000_000: 1, 250_000_000 - 1: 0} {
		w = waveWeld()
		at := w.here()
		at.Tick -= before // the look under way began so long after this strike
		w.wave.Resume(w.here(), at, 0)
		w.look()
		require.Equal(t, want, w.wave.learned.count(), before)
	}
}

// Once there is a good pass, wire that is fed and not melted is told: 0.14 m/s is set to
// feed, and 140 A melt four fifths of it.
func TestWave_slip(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	require.Empty(t, w.Found())
	require.Empty(t, w.Unreferenced())
	require.InDelta(t, 0.0008, w.Melting().Slope, 1e-12)
	w.strike(5)
	w.lookTimes(4)
	w.ledger.job.Setpoints.WireSpeed = 0.14
	w.lookTimes(4)
	w.end()
	f := w.only(t)
	require.Equal(t, WireSlip, f.Rule)
	require.InDelta(t, 0.2, f.Worst, 1e-9)
	require.Equal(t, 0.15, f.Limit)
	require.Equal(t, quantity.Seconds(2), f.Duration)
	require.Equal(t, 5, f.Pass)
}

// The wire speed is the one that was read, each reading for as long as it stood: 0.1 for
// 0.1 s and 0.15 for 0.4 s are 0.14 m/s.
func TestWave_wireAsRead(t *testing.T) {
	job := testJob()
	job.Setpoints.WireSpeed, job.Procedure.Limits.WireSpeed = 0.112, quantity.Range[quantity.MetresPerSecond]{}
	w := newWeld(job)
	w.goodPass()
	w.strike(5)
	w.look()
	for range 6 {
		from := w.tick
		w.tick += 0.1e9
		w.Wire(w.tick, 0.1)
		w.tick += 0.4e9
		w.Wire(w.tick, 0.15)
		w.tick = from
		w.look()
	}
	w.end()
	f := w.only(t)
	require.Equal(t, WireSlip, f.Rule)
	require.InDelta(t, 0.2, f.Worst, 1e-9)
}

// What is read while no arc burns says nothing of what it melts.
func TestWave_wireReadWithoutArc(t *testing.T) {
	w := waveWeld()
	w.end()
	w.Wire(w.tick+5, 0.2)
	w.strike(5)
	w.look()
	w.look()
	require.InDelta(t, 0.0008, w.wave.law.Slope(), 1e-12, "by the set wire speed")
}

// An arc without its gas, of a job without a flow sensor.
func TestWave_gasSignature(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	w.strike(5)
	w.lookTimes(10)
	w.lookTimes(6, noGas)
	w.lookTimes(10)
	require.Empty(t, w.Found(), "it waits for the end of the pass")
	w.end()
	f := w.only(t)
	require.Equal(t, GasSignature, f.Rule)
	require.Equal(t, quantity.Seconds(3), f.Duration)
	require.Equal(t, 25.0, f.Worst)
	require.InDelta(t, 22.66, f.Limit, 1e-9, "three times 1 % above 22 V")
	require.Equal(t, w.pass.Start.Tick+10*500_000_000, f.Start.Tick)
	w.strike(6)
	w.lookTimes(10)
	w.end()
	require.Len(t, w.Found(), 1, "it is filed once")
}

// A mere change of rhythm, above and below.
func TestWave_shortRate(t *testing.T) {
	for transfers, limit := range map[quantity.Hertz]float64{130: 99.2, 30: 60.8} {
		w := waveWeld()
		w.goodPass()
		w.strike(5)
		w.lookTimes(10)
		w.lookTimes(6, withTransfers(transfers))
		w.end()
		f := w.only(t)
		require.Equal(t, ShortRate, f.Rule)
		require.Equal(t, float64(transfers), f.Worst)
		require.InDelta(t, limit, f.Limit, 1e-9)
		require.Equal(t, quantity.Seconds(3), f.Duration)
	}
}

// A change of the shorts' share alone is none of the rules, and one that is shorter than
// the dwell is no finding.
func TestWave_noFinding(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	w.strike(5)
	w.lookTimes(4)
	w.lookTimes(9, func(s *waveform.Statistics) { s.ShortShare = 0.4 })
	w.end()
	require.Empty(t, w.Found())
	for dwell, want := range map[quantity.Seconds]int{1.5: 1, 1.51: 0} {
		w = waveWeld()
		w.goodPass()
		w.strike(5)
		w.ledger.job.Procedure.Judge.Dwell = dwell
		w.lookTimes(4)
		w.lookTimes(3, noGas)
		w.lookTimes(4)
		w.end()
		require.Len(t, w.Found(), want, dwell)
	}
}

// What another finding of the pass says better is not told twice: any that is no more
// than 1.5 s away says more than a change of rhythm, and a flow out of its limits more
// than a waveform as without gas.
func TestWave_saidBetter(t *testing.T) {
	at := func(rule Rule, from, lasted float64) Finding {
		return Finding{Rule: rule, Pass: 4, Start: pass.Moment{Tick: int64(from * 1e9)}, Duration: quantity.Seconds(lasted)}
	}
	for name, c := range map[string]struct {
		about, other Finding
		want         bool
	}{
		"rhythm, at one time":         {at(ShortRate, 10, 4), at(Voltage, 11, 1), true},
		"rhythm, just before":         {at(ShortRate, 10, 4), at(Voltage, 6.5, 2), true},
		"rhythm, before":              {at(ShortRate, 10, 4), at(Voltage, 6.5, 1.99), false},
		"rhythm, just after":          {at(ShortRate, 10, 4.5), at(Voltage, 16, 2), true},
		"rhythm, after":               {at(ShortRate, 10, 4.5), at(Voltage, 16.01, 2), false},
		"no gas, and voltage":         {at(GasSignature, 10, 4), at(Voltage, 11, 1), false},
		"no gas, and flow":            {at(GasSignature, 10, 4), at(GasFlow, 11, 1), true},
		"no gas, and flow long ago":   {at(GasSignature, 10, 4), at(GasFlow, 1, 1), false},
		"no gas twice":                {at(GasSignature, 10, 4), at(GasSignature, 11, 1), false},
		"flow of the pass before":     {at(GasSignature, 10, 4), Finding{Rule: GasFlow, Pass: 3, Start: pass.Moment{Tick: 11e9}}, false},
		"rhythm, and rhythm as filed": {at(ShortRate, 10, 4), at(ShortRate, 11, 1), true},
	} {
		w := newWeld(testJob())
		w.ledger.found = []Finding{c.other}
		require.Equal(t, c.want, w.wave.saidBetter(&c.about), name)
		w.ledger.found = []Finding{c.other, at(Interrupted, 99, 1)}
		require.Equal(t, c.want, w.wave.saidBetter(&c.about), name)
	}
}

// The gas channel says so: nothing is said of the waveform.
func TestWave_gasFlowSaysIt(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	w.strike(5)
	w.lookTimes(10)
	w.Gas(w.tick, 0.00025)
	w.lookTimes(6, noGas)
	w.Gas(w.tick, 0)
	w.lookTimes(6)
	w.Gas(w.tick, 0.00025)
	w.end()
	require.Equal(t, GasFlow, w.only(t).Rule)
}

// Without a good pass the first turn of this one is what the rest is held against, as
// soon as it has shown twenty looks of it; where turns are not known, half a minute.
func TestWave_provisional(t *testing.T) {
	for name, c := range map[string]struct {
		basis heat.TravelBasis
		looks int
	}{
		"a turn":        {heat.TravelMeasured, 96},
		"half a minute": {"", 60},
	} {
		w := waveWeld()
		w.basis = c.basis
		w.lookTimes(c.looks - 1)
		require.True(t, w.wave.nothingGood(), name)
		w.look()
		require.False(t, w.wave.nothingGood(), name)
		require.True(t, w.wave.provisional)
		require.Equal(t, []string{"every pass has findings: the waveform is held against the beginning of the first one, for want of a good pass"}, w.Unreferenced())
		w.end()
		require.False(t, w.wave.provisional, "the pass was a good one")
		require.Empty(t, w.Unreferenced())
	}
}

// The way back of a reversing pattern counts like the way there.
func TestWave_enough(t *testing.T) {
	w := waveWeld()
	for range fewestGlances - 1 {
		w.wave.learned.add(glance{waveform: new(dipping())}, waveform.Dip)
	}
	b := &pass.Bucket{TurnsBasis: heat.TravelMeasured, Turns: w.wave.begun + 1}
	require.False(t, w.wave.enough(b), "nineteen looks")
	w.wave.learned.add(glance{waveform: new(dipping())}, waveform.Dip)
	require.True(t, w.wave.enough(b))
	b.Turns = w.wave.begun - 1
	require.True(t, w.wave.enough(b))
	b.Turns = w.wave.begun - 0.99
	require.False(t, w.wave.enough(b))
	b.TurnsBasis, w.wave.arc = "", 30e9-1
	require.False(t, w.wave.enough(b))
	w.wave.arc = 30e9
	require.True(t, w.wave.enough(b))
}

// Nothing is learned of a look that something is wrong with: of a streak, of a mean that is
// out of its limits, of a change of the signature.
func TestWave_learnsFromGoodLooksOnly(t *testing.T) {
	w := waveWeld()
	w.lookTimes(5)
	require.Equal(t, 4, w.wave.learned.count(), "the first is not judged")
	w.lookTimes(3, withStubs(4))
	require.Equal(t, 4, w.wave.learned.count())
	w.volts = 25
	w.lookTimes(3)
	require.Equal(t, 4, w.wave.learned.count())
	w.volts = 17.5
	w.lookTimes(3)
	require.Equal(t, 7, w.wave.learned.count(), "the mean is back within half a second")
	require.InDelta(t, 0.0008, w.wave.law.Slope(), 1e-12)

	w = waveWeld()
	w.goodPass()
	w.strike(5)
	w.lookTimes(5)
	before := w.wave.learned.count()
	w.lookTimes(5, noGas)
	assert.Equal(t, before+2, w.wave.learned.count(), "with the third odd look it is known")
	w.lookTimes(3)
	assert.Equal(t, before+2, w.wave.learned.count(), "and it takes four good ones to be over")
	w.look()
	assert.Equal(t, before+3, w.wave.learned.count())
}

// Nothing is known of a law where nothing is known of the wire.
func TestWave_noWire(t *testing.T) {
	w := newWeld(testJob())
	w.goodPass()
	require.Nil(t, w.Melting())
	require.False(t, w.wave.law.Known())
}

// A pass that is too short to be what others are held against adds to those that follow.
func TestWave_gathersGoodPasses(t *testing.T) {
	w := waveWeld()
	w.lookTimes(20)
	w.end()
	require.True(t, w.wave.nothingGood(), "nineteen looks")
	require.Equal(t, []string{"no pass has shown a good arc for a whole turn, or half a minute: there is nothing to hold the waveform against, and no loss of gas or slip is found from it"}, w.Unreferenced())
	w.strike(5)
	w.lookTimes(2)
	w.end()
	require.False(t, w.wave.nothingGood(), "twenty")
	require.Empty(t, w.Unreferenced())
}

// Without any waveform nobody asks what it is held against.
func TestWave_none(t *testing.T) {
	w := newWeld(testJob())
	w.burn(3)
	w.end()
	require.Empty(t, w.Unreferenced())
}

// A feature that follows itself too closely is not held against anything, and said so.
func TestWave_followsItself(t *testing.T) {
	w := waveWeld()
	k := 0
	w.lookTimes(97, func(s *waveform.Statistics) {
		k++
		s.Transfer = quantity.Hertz(60 + float64(k)/4)
	})
	w.end()
	require.Equal(t, []string{"the rate of shorts of the good passes follows itself too closely for control limits (lag-1 autocorrelation of 0.8 or more): it is not charted"}, w.Unreferenced())
}

// A look belongs to the pass in which it was begun, at the place of its beginning.
func TestWave_placeOfALook(t *testing.T) {
	w := waveWeld()
	w.goodPass()
	w.tick += 3e9
	w.strike(5)
	start := turning{}.At(w.tick + 500_000_000)
	w.look()
	w.lookTimes(3, withStubs(4))
	w.end()
	f := w.only(t)
	require.Equal(t, start.Tick, f.Start.Tick)
	require.Equal(t, &bore.Place{Angle: start.Place.Angle, Depth: start.Place.Depth}, f.Place)
}
