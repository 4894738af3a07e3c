package waveform

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// pulsing is a constructed pulsed arc: 400 A at 32 V for so long of every cycle, else 80 A
// at 20 V, with some noise; voltage and current change together, or the current late.
type pulsing struct {
	cycle, high, late int64 // ns
	peak, base        float64
}

func (p pulsing) feed(m *Meter, seconds float64) {
	rng := rand.New(rand.NewPCG(1, 2))
	const step = 100_000
	for tick := int64(0); tick < int64(seconds*1e9); tick += step {
		v, i := 20.0, p.base
		if tick%p.cycle < p.high {
			v = 32
		}
		if (tick-p.late+p.cycle)%p.cycle < p.high {
			i = p.peak
		}
		m.Step(v+0.5*rng.NormFloat64(), i+2*rng.NormFloat64(), step)
	}
}

// A pulsed arc is none of shorts, from the first second on: 125 pulses a second, a quarter of
// the time.
func TestMode_pulsed(t *testing.T) {
	m := NewMeter()
	pulsing{cycle: 8_000_000, high: 2_000_000, peak: 400, base: 80}.feed(m, 1)
	for range 5 {
		s := m.Take()
		require.Equal(t, Pulsed, s.Mode)
		require.False(t, s.ShortsTold)
		require.InDelta(t, 125, float64(*s.PulseRate), 0.01)
		require.InDelta(t, 0.25, float64(*s.PulseShare), 0.002)
		require.InDelta(t, 400, float64(*s.Peak), 6)
		require.InDelta(t, 80, float64(*s.Background), 8)
		require.InDelta(t, 32, float64(*s.PeakVoltage), 0.1)
		require.InDelta(t, 20, float64(*s.BackgroundVoltage), 0.1)
		require.Less(t, float64(*s.Unrest), 0.02)
		pulsing{cycle: 8_000_000, high: 2_000_000, peak: 400, base: 80}.feed(m, 1)
	}
	require.InDelta(t, 6, float64(m.EndPass().Known), 0.11)
	pulsing{cycle: 8_000_000, high: 2_000_000, peak: 400, base: 80}.feed(m, 0.05)
	require.Nil(t, m.Take(), "too short to tell")
	require.True(t, m.edges.known, "and no reason to watch for anything else")
}

// Weak pulses, short and long ones, and a current that comes a millisecond late.
func TestMode_pulsedInManyWays(t *testing.T) {
	for name, p := range map[string]pulsing{
		"weak":  {cycle: 6_000_000, high: 3_000_000, peak: 300, base: 150},
		"short": {cycle: 20_000_000, high: 2_000_000, peak: 450, base: 60},
		"long":  {cycle: 5_000_000, high: 4_000_000, peak: 300, base: 60},
		"late":  {cycle: 8_000_000, high: 3_000_000, late: 1_000_000, peak: 400, base: 80},
	} {
		m := NewMeter()
		p.feed(m, 2)
		s := m.EndPass()
		require.Equal(t, Pulsed, s.Mode, name)
		require.InDelta(t, 1e9/float64(p.cycle), float64(*s.PulseRate), 0.1, name)
		require.InDelta(t, float64(p.high)/float64(p.cycle), float64(*s.PulseShare), 0.003, name)
	}
}

// A current so late that it pulses against the voltage is none of shorts either: nothing is
// told.
func TestMode_pulsedFarTooLate(t *testing.T) {
	m := NewMeter()
	pulsing{cycle: 8_000_000, high: 2_000_000, late: 4_000_000, peak: 400, base: 60}.feed(m, 2)
	require.Nil(t, m.EndPass())
}

// A short in which the current does not fall is one whatever the levels; where it rises
// and falls with the voltage there is none; in between nothing is told.
func TestMode_dipOrPulsed(t *testing.T) {
	told := func(inShort, inArc, noise float64) Mode {
		m := NewMeter()
		rng := rand.New(rand.NewPCG(3, 4))
		for k := range 10_000 {
			v, i := 20.0, inArc
			if k%100 < 30 {
				v, i = 8, inShort
			}
			m.Step(v, i+noise*rng.NormFloat64(), 100_000)
		}
		if s := m.EndPass(); s != nil {
			return s.Mode
		}
		return ""
	}
	require.Equal(t, Dip, told(200, 150, 5))
	require.Equal(t, Dip, told(150, 150, 0))
	require.Equal(t, Dip, told(150, 150, 40))
	require.Equal(t, Pulsed, told(60, 300, 5))
	require.Equal(t, Mode(""), told(130, 160, 45))
	require.Equal(t, Dip, told(145, 160, 5), "it hardly wavers")
}

// The ripple of a source makes no pulses: the current follows it, the voltage hardly moves.
func TestMode_ripple(t *testing.T) {
	m := NewMeter()
	for k := range 20_000 {
		ripple := math.Sin(2 * math.Pi * 300 * float64(k) / 10_000)
		m.Step(28+0.8*ripple, 200+70*ripple, 100_000)
	}
	require.Equal(t, Spray, m.EndPass().Mode)
}

// A current that falls in what looks like a short is not driven by an inductance.
func TestMode_currentFallsInTheShort(t *testing.T) {
	told := func(from, to float64) *Statistics {
		m := NewMeter()
		for k := range 20_000 {
			v, i := 20.0, 150.0
			if k%100 < 30 {
				v, i = 8, from+(to-from)*float64(k%100)/30
			}
			m.Step(v, i, 100_000)
		}
		return m.EndPass()
	}
	require.Equal(t, Dip, told(150, 170).Mode)
	require.Equal(t, Dip, told(150, 140).Mode)
	require.Nil(t, told(180, 120))
}

// Shorts that come less than twenty times a second, and are few, are those of heavy drops;
// long ones are those of a wire that stubs.
func TestMode_fewShorts(t *testing.T) {
	told := func(cycle, short int) Mode {
		m := NewMeter()
		for k := range 40_000 {
			v := 24.0
			if k%cycle < short {
				v = 9
			}
			m.Step(v, 180, 100_000)
		}
		return m.EndPass().Mode
	}
	require.Equal(t, Dip, told(450, 30))
	require.Equal(t, Globular, told(550, 30))
	require.Equal(t, Globular, told(1000, 60))
	require.Equal(t, Dip, told(1000, 200))
}

// Heavy drops without shorts: the voltage falls as they grow, and leaps. As fast as a
// ripple it says nothing; too wild, nobody knows.
func TestMode_globular(t *testing.T) {
	told := func(swing float64, cycle int) Mode {
		m := NewMeter()
		for k := range 20_000 {
			m.Step(28-swing*float64(k%cycle)/float64(cycle), 200, 100_000)
		}
		if s := m.EndPass(); s != nil {
			return s.Mode
		}
		return ""
	}
	require.Equal(t, Globular, told(5, 900))
	require.Equal(t, Spray, told(5, 33))
	require.Equal(t, Spray, told(1, 900))
	require.Equal(t, Globular, told(2, 900))
	require.Equal(t, Mode(""), told(18, 900))
}

// Steps of a volt from one 10 ms to the next, of 25 V, are sqrt(pi)/2 of 4 %; noise of 1 V in means
// over 10 ms is 4 %. What does not follow is no step.
func TestAggregate_unrest(t *testing.T) {
	m := NewMeter()
	for k := range 5000 {
		m.Step(24.5+float64(k/100%2), 200, 100_000)
	}
	require.InDelta(t, 0.04*math.Sqrt(math.Pi)/2, m.window.unrest(), 1e-12)
	m = NewMeter()
	rng := rand.New(rand.NewPCG(6, 6))
	for range 2000 {
		v := 25 + rng.NormFloat64()
		for range 100 {
			m.Step(v, 200, 100_000)
		}
	}
	require.InDelta(t, 0.04, m.window.unrest(), 0.001)
	m = NewMeter()
	for k := range 300 {
		if k == 150 {
			m.Break()
		}
		m.Step(20+float64(k/150), 200, 100_000)
	}
	require.Equal(t, total{1, 0.5}, m.window.slow, "from 20.5 to 21 V, and no step over the break")
	require.Zero(t, new(aggregate).unrest())
}

// A mode takes a tenth of a second, and a pass is told by most of its looks.
func TestMode_ofAPass(t *testing.T) {
	m := NewMeter()
	p := pulsing{cycle: 8_000_000, high: 2_000_000, peak: 400, base: 80}
	p.feed(m, 0.099)
	require.Nil(t, m.EndPass())
	for range 3 {
		p.feed(m, 0.5)
		m.Take()
	}
	d := dip{low: 8, high: 20, shorted: 3_000_000, step: 100_000}
	d.feed(m, 0, 480_000_000)
	require.Nil(t, m.Take(), "it was watched for pulses")
	d.feed(m, 0, 480_000_000)
	require.Equal(t, Dip, m.Take().Mode)
	require.Equal(t, Pulsed, m.EndPass().Mode)
	for range 3 {
		d.feed(m, 0, 480_000_000)
		s := m.Take()
		require.Equal(t, Dip, s.Mode)
		require.InDelta(t, 83, float64(s.Transfer), 3)
	}
	p.feed(m, 0.5)
	require.Equal(t, Pulsed, m.Take().Mode)
	s := m.EndPass()
	require.Equal(t, Dip, s.Mode)
	require.Nil(t, s.PulseRate)
	require.InDelta(t, 83, float64(s.Transfer), 40)
}

// A mark in the middle of a pulse parts two passes, and adds nothing.
func TestMode_mark(t *testing.T) {
	m := NewMeter()
	p := pulsing{cycle: 8_000_000, high: 2_000_000, peak: 400, base: 80}
	p.feed(m, 1)
	m.Take()
	p.feed(m, 0.501)
	mark := m.Mark()
	p.feed(m, 1)
	first, second := m.EndPassAt(mark), m.EndPass()
	require.Equal(t, Pulsed, first.Mode)
	require.Equal(t, Pulsed, second.Mode)
	require.InDelta(t, 1.4, float64(first.Known), 0.02)
	require.InDelta(t, 1, float64(second.Known), 0.02)
	require.InDelta(t, 125, float64(*second.PulseRate), 1.2)
}

// By hand: two voltages of 20 and 32 V half of the time each are 6 V either side of 26.
func TestAggregate_swings(t *testing.T) {
	a := aggregate{samples: 2, time: 2, area: 52, charge: 400, square: 100_000, power: 20*100 + 32*300}
	a.volts[binOf(20)], a.volts[binOf(32)] = 1, 1
	s := a.swings()
	require.InDelta(t, 6.0/26, s.voltage, 1e-12)
	require.InDelta(t, 0.5, s.current, 1e-12)
	require.InDelta(t, 1, s.together, 1e-12)
	a.power = 20*300 + 32*100
	require.InDelta(t, -1, a.swings().together, 1e-12)
	a.square = 200 * 200 * 2
	require.Zero(t, a.swings().together, "nothing wavers")
}

// A touch of less than 0.2 ms is no short, and the arc goes on through it.
func TestMeter_leastShort(t *testing.T) {
	for steps, want := range map[int]float64{1: 0, 2: 1} {
		m := told()
		m.Step(8, 100, tenth)
		m.short(20, 30)
		m.steps(steps-1, 8, 100)
		m.steps(10, 20, 100)
		m.Step(8, 100, tenth)
		m.short(5, 5)
		require.Equal(t, 2+want, m.window.lasted.n, steps)
		require.Equal(t, (20+5+want*2)*tenth, float64(m.window.short), steps)
		if want == 0 {
			require.Equal(t, sums{1, 41 * tenth, math.Pow(41*tenth, 2)}, m.window.arcs)
		}
	}
}

// Half of the lengths at 4 ms and nine tenths up to 8 ms: L = 4*2^2.5 = 22.6 ms, to a bin.
func TestStubs_find(t *testing.T) {
	s := newStubs()
	require.EqualValues(t, surelyStub, s.limit, "nothing is known")
	w := &aggregate{transfers: 100}
	w.lengths[15], w.lengths[23], w.lengths[40] = 50, 40, 10
	w.lengths[15] = 19
	few := aggregate{transfers: 19}
	few.lengths[15] = 19
	s.learn(&few)
	require.EqualValues(t, surelyStub, s.limit, "too few")
	s = newStubs()
	w.lengths[15] = 50
	s.learn(w)
	require.InDelta(t, 4e6*math.Exp2(2.5), float64(s.limit), 1e5)
	for age, bin := range map[int64]int{1_000_000: 0, 1_090_000: 0, 1_100_000: 1, 2_000_000: 8, 900_000_000: 63, 10: 0} {
		require.Equal(t, bin, lengthBin(age), age)
	}
}

// What was seen counts half once there is more of it than can be of this moment.
func TestStubs_forget(t *testing.T) {
	s := newStubs()
	w := &aggregate{transfers: 2000}
	w.lengths[8], w.lengths[20] = 1801, 199
	s.learn(w)
	require.EqualValues(t, 2000, s.count)
	w = &aggregate{transfers: 1}
	w.lengths[8] = 1
	s.learn(w)
	require.EqualValues(t, 901, s.seen[8])
	require.EqualValues(t, 99, s.seen[20])
	require.EqualValues(t, 1000, s.count)
}
