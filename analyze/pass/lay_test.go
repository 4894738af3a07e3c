package pass

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

const (
	s  = 1_000_000_000 // a second of ticks
	ms = s / 1000
)

// The torch of these tests makes a turn in 10 s in a bore of 100 mm; a layer is two
// turns, rings or strokes of 3 mm. The arc is always 20 V and 100 A: 2000 W.
const (
	step     = 10 * ms
	perTurn  = 10.0 // s
	diameter = 0.1  // m
)

// job lays a pattern in that bore.
func job(pattern bore.Pattern, gaps ...bore.Gap) *procedure.Job {
	j := &procedure.Job{
		Bore:      bore.Bore{WornDiameter: diameter, Length: 0.006},
		Deposit:   bore.Deposit{Pattern: pattern, Pitch: 0.003, Gaps: gaps, WireDiameter: 0.0009, Efficiency: 0.95},
		Rotation:  procedure.Rotation{Speed: 1 / perTurn},
		Setpoints: procedure.Setpoints{WireSpeed: 0.08, TravelSpeed: 0.03},
		Procedure: procedure.Procedure{Process: "MAG"},
	}
	j.Procedure.Judge = procedure.Judge{
		Definition: procedure.EN1011, Power: series.Instantaneous,
		Hold: 0.3, ArcCurrent: 15, ArcVoltage: 8, GuardBand: 1,
	}
	return j
}

// leg is a time in which the torch turns evenly.
type leg struct {
	seconds float64
	degrees float64 // turned in it; below 0 is anti-clockwise
	arc     bool
}

// weld and cold are legs at the declared speed, and at four times of it without an
// arc; wait is one on the spot, burn another with the arc on.
func weld(degrees float64) leg { return leg{math.Abs(degrees) / 360 * perTurn, degrees, true} }
func cold(degrees float64) leg { return leg{math.Abs(degrees) / 360 * perTurn / 4, degrees, false} }
func wait(seconds float64) leg { return leg{seconds: seconds} }
func burn(seconds float64) leg { return leg{seconds: seconds, arc: true} }

// lathe plays legs to a splitter, and remembers what it tells.
type lathe struct {
	*Splitter
	tick    int64
	degrees float64 // where the torch is
	counts  float64 // a turn; 0 is none
	last    int64
	any     bool
	mark    arc.Mark // of the next sample

	passes []Pass
	told   []string // in short
	burned []Bucket
	resume []string
}

// newLathe returns one with so many counts a turn.
func newLathe(j *procedure.Job, counts float64) *lathe {
	l := &lathe{counts: counts}
	l.Splitter = NewSplitter(j, heat.Doubt{}, l)
	l.Source(sourceOf(counts))
	return l
}

// sourceOf is a source with so many counts a turn.
func sourceOf(counts float64) series.Source {
	return series.Source{CountsPerTurn: counts, Channels: []series.Channel{{Scale: 0.01}, {Scale: 0.1}}}
}

// play plays legs. All their counts come before the samples, as they do where samples
// wait for them; at each tick the count is passed first.
func (l *lathe) play(legs ...leg) *lathe {
	counted := map[int64]bool{}
	l.each(legs, func(tick int64, degrees float64, _ bool) {
		n := int64(math.Floor(degrees/360*l.counts + 1e-9))
		if l.counts > 0 && (!l.any || n != l.last) {
			l.any, l.last, counted[tick] = true, n, true
			l.Count(tick, n)
		}
	})
	l.each(legs, func(tick int64, degrees float64, burning bool) {
		if counted[tick] {
			l.Turn(tick)
		}
		sample := arc.Sample{Tick: tick, Mark: l.mark}
		if burning {
			sample.V, sample.I = 20, 100
		}
		l.Samples([]arc.Sample{sample})
		l.mark = 0
	})
	for _, x := range legs {
		l.degrees += x.degrees
		l.tick += x.steps() * step
	}
	return l
}

// steps is how many samples a leg has.
func (x leg) steps() int64 { return int64(math.Ceil(math.Round(x.seconds*s) / step)) }

// each calls for the tick of every sample of legs, and tells where the torch is.
func (l *lathe) each(legs []leg, do func(tick int64, degrees float64, burning bool)) {
	begun, from := l.tick, l.degrees
	for _, x := range legs {
		for k := range x.steps() {
			do(begun+k*step, from+x.degrees*float64(k*step)/(x.seconds*s), x.arc)
		}
		begun, from = begun+x.steps()*step, from+x.degrees
	}
}

// end finishes, and returns the passes.
func (l *lathe) end() []Pass {
	l.Finish()
	return l.passes
}

// Begin implements Listener.
func (l *lathe) Begin(p *Pass, at Position) { l.tell("begin %d", p.Number) }

// Resume implements Listener.
func (l *lathe) Resume(from, to Position, off quantity.Seconds) {
	l.tell("resume")
	l.resume = append(l.resume, fmt.Sprintf("%.3f from %.3f to %.3f", float64(off), from.Turns, to.Turns))
}

// Burn implements Listener.
func (l *lathe) Burn(b *Bucket) { l.burned = append(l.burned, *b) }

// Rest implements Listener.
func (l *lathe) Rest(Position) { l.tell("rest") }

// End implements Listener.
func (l *lathe) End(p *Pass) {
	l.tell("end %d", p.Number)
	l.passes = append(l.passes, *p)
}

func (l *lathe) tell(format string, x ...any) { l.told = append(l.told, fmt.Sprintf(format, x...)) }

// states are how the passes stand to the plan.
func states(passes []Pass) (all []State) {
	for k := range passes {
		all = append(all, passes[k].Course.State)
	}
	return all
}

// angle wants a place within a count and a step of time of an angle, at a depth in
// pitches.
func angle(t *testing.T, p *bore.Place, degrees, pitches float64) {
	t.Helper()
	require.NotNil(t, p)
	require.InDelta(t, 0, float64(bore.AngleDifference(p.Angle, quantity.Degrees(degrees))), 2)
	require.InDelta(t, pitches*0.003, float64(p.Depth), 2e-5)
}
