package analyze

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

// script reads choices out of the bytes of a fuzzer; at their end all of them are 0.
type script struct{ bytes []byte }

func (s *script) next() int {
	if len(s.bytes) == 0 {
		return 0
	}
	b := s.bytes[0]
	s.bytes = s.bytes[1:]
	return int(b)
}

func (s *script) of(n int) int { return s.next() % n }

func (s *script) wide() int64 {
	var b [8]byte
	n := copy(b[:], s.bytes)
	s.bytes = s.bytes[n:]
	return int64(binary.LittleEndian.Uint64(b[:]))
}

// odd is a number that a source might say of itself, sound or not.
func (s *script) odd(sound ...float64) float64 {
	odd := append(sound, sound...)
	odd = append(odd, 0, -1, 1e-300, 1e300, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64)
	return odd[s.of(len(odd))]
}

// time is a step of a clock in ns, that of a box or a wild one.
func (s *script) time() int64 {
	switch k := s.of(8); k {
	case 0:
		return s.wide()
	case 1:
		return -int64(s.next()) * 1_000_000
	default:
		return int64(s.next()) * []int64{0, 0, 1_000, 100_000, 1_000_000, 10_000_000, 100_000_000, 1_000_000_000}[k]
	}
}

func (s *script) source() series.Source {
	src := series.Source{
		Name: "any", CountsPerTurn: s.odd(1, 60, 360), WirePerCount: s.odd(1e-3),
		HeldAfter: []int64{0, 500_000_000, -1, math.MaxInt64}[s.of(4)], MayBeHeldAfter: []int64{0, 300_000_000, -1}[s.of(3)],
		HeldArc: []int64{0, 100_000_000, -5}[s.of(3)], MaxStep: []int64{0, 1_000_000_000, -1, math.MaxInt64}[s.of(4)],
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: s.odd(0.01, 0.1), Offset: s.odd(0, 0, 0.5), Basis: series.Basis(s.of(3))},
			{Name: "current", Unit: "A", Scale: s.odd(0.1, 1), Offset: s.odd(0, 0, -1), Basis: series.Basis(s.of(3))},
		},
	}
	for _, c := range []series.Channel{
		{Name: "wire_speed", Unit: "m/s"},
		{Name: "position_x", Unit: "m"},
		{Name: "travel_speed", Unit: "m/s"},
		{Name: "temperature", Unit: "degC"},
		{Name: "wire_length", Unit: "m"},
		{Name: "gas_flow", Unit: "L/min"},
	} {
		if s.of(2) == 1 {
			src.Channels = append(src.Channels, c)
		}
	}
	return src
}

// block makes one of any kind, at or about a tick that goes on.
func (s *script) block(tick *int64) *series.Block {
	*tick += s.time()
	b := &series.Block{Kind: series.Kind(1 + s.of(4)), Epoch: s.of(8) / 7, Break: s.of(8) == 0, Tick: *tick, Step: s.time() / 64}
	n := 1 + s.of(40)
	if s.of(3) == 0 {
		b.Ticks = make([]int64, n)
		for k := range b.Ticks {
			b.Ticks[k], *tick = *tick, *tick+s.time()/64
		}
	} else {
		*tick += int64(n) * b.Step
	}
	switch b.Kind {
	case series.Arc:
		volts, amperes := int32(s.wide()>>s.of(64)), int32(s.wide()>>s.of(64))
		for k := range n {
			b.V, b.I = append(b.V, volts*int32(k%3)+1800), append(b.I, amperes*int32(k%2)+1400)
		}
		if s.of(4) == 0 {
			b.Flag = make([]bool, n)
			b.Flag[s.of(n)] = true
		}
	case series.Sums:
		b.Ticks = nil
		b.Sum = series.WindowSums{
			Count: uint32(s.wide() >> (32 + s.of(32))), V: 1800 * int64(n), I: 1400 * int64(n), VI: s.wide() >> s.of(64),
			ArcOn: uint32(s.next()), WireCount: uint32(s.wide() >> s.of(64)),
		}
	case series.Slow:
		for range n {
			b.Channel, b.Value = append(b.Channel, uint8(s.of(10))), append(b.Value, s.odd(0.1, 0.2, 5))
		}
	case series.Turn:
		count := s.wide() >> s.of(64)
		for k := range n {
			b.Count = append(b.Count, count+int64(k*s.of(5)))
		}
	}
	return b
}

// job is the job of a script.
func (s *script) job() *procedure.Job {
	job := boreJob([]bore.Pattern{bore.Helix, bore.Rings, bore.SegmentReversing, bore.SegmentOneWay}[s.of(4)])
	if s.of(4) == 0 {
		job = coupon()
	}
	return job
}

// play hands an analysis what a script says, and returns what is wrong with the result.
func (s *script) play(t *testing.T) []string {
	r := New(s.job(), nil)
	s.tell(t, r, true)
	result := r.Finish()
	return result.impossible(false)
}

// tell hands an analysis what a script says; asked asks how things stand now and then.
func (s *script) tell(t *testing.T, r *Run, asked bool) {
	require.NoError(t, r.Source(s.source()))
	tick := []int64{0, 1.7e18, -5e9, math.MaxInt64 - 1e9}[s.of(4)]
	for range 300 {
		if len(s.bytes) == 0 {
			break
		}
		switch s.of(32) {
		case 0:
			require.NoError(t, r.Source(s.source()))
		case 1:
			require.NoError(t, r.Event(series.Event{Kind: series.Gap, Epoch: s.of(2), Tick: tick, Until: tick + s.time(), Count: s.wide(), Text: "any"}))
		case 2:
			if asked {
				_ = r.Now()
				for _, w := range r.Result().Warnings {
					require.NotEqual(t, "program-error", w.Kind, w.Text)
				}
			}
		default:
			require.NoError(t, r.Block(s.block(&tick)))
		}
	}
}

// Whatever a source says, the analysis breaks at nothing, and its result can be.
func FuzzRun(f *testing.F) {
	for seed := range byte(40) {
		text := make([]byte, 2000)
		for k := range text {
			text[k] = byte((k*k*int(seed+3) + k*7 + int(seed)) >> 2)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s := &script{text}
		require.Empty(t, s.play(t))
	})
}
