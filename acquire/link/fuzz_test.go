package link

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"math"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// fuzz feeds a stream in pieces of any size: it must never panic, its blocks
// must be sound, its damage must lie in order inside the stream, and the same
// must come out when it is fed at once.
func fuzz(f *testing.F, link string) {
	stream := captured(f, link)
	f.Add(stream, uint16(7))
	for k := 0; k < len(stream); k += 97 {
		f.Add(stream[k:min(len(stream), k+300)], uint16(k))
	}
	f.Fuzz(func(t *testing.T, stream []byte, piece uint16) {
		require.Equal(t, replay(t, link, stream, len(stream)+1), replay(t, link, stream, int(piece)+1))
		d, start := described(t, link)
		end := start
		d.Decode(stream, func(r *Reading, err error) {
			var damage *Error
			if errors.As(err, &damage) {
				require.GreaterOrEqual(t, damage.Offset, end)
				require.Positive(t, damage.Bytes)
				end = damage.Offset + int64(damage.Bytes)
				require.LessOrEqual(t, end, start+int64(len(stream)))
				return
			}
			require.NoError(t, err)
			for k := range r.Blocks {
				requireSound(t, &r.Blocks[k])
			}
		})
	})
}

// requireSound checks what every user of a block takes for granted.
func requireSound(t *testing.T, b *series.Block) {
	t.Helper()
	n := b.Len()
	require.Positive(t, n)
	require.GreaterOrEqual(t, b.At(0), int64(0))
	switch b.Kind {
	case series.Arc:
		require.Len(t, b.I, n)
	case series.Slow:
		require.Len(t, b.Channel, n)
	case series.Turn:
		require.Len(t, b.Ticks, n)
	case series.Sums:
		require.Positive(t, b.Sum.Count)
		require.Positive(t, b.Step)
		require.LessOrEqual(t, b.Sum.ArcOn, b.Sum.Count)
		require.LessOrEqual(t, int64(b.Sum.Count)*b.Step, int64(60e9))
	default:
		t.Fatalf("a block of kind %d", b.Kind)
	}
}

func FuzzBinary(f *testing.F) { fuzz(f, Binary) }

func FuzzDelimited(f *testing.F) { fuzz(f, Delimited) }

func FuzzLineProtocol(f *testing.F) { fuzz(f, LineProtocol) }

// FuzzChecked reaches behind the checksum, which no mutation gets past: it seals
// the body of a line, or a payload, before it is decoded.
func FuzzChecked(f *testing.F) {
	for _, frame := range numbered(f, Binary) {
		payload := make([]byte, len(frame))
		n, _ := decodeCOBS(payload, frame[:len(frame)-1])
		f.Add(payload[:n-checksumSize])
	}
	f.Add([]byte(`arc,src=box1 boot=7i,seq=1i,t=2i,v=1e3,i=.5,note="a\"b"`))
	f.Add([]byte("W,7,1,2,24.31,-.5,"))
	f.Fuzz(func(t *testing.T, body []byte) {
		for _, link := range links {
			d, _ := described(t, link)
			d.Decode(sealed(link, body), func(r *Reading, err error) {
				var damage *Error
				if errors.As(err, &damage) {
					require.NotEqual(t, BadChecksum, damage.Kind, "sealed")
					return
				}
				require.NoError(t, err)
				for k := range r.Blocks {
					requireSound(t, &r.Blocks[k])
				}
			})
		}
	})
}

// FuzzHello wants of any description that is taken that a box can have it, and that
// it says the same again.
func FuzzHello(f *testing.F) {
	body, err := formatHello(box())
	require.NoError(f, err)
	f.Add(body)
	for key, value := range map[string]any{"counts_per_turn": 1e-300, "clock_ppm": -1, "channels[1].scale": 1e300, "channels[1].tap": "torch", "name": "\x1b"} {
		f.Add(helloWith(f, key, value))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		s, err := parseHello(body)
		if err != nil {
			return
		}
		within := func(low, x, high float64) { require.True(t, low <= x && x <= high, "%v", x) }
		if s.CountsPerTurn != 0 {
			within(1, s.CountsPerTurn, 1e6)
		}
		within(-1e5, s.Skew.Value, 1e5)
		within(0, s.ClockDeviation.Value, 1e5)
		texts := []string{s.Name, s.Serial, s.Firmware, s.Calibration}
		for _, c := range s.Channels {
			within(1e-9, math.Abs(c.Scale), 1e6)
			within(0, math.Abs(c.Offset), 1e9)
			within(0, float64(c.Bits), 32)
			texts = append(texts, c.Name, c.Unit, c.Tap)
		}
		for _, text := range texts {
			require.True(t, utf8.ValidString(text))
			require.LessOrEqual(t, len([]rune(text)), 64)
			require.NotContains(t, text, "\n")
		}
		again, err := formatHello(*s)
		if err != nil {
			require.ErrorContains(t, err, "a frame has room for") // a basis that is not known has a longer word
			return
		}
		back, err := parseHello(again)
		require.NoError(t, err)
		require.True(t, s.Equal(*back))
	})
}

// FuzzWindows sends windows of any length, order and boot, and wants those that are
// taken and go on to lie one behind the other. Four bytes make a window: its number
// and where it begins, both from the one before, its length, and its boot.
func FuzzWindows(f *testing.F) {
	f.Add([]byte{1, 10, 10, 0, 1, 5, 10, 0, 1, 10, 10, 0})
	f.Add([]byte{1, 10, 10, 0, 0, 0, 10, 0, 255, 246, 10, 0, 1, 1, 1, 1})
	f.Fuzz(func(t *testing.T, moves []byte) {
		d := newBinaryDecoder()
		var seq uint32
		tick := int64(1 << 20)
		var last *Reading
		var end int64
		var seen [64]Reading // of this boot: one of these that comes again is no new window
		for ; len(moves) >= 4; moves = moves[4:] {
			seq += uint32(int8(moves[0]))
			tick = max(0, tick+int64(int8(moves[1])))
			count := uint32(moves[2])
			frame := AppendSums(nil, Header{Boot: uint16(moves[3] % 2), Seq: seq, TickUS: uint64(tick), StepUS: 1}, series.WindowSums{Count: count})
			d.Decode(frame, func(r *Reading, err error) {
				if err != nil || len(r.Blocks) == 0 {
					return
				}
				w := Reading{Boot: r.Boot, Seq: r.Seq, Tick: r.Tick, HasSeq: true}
				if last == nil || w.Boot != last.Boot {
					seen = [64]Reading{}
				} else if seen[w.Seq%64].Seq == w.Seq && seen[w.Seq%64].Tick == w.Tick && seen[w.Seq%64].HasSeq {
					return
				} else if int32(w.Seq-last.Seq) > 0 && w.Tick >= last.Tick {
					require.GreaterOrEqual(t, w.Tick, end, "window %d", w.Seq)
				}
				seen[w.Seq%64] = w
				last, end = &w, w.Tick+int64(count)*1000
			})
		}
	})
}

// sealed puts the right checksum behind any body, and the marks of the link
// around it. What would end a line early is left out of it.
func sealed(link string, body []byte) []byte {
	sum := crc32.Checksum(body, castagnoli)
	if link == Binary {
		return append(stuffed(binary.LittleEndian.AppendUint32(bytes.Clone(body), sum)), 0)
	}
	body = bytes.TrimSpace(bytes.ReplaceAll(body, []byte{'\n'}, nil))
	sum = crc32.Checksum(body, castagnoli)
	if link == Delimited {
		return fmt.Appendf(nil, "$%s*%08x\n", body, sum)
	}
	return fmt.Appendf(nil, "%s%s%du\n", body, checksumName, sum)
}
