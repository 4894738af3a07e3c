package bench

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// Step is the time in s between two points of a signal; between them it is a straight line.
const Step = 10e-6

// The front end of box.h: 0 to 5 V on the pins.
const (
	voltsAtZero   = -20.0
	voltSpan      = 150.0 // V for 5 V on the pin
	amperesAtZero = -625.0
	ampereSpan    = 1250.0 // A for 5 V on the pin
	pinVolts      = 5.0
)

// Signal is voltage and current as the filters leave them, at each Step from the first start.
type Signal struct{ V, A []float64 }

// Silence is no arc for so many seconds.
func Silence(seconds float64) Signal {
	n := int(math.Round(seconds/Step)) + 1
	return Signal{make([]float64, n), make([]float64, n)}
}

// The arc that Dipping lays: figures of the usual size, ours, no source.
const (
	arcVolts     = 22.0
	arcAmperes   = 150.0
	arcDecay     = 4e-3 // s, of the current after a short
	shortVolts   = 8.0
	shortRise    = 55e3 // A/s
	filterCorner = 2500 // Hz, twice
)

// Dipping adds a short-circuiting arc from one time in s to another: the wire dips some
// 90 times a second, for 0.5 to 4 ms.
func (s Signal) Dipping(from, to float64, seed uint64) Signal {
	random := rand.New(rand.NewPCG(seed, seed))
	current, change, short := arcAmperes, from, true
	for k := int(math.Round(from / Step)); k < int(math.Round(to/Step)); k++ {
		if now := float64(k) * Step; now >= change {
			short = !short
			if change = now + 2e-3 + 14e-3*random.Float64(); short {
				change = now + 0.5e-3 + 3.5e-3*random.Float64()
			}
		}
		if short {
			s.V[k] = shortVolts + 0.01*current
			current += shortRise * Step
		} else {
			s.V[k] = arcVolts + 0.012*(current-arcAmperes)
			current += (arcAmperes - current) * Step / arcDecay
		}
		s.A[k] = current
	}
	return s
}

// Filtered is the signal behind two like poles on both channels, of the first order each:
//
//	dy/dt = 2*pi*f*(x - y)
//
// with input x, output y, and the corner f in Hz.
func (s Signal) Filtered() Signal {
	share := 1 - math.Exp(-2*math.Pi*filterCorner*Step)
	for _, channel := range [][]float64{s.V, s.A} {
		first, second := channel[0], channel[0]
		for k, x := range channel {
			first += (x - first) * share
			second += (first - second) * share
			channel[k] = second
		}
	}
	return s
}

// Energy is that from one time in s to another, in J. On a straight line between two
// points it is exact:
//
//	E = h/6 * (2*v0*i0 + v0*i1 + v1*i0 + 2*v1*i1)
//
// with the step h in s, and voltage in V and current in A at its two ends.
func (s Signal) Energy(from, to float64) (joules float64) {
	last := min(int(math.Round(to/Step)), len(s.V)-1)
	for k := int(math.Round(from / Step)); k < last; k++ {
		v0, v1, i0, i1 := s.V[k], s.V[k+1], s.A[k], s.A[k+1]
		joules += Step / 6 * (2*v0*i0 + v0*i1 + v1*i0 + 2*v1*i1)
	}
	return joules
}

// volts are those on the two pins, as the emulator reads them.
func (s Signal) volts() (bytes []byte) {
	for k := range s.V {
		bytes = binary.LittleEndian.AppendUint32(bytes, math.Float32bits(float32((s.V[k]-voltsAtZero)/voltSpan*pinVolts)))
		bytes = binary.LittleEndian.AppendUint32(bytes, math.Float32bits(float32((s.A[k]-amperesAtZero)/ampereSpan*pinVolts)))
	}
	return bytes
}
