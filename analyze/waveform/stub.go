package waveform

import "math"

// How long a short lasts at least, in ns. It is opened by the neck of the bridge, and that
// takes about the time in which a liquid cylinder of its radius r falls apart,
//
//	t = sqrt(rho*r^3/sigma)
//
// with the density rho and the surface tension sigma: 0.19 ms for a neck of 0.2 mm, less
// than half of a wire's radius, with 7000 kg/m^3 and 1.5 N/m of liquid steel. Source:
// Rayleigh 1879; standing: memory, the figures too. What is shorter is noise, spatter, or a
// graze that joined nothing.
const leastShort = 200_000

// Between which bounds, in ns, the limit of a stub follows the arc's own shorts. Below
// the lower no short is one: common practice, no source. Above the upper every one is: at
// 6 m/min 3 mm of wire have been pushed into the pool meanwhile, some three of its
// diameters. Ours, no source.
const (
	shortestStub = 10_000_000
	surelyStub   = 30_000_000
)

// How the limit follows. Lengths of transfers scatter by a factor, and are counted in
// eighths of an octave from a millisecond on. With the length q of which half of them are
// shorter, and the one Q of which nine tenths are, the limit is
//
//	L = q*(Q/q)^2.5
//
// which one in 1500 would pass if their logarithms scattered normally (3.2 standard
// deviations; ours, no source). One short in ten, or fewer, may be a stub and moves it little.
const (
	lengthBins      = 64
	binsPerOctave   = 8
	tail            = 2.5
	fewestLengths   = 20
	lengthsRemember = 2000 // transfers after which what was seen counts half
	// From so many on, a time with more stubs than one in twenty transfers does not move the
	// limit: a tip that begins to stub must not make that its habit.
	settledLengths = 400
	stubsInTwenty  = 20
)

// lengths count how long transfers lasted.
type lengths [lengthBins]uint32

// lengthBin returns the bin of a length in ns.
func lengthBin(age int64) int {
	b := int(binsPerOctave * math.Log2(float64(age)/transferTime))
	return max(0, min(lengthBins-1, b))
}

// stubs follow how long a short of this arc lasts at most.
type stubs struct {
	seen  lengths
	count uint32
	limit int64 // ns
}

func newStubs() stubs { return stubs{limit: surelyStub} }

// learn takes in a window.
func (s *stubs) learn(w *aggregate) {
	if s.count >= settledLengths && w.stubs*stubsInTwenty > w.transfers {
		return
	}
	for k, n := range w.lengths {
		s.seen[k] += n
		s.count += n
	}
	if s.count >= fewestLengths {
		s.find()
	}
	if s.count > lengthsRemember {
		s.count = 0
		for k := range s.seen {
			s.seen[k] /= 2
			s.count += s.seen[k]
		}
	}
}

// find sets the limit.
func (s *stubs) find() {
	half, most := s.quantile(0.5), s.quantile(0.9)
	octaves := half + tail*(most-half)
	limit := transferTime * math.Exp2(octaves)
	s.limit = int64(max(shortestStub, min(surelyStub, limit)))
}

// quantile returns the length, in octaves of a millisecond, below which a share of the
// transfers is, to a fraction of a bin.
func (s *stubs) quantile(share float64) float64 {
	want, below := share*float64(s.count), 0.0
	for k, n := range s.seen {
		if n := float64(n); n > 0 && below+n >= want {
			return (float64(k) + (want-below)/n) / binsPerOctave
		}
		below += float64(s.seen[k])
	}
	return lengthBins / binsPerOctave
}
