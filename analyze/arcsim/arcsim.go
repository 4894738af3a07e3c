// Package arcsim simulates voltage and current of arcs of every mode of transfer, good and
// bad, for the tests that count false alarms and misses. It shares nothing with the virtual
// sensor box: where that one follows wire, drop and pool, this one draws the lengths of shorts and
// arcs at random, and lets a source with an inductance do the rest.
//
// Terms. A setting is what an arc is drawn as, at random within what is usual; a fault is what
// may go wrong with it. The front end is what stands between the arc and a sample: noise,
// spatter, two filters, and a converter.
//
// In a dip arc the current follows from the circuit,
//
//	L*di/dt = U - R*i - v
//
// with the inductance L, the source's voltage U and its slope R, and the voltage v at the
// tap: that of the leads and the bridge in the short, fall and column in the arc. Textbook form;
// the figures are drawn from ranges that are ours, chosen to hold what was seen on recorded
// arcs: 8.6 V in the short against 21.1 V in the arc, 40 to 150 shorts a second.
//
// Everything is drawn from one seed. There are no errors.
package arcsim

import (
	"math"
	"math/rand/v2"
)

// Mode is how the metal goes over.
type Mode string

// The modes of transfer.
const (
	Dip      Mode = "dip"
	Spray    Mode = "spray"
	Globular Mode = "globular"
	Pulsed   Mode = "pulsed"
)

// Fault is what goes wrong.
type Fault string

// The faults; the empty one is none.
const (
	Stubbing Fault = "stubbing tip"
	Lost     Fault = "arc lost"
	NoGas    Fault = "gas lost"
	LongArc  Fault = "long arc"
	NoVolts  Fault = "voltage lead off"
)

// Arc is one arc as it is sampled.
type Arc struct {
	Setting
	Fault Fault

	// Swing is by how much the current is off its mean, and Fall by how much it has fallen; both are
	// shares, set from outside as the torch turns and the tip wears.
	Swing, Fall float64

	rng    *rand.Rand
	dt     float64 // s
	law    law
	wander wander // of the arc's length, V
	bare   wander // of an arc without gas, V
	front  front
}

// law makes the true voltage and current of a mode, a sample further.
type law interface {
	step(a *Arc) (v, i float64)
}

// New returns an arc of a mode, sampled at a rate in Hz, with a setting drawn from a seed.
func New(mode Mode, rate float64, seed uint64) *Arc {
	rng := rand.New(rand.NewPCG(seed, 0x5eed))
	a := &Arc{Setting: draw(mode, rng), rng: rng, dt: 1 / rate}
	a.wander = newWander(a.Wander, 0.08, a.dt)
	a.bare = newWander(2.5, 8e-3, a.dt)
	a.front = newFront(a.Filter, rate)
	switch mode {
	case Dip:
		a.law = &dip{current: a.Current, observed: a.Current}
	case Pulsed:
		a.law = &pulsed{}
	case Globular:
		a.law = &globular{}
	default:
		a.law = &spray{}
	}
	return a
}

// Sample returns voltage and current, a sample further, as a box has them: in codes of
// 10 mV and 0.1 A.
func (a *Arc) Sample() (v, i int32) {
	volts, amperes := 0.0, 0.0
	if a.Fault == Lost {
		volts = a.OpenCircuit
	} else {
		volts, amperes = a.law.step(a)
	}
	volts, amperes = a.front.pass(a, volts, amperes)
	return int32(math.Round(volts * 100)), int32(math.Round(amperes * 10))
}

// meant is the mean current that the source keeps at present.
func (a *Arc) meant() float64 { return a.Current * (1 + a.Swing) * (1 - a.Fall) }

// length is what the length of the arc adds to its voltage at present.
func (a *Arc) length() float64 {
	v := a.wander.next(a.rng)
	switch a.Fault {
	case NoGas:
		v += 2 + a.bare.next(a.rng)
	case LongArc:
		v += 0.25 * a.ArcVoltage
	}
	return v
}

// wander is a value that wanders about zero and comes back: an Ornstein-Uhlenbeck process.
type wander struct{ value, back, kick float64 }

func newWander(deviation, time, dt float64) wander {
	return wander{back: dt / time, kick: deviation * math.Sqrt(2*dt/time)}
}

func (w *wander) next(rng *rand.Rand) float64 {
	w.value += -w.back*w.value + w.kick*rng.NormFloat64()
	return w.value
}
