package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func TestNewDetector_tellsSomebody(t *testing.T) {
	require.Panics(t, func() { NewDetector(limits, nil) })
}

// The first sample in arc has both at their thresholds; while the arc burns,
// current alone will do. Flags and held values rule over both.
func TestDetector_inArc(t *testing.T) {
	for name, x := range map[string]struct {
		before Sample
		s      Sample
		lit    bool
	}{
		"at both thresholds":        {out(0), at(1, 8, 15), true},
		"too little current":        {out(0), at(1, 8, 14.999), false},
		"too little voltage":        {out(0), at(1, 7.999, 15), false},
		"open circuit":              {out(0), at(1, 60, 0), false},
		"a short":                   {burning(0), at(1, 0, 15), true},
		"current has gone":          {burning(0), at(1, 20, 14.999), false},
		"a short before any arc":    {out(0), at(1, 0, 300), false},
		"a short as late as hold":   {burning(0), at(300, 0, 300), true},
		"a short later than hold":   {burning(0), at(301, 0, 300), false},
		"the flag says on":          {out(0), at(1, 0, 0, FlagOn), true},
		"the flag says off":         {burning(0), burning(1, FlagOff), false},
		"held":                      {burning(0), burning(1, Held), false},
		"held, but the flag is on":  {burning(0), burning(1, Held, FlagOn), true},
		"averaged":                  {out(0), burning(1, Averaged), true},
		"after a break, with volts": {burning(0), burning(1, Break), true},
	} {
		t.Run(name, func(t *testing.T) {
			d, _ := listen(limits, series.Source{})
			play(d, x.before, x.s)
			require.Equal(t, x.lit, d.Lit())
		})
	}
}

func TestDetector_firstSample(t *testing.T) {
	d, e := listen(limits, series.Source{})
	_, seen := d.Newest()
	require.False(t, seen)
	play(d, burning(-5))
	told(t, e, Event{Kind: IntervalBegan, Tick: -5})
	tick, seen := d.Newest()
	require.True(t, seen)
	require.EqualValues(t, -5*ms, tick)
	require.True(t, d.Lit())
	require.True(t, d.Open())

	d, e = listen(limits, series.Source{})
	play(d, at(-5, 0, 100)) // a short that was not seen to begin
	require.Empty(t, e.events)
	require.False(t, d.Open())
}

// 20 V 100 A at 0 ms, 10 V 200 A at 1 ms, 30 V 50 A at 3 ms: powers of 2000, 2000 and
// 1500 W.
//
//	energy = 2000 W * 1 ms + 1750 W * 2 ms                      = 5.5 J
//	volts  = (15 V * 1 ms + 20 V * 2 ms) / 3 ms                 = 55/3 V
//	amps   = (150 A * 1 ms + 125 A * 2 ms) / 3 ms               = 400/3 A
//	power  = 5.5 J / 3 ms
func TestDetector_trapezoids(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, at(0, 20, 100), at(1, 10, 200), at(3, 30, 50))
	s := d.Sums()
	require.EqualValues(t, 3*ms, s.Arc)
	require.InDelta(t, 5.5, float64(s.Energy()), 1e-12)
	require.InDelta(t, 5500.0/3, float64(*s.Power()), 1e-9)
	v, i := s.Means()
	require.InDelta(t, 55.0/3, float64(*v), 1e-12)
	require.InDelta(t, 400.0/3, float64(*i), 1e-12)
	require.False(t, s.Averaged)
	require.Zero(t, s.Wire)

	play(d, out(4))
	d.Finish()
	told(t, e, Event{Kind: IntervalBegan, Tick: 0}, Event{Kind: ArcOut, Tick: 3}, Event{Kind: IntervalEnded, Tick: 3})
	require.Equal(t, []Bucket{{Start: 0, End: 4 * ms, Arc: 3 * ms, V: 55e6, I: 400e6, Energy: 5500e6}}, e.buckets)
	require.EqualValues(t, 3*ms, d.Sums().Arc, "the step out of the arc is no arc time")
}

func TestSums_ofNothing(t *testing.T) {
	var s Sums
	require.Nil(t, s.Power())
	v, i := s.Means()
	require.Nil(t, v)
	require.Nil(t, i)
	require.Zero(t, s.Energy())
}

// What burned since a moment is what burns there alone.
func TestSums_Since(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, at(0, 20, 100), at(1, 10, 200))
	before := d.Sums()
	play(d, at(3, 30, 50), burning(13, Break), burning(15, Held), burning(18), burning(20, Averaged))
	d.Window(Window{Start: 20 * ms, End: 30 * ms, Arc: 10 * ms, Energy: 20, V: 20, I: 100, Wire: 0.5})
	since := d.Sums().Since(before)
	require.EqualValues(t, 14*ms, since.Arc, "2 ms of samples, 2 ms more, and the window")
	require.EqualValues(t, 10*ms, since.Missing)
	require.EqualValues(t, 2*ms, since.Held)
	require.InDelta(t, 0.5, since.Wire, 1e-15)
	require.InDelta(t, 3.5+4+20, float64(since.Energy()), 1e-9)
	v, i := since.Means()
	require.InDelta(t, (20*2+20*2+20*10)/14.0, float64(*v), 1e-9)
	require.InDelta(t, (125*2+100*2+100*10)/14.0, float64(*i), 1e-9)
	require.True(t, since.Averaged, "nobody knows of which part")

	d.Restart(since)
	require.Equal(t, since, d.Sums())
	d.Restart(Sums{})
	require.Zero(t, d.Sums())
}

// An arc-out as long as the hold time is a brief one; a nanosecond more, and
// another arc interval begins.
func TestDetector_hold(t *testing.T) {
	for name, late := range map[string]int64{"as long as the hold": 0, "a nanosecond longer": 1} {
		t.Run(name, func(t *testing.T) {
			d, e := listen(limits, series.Source{})
			back := burning(310)
			back.Tick += late
			play(d, burning(0), burning(10), out(11), out(309), back, burning(311))
			events := e.but(BucketClosed)
			require.Equal(t, Event{Kind: ArcOut, Tick: 10 * ms}, events[1])
			if late == 0 {
				require.Equal(t, Event{Kind: ArcBack, From: 10 * ms, Tick: 310 * ms}, events[2])
				require.Len(t, events, 3)
			} else {
				require.Equal(t, []Event{{Kind: IntervalEnded, Tick: 10 * ms}, {Kind: IntervalBegan, Tick: 310*ms + 1}}, events[2:])
			}
			require.EqualValues(t, 11*ms-late, d.Sums().Arc, "the arc-out is no arc time")
			require.EqualValues(t, 311*ms, d.Last())
		})
	}
}

func TestDetector_endsAfterTheHold(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(0), burning(10), out(11), out(310))
	require.True(t, d.Open(), "out for as long as the hold")
	require.EqualValues(t, 10*ms, d.Last())
	play(d, Sample{Tick: 310*ms + 1})
	require.False(t, d.Open())
	events := e.but(BucketClosed)
	require.Equal(t, []Event{{Kind: IntervalBegan}, {Kind: ArcOut, Tick: 10 * ms}, {Kind: IntervalEnded, Tick: 10 * ms}, {Kind: Cold, Tick: 310*ms + 1}}, events)
	play(d, out(320))
	require.Equal(t, Event{Kind: Cold, Tick: 320 * ms}, e.events[len(e.events)-1])
}

// Before any arc, and in an epoch that begins below the last tick, it is cold.
func TestDetector_coldBeforeAnyArc(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, out(-20), out(-10))
	told(t, e, Event{Kind: Cold, Tick: -10})
}

// Without a hold every arc-out ends its interval, and an arc that is struck within
// one step of time still has its own.
func TestDetector_noHold(t *testing.T) {
	d, e := listen(Limits{Current: 15, Voltage: 8}, series.Source{})
	play(d, burning(0), burning(1), out(2), burning(3))
	told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 1}, Event{Kind: IntervalEnded, Tick: 1}, Event{Kind: Cold, Tick: 2}, Event{Kind: IntervalBegan, Tick: 3})
	require.EqualValues(t, 1*ms, d.Sums().Arc)
}

// No energy joins two samples between which data is missing, and the time between
// them is told.
func TestDetector_missing(t *testing.T) {
	for name, x := range map[string]struct {
		samples []Sample
		missing int64 // ms
		arc     int64
		back    bool
	}{
		"a step as long as the longest": {[]Sample{burning(0), burning(1), burning(6), burning(7)}, 0, 7, false},
		"a longer one":                  {[]Sample{burning(0), burning(1), burning(7), burning(8)}, 6, 2, true},
		"a break":                       {[]Sample{burning(0), burning(1), burning(2, Break), burning(3)}, 1, 2, true},
		"a break, and the arc is out":   {[]Sample{burning(0), burning(1), out(2, Break), burning(3)}, 1, 1, true},
	} {
		t.Run(name, func(t *testing.T) {
			d, e := listen(limits, series.Source{MaxStep: 5 * ms})
			play(d, x.samples...)
			require.EqualValues(t, x.arc*ms, d.Sums().Arc)
			require.EqualValues(t, x.missing*ms, d.Sums().Missing)
			require.Zero(t, d.Missing(), "all of it is in the sums")
			if x.back {
				last := x.samples[len(x.samples)-1]
				if x.samples[2].I > 0 {
					last = x.samples[2]
				}
				told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 1}, Event{Kind: ArcBack, From: 1, Tick: last.Tick / ms, Missing: x.missing})
			}
			d.Finish()
			total := int64(0)
			for _, b := range e.buckets {
				total += b.Missing
			}
			require.EqualValues(t, x.missing*ms, total)
		})
	}
}

// What is missing while the arc is out belongs to the next arc interval, unless the
// sums are begun anew there.
func TestDetector_missingBetweenIntervals(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(0), burning(10), out(20), out(520, Break))
	require.EqualValues(t, 500*ms, d.Missing())
	require.Zero(t, d.Sums().Missing)
	play(d, burning(530))
	told(t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 10}, Event{Kind: IntervalEnded, Tick: 10}, Event{Kind: Cold, Tick: 520, Missing: 500}, Event{Kind: IntervalBegan, Tick: 530, Missing: 500})
	require.EqualValues(t, 500*ms, d.Sums().Missing)
	require.Zero(t, d.Missing())

	d, _ = listen(limits, series.Source{})
	d.tell = func(e Event) {
		if e.Kind == IntervalBegan {
			d.Restart(Sums{})
		}
	}
	play(d, burning(0), burning(10), out(20), out(520, Break), burning(530))
	require.Zero(t, d.Sums())
}

// Values that look like an arc and are none are told, step by step.
func TestDetector_valuesHeld(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(0), burning(1), burning(2, Held), at(4, 8, 15, Held), at(5, 7.9, 15, Held), at(6, 8, 14.9, Held), burning(7, Held, Break), burning(8))
	told(
		t, e, Event{Kind: IntervalBegan}, Event{Kind: ArcOut, Tick: 1},
		Event{Kind: ValuesHeld, From: 1, Tick: 2}, Event{Kind: ValuesHeld, From: 2, Tick: 4}, Event{Kind: ArcBack, From: 1, Tick: 8, Missing: 1},
	)
	require.EqualValues(t, 3*ms, d.Sums().Held)
	require.EqualValues(t, 1*ms, d.Sums().Missing, "of what is missing nobody knows the values")
	require.EqualValues(t, 1*ms, d.Sums().Arc)
}

// A flag that says off makes arc-like values held ones too.
func TestDetector_flagOffOverArcLikeValues(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(0, FlagOff), burning(1, FlagOff))
	told(t, e, Event{Kind: ValuesHeld, From: 0, Tick: 1}, Event{Kind: Cold, Tick: 1})
}

// A sample before the latest one is skipped; one at the same tick counts, with a step
// of no length.
func TestDetector_ticksThatDoNotGoOn(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, burning(0), burning(5), at(4, 1000, 1000), at(5, 40, 200), at(6, 40, 200))
	require.EqualValues(t, 1, d.Skipped())
	s := d.Sums()
	require.EqualValues(t, 6*ms, s.Arc)
	require.InDelta(t, 2000*5e-3+8000*1e-3, float64(s.Energy()), 1e-12)
}

func TestDetector_averaged(t *testing.T) {
	d, _ := listen(limits, series.Source{})
	play(d, out(0, Averaged), burning(1, Averaged))
	require.False(t, d.Sums().Averaged, "no step of it is in arc")
	play(d, burning(2, Averaged))
	s := d.Sums()
	require.True(t, s.Averaged)
	require.InDelta(t, 2, float64(s.Energy()), 1e-12)
}

// Nothing joins the clocks of two epochs.
func TestDetector_Finish(t *testing.T) {
	d, e := listen(limits, series.Source{})
	play(d, burning(1000), burning(1001), out(1002, Break))
	d.Finish()
	require.False(t, d.Open())
	require.Zero(t, d.Missing())
	_, seen := d.Newest()
	require.False(t, seen)
	play(d, burning(3), burning(5))
	d.Finish()
	require.False(t, d.Lit())
	told(
		t, e, Event{Kind: IntervalBegan, Tick: 1000}, Event{Kind: ArcOut, Tick: 1001}, Event{Kind: IntervalEnded, Tick: 1001},
		Event{Kind: IntervalBegan, Tick: 3}, Event{Kind: ArcOut, Tick: 5}, Event{Kind: IntervalEnded, Tick: 5},
	)
	require.EqualValues(t, 3*ms, d.Sums().Arc)
	require.Zero(t, d.Sums().Missing)
	require.Zero(t, d.Skipped())
}
