package codec

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// FuzzRoundTrip reads the input as columns of every kind.
func FuzzRoundTrip(f *testing.F) {
	f.Add([]byte("12345678"))
	f.Add(make([]byte, 96))
	f.Add(bytes.Repeat([]byte{1, 0, 0, 0, 9, 0, 0, 0, 3, 1, 0, 0, 5, 0, 0, 0}, 1000))
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f, 0, 0, 0, 0, 0, 0, 0, 0x80})
	p, u := NewPacker(), NewUnpacker()
	f.Fuzz(func(t *testing.T, b []byte) {
		var codes, narrow []int32
		var numbers []int64
		var values []float64
		var flags []bool
		var windows []series.WindowSums
		for rest := b; len(rest) >= 8; rest = rest[8:] {
			x := binary.LittleEndian.Uint64(rest)
			codes, numbers = append(codes, int32(x)), append(numbers, int64(x))
			narrow = append(narrow, int32(int16(x)))
			values, flags = append(values, math.Float64frombits(x)), append(flags, x&1 == 1)
			windows = append(windows, series.WindowSums{
				Count: uint32(x), V: int64(x), I: -int64(x), VI: int64(x >> 1), VMin: int16(x), VMax: int16(x >> 16),
				IMin: int16(x >> 32), IMax: int16(x >> 48), ArcOn: uint32(x >> 8), WireCount: uint32(x >> 32), Dropped: ^uint32(x),
			})
		}
		n := len(codes)
		if n == 0 {
			return
		}
		p.Codes(0, codes)
		p.Numbers(1, numbers)
		p.Floats(2, values)
		p.Bits(3, flags)
		p.Bytes(4, b[:n])
		p.Sums(5, windows)
		p.Codes(6, narrow)
		_, payload := p.Joined(nil)
		columns, err := u.Joined(payload, n)
		require.NoError(t, err)
		require.Len(t, columns, 7)
		gotNumbers, err := columns[0].Numbers(nil)
		require.NoError(t, err)
		require.Equal(t, numbers, gotNumbers)
		gotValues, err := columns[1].Floats(nil)
		require.NoError(t, err)
		for k := range values {
			require.Equal(t, math.Float64bits(values[k]), math.Float64bits(gotValues[k]))
		}
		gotFlags, err := columns[2].Bits(nil)
		require.NoError(t, err)
		require.Equal(t, flags, gotFlags)
		gotBytes, err := columns[3].Bytes(nil)
		require.NoError(t, err)
		require.Equal(t, b[:n], gotBytes)
		gotWindows, err := columns[4].Sums(nil)
		require.NoError(t, err)
		require.Equal(t, windows, gotWindows)
		for k, want := range [][]int32{codes, narrow} {
			got, err := columns[5+k].Codes(nil)
			require.NoError(t, err)
			require.Equal(t, want, got)
		}
	})
}

// FuzzUnpacker opens bytes that nobody packed, as a payload, as a column, and as what is in
// one: they are refused, or come to as many numbers as were asked for.
func FuzzUnpacker(f *testing.F) {
	p := NewPacker()
	f.Add(uint8(0), packAll(p), 3)
	p.Codes(1, []int32{math.MinInt32, 0, math.MaxInt32})
	_, payload := p.Joined(nil)
	f.Add(uint8(Codes), payload, 3)
	f.Add(uint8(Delta16), frameOf(f, []byte{0, 0, 0, 0, 1, 0}), 2)
	f.Add(uint8(Codes), []byte{0, 2, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1, 255, 0x58, 0x02}, 2)
	f.Add(uint8(Bytes), []byte{}, -1)
	u := NewUnpacker()
	f.Fuzz(func(t *testing.T, how uint8, payload []byte, n int) {
		var found []Column
		if columns, err := u.Joined(payload, n); err == nil {
			found = append(found, columns...)
		} else {
			require.ErrorIs(t, err, ErrPayload)
		}
		opensAsMany(t, found, n)
		found = nil
		if c, err := u.Column(ID(how), payload, n); err == nil {
			found = append(found, c)
		}
		if n > 0 && n < 1000 {
			found = append(found, Column{how: ID(how), raw: payload, n: n})
		}
		opensAsMany(t, found, n)
	})
}

func opensAsMany(t *testing.T, columns []Column, n int) {
	t.Helper()
	for _, c := range columns {
		for kind, open := range openers {
			got, err := open(c)
			switch {
			case err != nil:
				require.ErrorIs(t, err, ErrPayload)
			case kind == SecondDifferences:
				require.True(t, 1 <= got && got <= n)
			default:
				require.Equal(t, n, got)
			}
		}
	}
}

// A frame of literals is what another zstd reader opens, whatever is in it.
func TestLiterals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	random := func(n, values int) []byte {
		b := make([]byte, n)
		for k := range b {
			b[k] = byte(r.IntN(values))
		}
		return b
	}
	var l literals
	for name, columns := range map[string][][]byte{
		"one byte": {{7}}, "repeats": {make([]byte, 300_000)}, "noise": {random(5000, 256)}, "few values": {random(5000, 3)},
		"two values": {random(2000, 2)}, "one stream": {random(1023, 9)}, "four streams": {random(1024, 9)}, "not worth a table": {random(31, 4)},
		"a block and a byte": {random(mostInBlock+1, 20)}, "several": {random(10, 256), random(10_000, 30), make([]byte, 40), random(100, 5)},
		"all of the alphabet, one rare": {append(random(4000, 255), 255)},
	} {
		payload := l.frame(nil, columns)
		require.Equal(t, bytes.Join(columns, nil), content(t, payload), name)
		require.LessOrEqual(t, len(payload), len(bytes.Join(columns, nil))+9+4+3*(len(columns)+1), name)
	}
}

// Check values of XXH64 with the seed 0. Source: the frames of another zstd writer, which end with its lower half.
func TestChecksum(t *testing.T) {
	require.Equal(t, uint64(0xef46db3751d8e999), checksum(nil), "as the specification of xxHash has it")
	for n := range 100 {
		b := make([]byte, n)
		for k := range b {
			b[k] = byte(k * 37)
		}
		frame := frameOf(t, b)
		if n > 0 {
			require.Equal(t, binary.LittleEndian.Uint32(frame[len(frame)-4:]), uint32(checksum(b)), "%d bytes", n)
		}
	}
}

// Content comes back in room of its own size, and no more of it than the reader takes.
func TestContent(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for _, n := range []int{1, 255, 256, 70_000} {
		b := make([]byte, n)
		how, payload := p.Content(nil, b)
		got, err := u.Content([]byte{7}, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, append([]byte{7}, b...), got)
		_, err = u.Content(nil, how, payload, n-1)
		require.ErrorIs(t, err, ErrPayload, "%d bytes", n)
		_, err = u.Content(nil, Bytes, payload, n)
		require.ErrorIs(t, err, ErrPayload)
		_, err = u.Content(nil, how, payload[:len(payload)-1], n)
		require.ErrorIs(t, err, ErrPayload)
	}
	_, err := u.Content(nil, Content, nil, 5)
	require.ErrorIs(t, err, ErrPayload)
}
