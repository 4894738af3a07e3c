package link

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// numbered returns units (frames or lines) of a link, seq 0, 1, 2 ..., of each
// kind it has, and of sizes that put COBS codes everywhere.
func numbered(t testing.TB, link string) (units [][]byte) {
	t.Helper()
	random := rand.New(rand.NewPCG(7, 8))
	for seq := range uint32(12) {
		h := Header{Boot: 7, Seq: seq, TickUS: uint64(seq) * 12200, StepUS: 100}
		l := Line{
			Boot: 7, Seq: seq, TickUS: h.TickUS,
			Voltage: Mean{24.31, true}, Current: Mean{212.4, true}, WireSpeed: Mean{0.125, true},
		}
		switch {
		case link == Delimited:
			units = append(units, AppendDelimited(nil, l))
		case link == LineProtocol:
			units = append(units, AppendLineProtocol(nil, "box1", l))
		case seq == 0:
			frame, err := AppendHello(nil, h, box())
			require.NoError(t, err)
			units = append(units, frame)
		case seq%4 == 1:
			units = append(units, AppendTurn(nil, h, []uint64{h.TickUS, h.TickUS + 5}, []int32{int32(seq), 300}))
		case seq%4 == 2:
			units = append(units, AppendSlow(nil, h, []uint8{2, 3}, []float64{12.5, 40}))
		case seq%4 == 3:
			units = append(units, AppendSums(nil, h, series.WindowSums{Count: 10, VMax: 5, IMax: 6, V: 20, I: 30, VI: 60}))
		default:
			v, i := make([]int16, MaxSamples), make([]int16, MaxSamples)
			for k := range v {
				v[k], i[k] = int16(1800+random.IntN(100)), int16(random.IntN(2000))
			}
			units = append(units, AppendSamples(nil, h, v, i))
		}
	}
	return units
}

// described returns a decoder that knows the channels of box already, so that
// SLOW means something though a HELLO is damaged, and the offset where it stands.
func described(t testing.TB, link string) (Decoder, int64) {
	t.Helper()
	d, err := New(link)
	require.NoError(t, err)
	if link != Binary {
		return d, 0
	}
	hello, err := AppendHello(nil, Header{}, box())
	require.NoError(t, err)
	only(t, d, hello)
	return d, int64(len(hello))
}

// readingsOf decodes stream and returns each reading by its seq. One that is not
// as in want is a wrong reading that nobody noticed.
func readingsOf(t *testing.T, link string, stream []byte, want map[uint32]string) map[uint32]string {
	t.Helper()
	d, start := described(t, link)
	got := map[uint32]string{}
	d.Decode(stream, func(r *Reading, err error) {
		var damage *Error
		if errors.As(err, &damage) {
			require.Positive(t, damage.Bytes)
			require.GreaterOrEqual(t, damage.Offset, start)
			require.LessOrEqual(t, damage.Offset+int64(damage.Bytes), start+int64(len(stream)))
			return
		}
		require.NoError(t, err)
		for k := range r.Blocks {
			r.Blocks[k].Step = 0 // of a line: the time since the one before, which may be lost
		}
		got[r.Seq] = describe(r)
		if want != nil {
			require.Equal(t, want[r.Seq], got[r.Seq])
		}
	})
	return got
}

// damages are what can happen to the byte at k; it returns the damaged stream.
var damages = map[string]func(stream []byte, k int) []byte{
	"one bit":   func(s []byte, k int) []byte { s[k] ^= 1 << (k % 8); return s },
	"all bits":  func(s []byte, k int) []byte { s[k] ^= 0xFF; return s },
	"zero":      func(s []byte, k int) []byte { s[k] = 0; return s },
	"line feed": func(s []byte, k int) []byte { s[k] = '\n'; return s },
	"lost":      func(s []byte, k int) []byte { return append(s[:k], s[k+1:]...) },
	"doubled":   func(s []byte, k int) []byte { return append(s[:k+1], s[k:]...) },
	"burst lost": func(s []byte, k int) []byte {
		return append(s[:k], s[min(len(s), k+20):]...)
	},
}

// Damage at any byte costs the units it touches, and nothing else: what is read
// is what was sent. A delimiter belongs to both of its neighbours.
func TestDamageCostsOnlyWhatItTouches(t *testing.T) {
	step := 1
	if testing.Short() {
		step = 7
	}
	for _, link := range links {
		units := numbered(t, link)
		stream := bytes.Join(units, nil)
		want := readingsOf(t, link, stream, nil)
		require.Len(t, want, len(units))
		for name, damage := range damages {
			t.Run(link+"/"+name, func(t *testing.T) {
				for k := 0; k < len(stream); k += step {
					damaged := damage(bytes.Clone(stream), k)
					if bytes.Equal(damaged, stream) {
						continue
					}
					got := readingsOf(t, link, damaged, want)
					first, last := touched(units, k, name == "burst lost")
					for seq := range uint32(len(units)) {
						if seq < first || seq > last {
							require.Contains(t, got, seq, "byte %d, touched %d to %d", k, first, last)
						}
					}
				}
			})
		}
	}
}

// touched returns the units of which a damage at byte k may change a part.
func touched(units [][]byte, k int, burst bool) (first, last uint32) {
	end := k
	if burst {
		end += 19
	}
	at := 0
	for seq, unit := range units {
		if at <= k {
			first = uint32(seq)
		}
		if at <= end+1 { // the delimiter before it counts
			last = uint32(seq)
		}
		at += len(unit)
	}
	return first, last
}

func TestCutAnywhereGivesWhatWasWhole(t *testing.T) {
	for _, link := range links {
		units := numbered(t, link)
		stream := bytes.Join(units, nil)
		want := readingsOf(t, link, stream, nil)
		whole, end := 0, len(units[0])
		for k := range stream {
			if k == end {
				whole++
				end += len(units[whole])
			}
			assert.Len(t, readingsOf(t, link, stream[:k], want), whole, "%s cut at %d", link, k)
		}
	}
}

func TestNoiseIsNeverRead(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	noise := make([]byte, 1<<20)
	for k := range noise {
		noise[k] = byte(random.Uint32())
	}
	for _, link := range links {
		assert.Empty(t, readingsOf(t, link, noise, nil), link)
	}
}
