package arc

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/tape"
)

// strip is a tape of numbers alone.
type strip struct {
	numbers [tape.Columns][]int64
	bytes   int // that they would take
}

func (s *strip) Mark(tape.Mark) {}
func (s *strip) Value(any)      {}

func (s *strip) Number(c tape.Column, x int64) {
	s.numbers[c] = append(s.numbers[c], x)
	for s.bytes++; x < -64 || x > 63; x >>= 7 {
		s.bytes++
	}
}

type stripReader struct{ *strip }

func (s stripReader) Mark() tape.Mark { return 0 }

func (s stripReader) Number(c tape.Column) int64 {
	x := s.numbers[c][0]
	s.numbers[c] = s.numbers[c][1:]
	return x
}

// Whatever integrals a bucket has, and whatever the codes are said to be worth, all bits of them
// come back.
func TestIntegrals_anyBits(t *testing.T) {
	dice := rand.New(rand.NewPCG(3, 4))
	any := func() float64 { return math.Float64frombits(dice.Uint64()) }
	sane := func() float64 { return dice.NormFloat64() * math.Pow(10, float64(dice.IntN(12))) }
	for range 2000 {
		number := any
		if dice.IntN(2) == 0 {
			number = sane
		}
		var s strip
		var w, r integrals
		grain := Grain{number(), number(), number(), number(), dice.Int64N(1e6) - 10}
		w.are(grain)
		r.are(grain)
		for range 5 {
			b := Bucket{Arc: dice.Int64N(2e7) - 5, V: number(), I: number(), Energy: number()}
			w.write(&s, &b)
			back := Bucket{Arc: b.Arc}
			r.read(stripReader{&s}, &back)
			for k, x := range [...]float64{b.V, b.I, b.Energy} {
				require.Equal(t, math.Float64bits(x), math.Float64bits([...]float64{back.V, back.I, back.Energy}[k]))
			}
		}
	}
}

// With what the codes are worth, a bucket of samples takes a third of the bytes.
func TestIntegrals_small(t *testing.T) {
	dice := rand.New(rand.NewPCG(5, 6))
	grain := Grain{VScale: 0.0125, VOffset: -3.7, IScale: 0.11, IOffset: 0.9, Step: 100_000}
	var known, unknown strip
	var w, without integrals
	w.are(grain)
	var prev Sample
	const buckets = 300
	for range buckets {
		b := Bucket{Arc: 10 * ms}
		for range 100 {
			s := Sample{V: float64(1800+dice.IntN(200))*grain.VScale + grain.VOffset, I: float64(1200+dice.IntN(300))*grain.IScale + grain.IOffset}
			b.V += (prev.V + s.V) * 1e5 / 2
			b.I += (prev.I + s.I) * 1e5 / 2
			b.Energy += (prev.V*prev.I + s.V*s.I) * 1e5 / 2
			prev = s
		}
		w.write(&known, &b)
		without.write(&unknown, &b)
	}
	require.Less(t, known.bytes, 13*buckets)
	require.Greater(t, unknown.bytes, 26*buckets)
}

// What is no mark of this room, and what answers another question, is no tape of it.
func TestPlayer_misfit(t *testing.T) {
	p := NewPlayer(stripReader{new(strip)}, func(Event) {})
	for name, asked := range map[string]func(){
		"a mark": func() { p.Play(LastMark) }, "the end": func() { p.Play(tape.End) }, "sums": func() { p.Sums() }, "kept": func() { p.Kept() },
		"arc time": func() { p.ArcTime() }, "open": func() { p.Open() }, "last": func() { p.Last() }, "anew": func() { p.Restart(Sums{}) },
		"mark": func() { p.MarkWave() }, "wave": func() { p.EndWave(nil) }, "newest": func() { p.Newest() }, "flush": func() { p.Flush() },
	} {
		require.Error(t, tape.Playing(asked), name)
	}
}
