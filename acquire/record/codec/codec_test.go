package codec

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/klauspost/compress/zstd"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// content opens a payload with a zstd reader that knows none of our limits.
func content(t *testing.T, payload []byte) []byte {
	t.Helper()
	z, err := zstd.NewReader(nil)
	require.NoError(t, err)
	defer z.Close()
	raw, err := z.DecodeAll(payload, nil)
	require.NoError(t, err)
	return raw
}

// The bytes are worked out by hand from the table of codecs in FORMAT.md.
func TestPacker_writesWhatTheFormatSays(t *testing.T) {
	p := NewPacker()
	zeros := func(n int) []byte { return make([]byte, n) }
	join := func(parts ...[]byte) (all []byte) {
		for _, part := range parts {
			all = append(all, part...)
		}
		return all
	}
	for name, test := range map[string]struct {
		pack func() (ID, []byte)
		id   ID
		want []byte
	}{
		// Differences -1, 2, 0, 300: zigzag 1, 4, 0, 600 = 0x0258.
		"codes near one another": {
			func() (ID, []byte) { return p.Codes(nil, []int32{0x1234, 0x1233, 0x1235, 0x1235, 0x1235 + 300}) }, 1,
			[]byte{0x34, 0x12, 0, 0, 1, 4, 0, 0x58, 0, 0, 0, 0x02},
		},
		// Differences 0x8000, -0x8000: zigzag 0x10000, 0xffff.
		"codes far apart": {
			func() (ID, []byte) { return p.Codes(nil, []int32{0x7ffe, 0xfffe, 0x7ffe}) }, 2,
			[]byte{0xfe, 0x7f, 0, 0, 0x00, 0xff, 0x00, 0xff, 0x01, 0x00, 0x00, 0x00},
		},
		// Zigzag doubles what is above zero: 0x78563412 has another byte in every plane.
		"codes in four planes": {
			func() (ID, []byte) { return p.Codes(nil, []int32{0, 0x3c2b1a09}) }, 2,
			[]byte{0, 0, 0, 0, 0x12, 0x34, 0x56, 0x78},
		},
		// Differences 10, 11, 0; of these the differences 10, 1, -11: zigzag 20, 2, 21.
		"numbers": {
			func() (ID, []byte) { return p.Numbers(nil, []int64{1000, 1010, 1021, 1021}) }, 3,
			join([]byte{0xe8, 0x03, 0, 0, 0, 0, 0, 0, 20, 2, 21}, zeros(21)),
		},
		// Doubled, another byte in every plane.
		"numbers in eight planes": {
			func() (ID, []byte) { return p.Numbers(nil, []int64{0, 0x4434241404f4e3d2 / 2}) }, 3,
			join(zeros(8), []byte{0xd2, 0xe3, 0xf4, 0x04, 0x14, 0x24, 0x34, 0x44}),
		},
		// 1.5 is 0x3ff8 0000 0000 0000 and -2 is 0xc000 0000 0000 0000.
		"floats": {
			func() (ID, []byte) { return p.Floats(nil, []float64{1.5, 1.5, -2}) }, 4,
			join(zeros(18), []byte{0xf8, 0, 0xf8, 0x3f, 0, 0xff}),
		},
		"bits": {
			func() (ID, []byte) {
				return p.Bits(nil, []bool{true, false, false, true, false, false, false, true, false, true})
			}, 5, []byte{0x89, 0x02},
		},
		"bytes": {func() (ID, []byte) { return p.Bytes(nil, []byte{7, 0, 255}) }, 6, []byte{7, 0, 255}},
		"sums": {
			func() (ID, []byte) {
				return p.Sums(nil, []series.WindowSums{{
					Count: 0x01020304, V: -2, I: 3, VI: 0x1122334455667788, VMin: -1, VMax: 0x0102, IMin: -0x8000, IMax: 5,
					ArcOn: 0xa1a2a3a4, WireCount: 0xb1b2b3b4, Dropped: 0xc1c2c3c4,
				}})
			}, 7,
			[]byte{
				4, 3, 2, 1,
				0xfe, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff,
				3, 0, 0, 0, 0, 0, 0, 0,
				0x88, 0x77, 0x66, 0x55, 0x44, 0x33, 0x22, 0x11,
				0xff, 0xff, 0x02, 0x01, 0x00, 0x80, 5, 0,
				0xa4, 0xa3, 0xa2, 0xa1, 0xb4, 0xb3, 0xb2, 0xb1, 0xc4, 0xc3, 0xc2, 0xc1,
			},
		},
	} {
		t.Run(name, func(t *testing.T) {
			id, payload := test.pack()
			require.Equal(t, test.id, id)
			require.Equal(t, test.want, content(t, payload))
		})
	}
}

// As before, of what came with version 4.
func TestPacker_writesCodesOfSixteenBitsAsTheFormatSays(t *testing.T) {
	p := NewPacker()
	for name, test := range map[string]struct {
		pack func() (ID, []byte)
		id   ID
		want []byte
	}{
		// Differences 100, 100, 101, 101; of these 100, 0, 1, 0: zigzag 200, 0, 2, 0.
		"codes on a slope": {
			func() (ID, []byte) { return p.Codes(nil, []int32{100, 200, 301, 402}) }, 8,
			[]byte{200, 0, 2, 0, 0, 0, 0, 0},
		},
		// Differences -0x8000, 0xffff, -0xffff, 0xffff; of these -0x8000, 0x17fff, -0x1fffe,
		// 0x1fffe, which in 16 bits are -0x8000, 0x7fff, 2, -2: zigzag 0xffff, 0xfffe, 4, 3.
		"codes that wrap": {
			func() (ID, []byte) {
				second16([]int32{-0x8000, 0x7fff, -0x8000, 0x7fff}, p.room(8))
				return Second16, p.close(nil)
			}, 8,
			[]byte{0xff, 0xfe, 0x04, 0x03, 0xff, 0xff, 0, 0},
		},
		// As they are: zigzag 0xffff, 0xfffe, 1, 0, 0xfffe, 0xffff, 0xfffe, 2.
		"codes like noise": {
			func() (ID, []byte) { return p.Codes(nil, []int32{-0x8000, 0x7fff, -1, 0, 0x7fff, -0x8000, 0x7fff, 1}) }, 9,
			[]byte{0xff, 0xfe, 1, 0, 0xfe, 0xff, 0xfe, 2, 0xff, 0xff, 0, 0, 0xff, 0xff, 0xff, 0},
		},
	} {
		t.Run(name, func(t *testing.T) {
			id, payload := test.pack()
			require.Equal(t, test.id, id)
			require.Equal(t, test.want, content(t, payload))
		})
	}
}

func TestCodes_ComeBack(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for name, codes := range map[string][]int32{
		"one":             {7},
		"minimum alone":   {math.MinInt32},
		"end to end":      {math.MinInt32, math.MaxInt32, math.MinInt32, 0, -1, 1},
		"end stops":       {math.MinInt16, math.MaxInt16, math.MinInt16},
		"just 16 bits":    {0, math.MaxInt16, -1, math.MaxInt16 - 1},
		"just over":       {0, math.MaxInt16 + 1},
		"just under":      {0, math.MinInt16 - 1},
		"nothing happens": make([]int32, 5000),
	} {
		t.Run(name, func(t *testing.T) {
			how, payload := p.Codes(nil, codes)
			got, err := u.Codes([]int32{1, 2}, how, payload, len(codes))
			require.NoError(t, err)
			require.Equal(t, append([]int32{1, 2}, codes...), got, "behind what is there")
			for _, n := range []int{len(codes) - 1, len(codes) + 1} {
				_, err = u.Codes(nil, how, payload, n)
				require.ErrorIs(t, err, ErrPayload, "%d codes", n)
			}
		})
	}
}

func TestNumbers_ComeBack(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for _, numbers := range [][]int64{
		{math.MinInt64}, {math.MinInt64, math.MaxInt64, math.MinInt64, 0}, {0, 1, 2, 3, 4}, {5, 4, 3, -7e18, 7e18},
	} {
		how, payload := p.Numbers(nil, numbers)
		got, err := u.Numbers([]int64{9}, how, payload, len(numbers))
		require.NoError(t, err)
		require.Equal(t, append([]int64{9}, numbers...), got)
		got, err = u.Numbers(nil, how, payload, len(numbers)+3)
		require.NoError(t, err, "there may be fewer than the most")
		require.Equal(t, numbers, got)
		_, err = u.Numbers(nil, how, payload, len(numbers)-1)
		require.ErrorIs(t, err, ErrPayload, "there may not be more")
	}
}

// Frames of every length around whole numbers: 8 bytes are one, 12 are none.
func TestNumbers_MustBeWhole(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for n := 1; n <= 33; n++ {
		_, payload := p.Bytes(nil, make([]byte, n))
		got, err := u.Numbers(nil, SecondDifferences, payload, 3)
		if n%8 == 0 && n <= 24 {
			require.NoError(t, err, "%d bytes", n)
			require.Len(t, got, n/8)
			continue
		}
		require.ErrorIs(t, err, ErrPayload, "%d bytes", n)
	}
}

func TestBits_ComeBack(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	flags := []bool{false, true, true, false, true, false, false, true, true, false, true}
	for n := 1; n <= len(flags); n++ {
		how, payload := p.Bits(nil, flags[:n])
		got, err := u.Bits([]bool{true}, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, append([]bool{true}, flags[:n]...), got)
	}
}

func TestCodes_SixteenBitDifferencesUseTwoPlanes(t *testing.T) {
	p := NewPacker()
	for codes, want := range map[[2]int32]ID{
		{0, math.MaxInt16}:                 Delta16,
		{0, math.MinInt16}:                 Delta16,
		{2_000_000_000, 2_000_000_001}:     Delta16,
		{0, math.MaxInt16 + 1}:             Delta32,
		{0, math.MinInt16 - 1}:             Delta32,
		{math.MinInt32, math.MaxInt32}:     Delta16, // wraps around to -1
		{math.MinInt32, math.MaxInt32 / 2}: Delta32,
	} {
		how, _ := p.Codes(nil, codes[:])
		require.Equal(t, want, how, "%v", codes)
	}
}

// opener opens a payload as one kind of column and returns how many numbers came of it.
type opener func(u *Unpacker, how ID, payload []byte, n int) (int, error)

var openers = map[ID]opener{
	Delta16:           func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Codes(nil, how, b, n)) },
	SecondDifferences: func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Numbers(nil, how, b, n)) },
	Floats:            func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Floats(nil, how, b, n)) },
	Bits:              func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Bits(nil, how, b, n)) },
	Bytes:             func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Bytes(nil, how, b, n)) },
	Sums:              func(u *Unpacker, how ID, b []byte, n int) (int, error) { return length(u.Sums(nil, how, b, n)) },
}

func length[T any](column []T, err error) (int, error) { return len(column), err }

// packed returns a payload of three numbers for every opener.
func packed(p *Packer) map[ID][]byte {
	all := map[ID][]byte{}
	put := func(how ID, payload []byte) { all[how] = payload }
	put(p.Codes(nil, []int32{100, 101, 99}))
	put(p.Numbers(nil, []int64{1, 2, 3}))
	put(p.Floats(nil, []float64{1, 2, 3}))
	put(p.Bits(nil, []bool{true, false, true}))
	put(p.Bytes(nil, []byte{1, 2, 3}))
	put(p.Sums(nil, make([]series.WindowSums, 3)))
	return all
}

func TestUnpacker_RefusesAnotherCodecAndAnImpossibleLength(t *testing.T) {
	u := NewUnpacker()
	payloads := packed(NewPacker())
	for how, open := range openers {
		n, err := open(u, how, payloads[how], 3)
		require.NoError(t, err)
		require.Equal(t, 3, n)
		for other := range ID(9) {
			if other == how || how == Delta16 && other == Delta32 {
				continue
			}
			_, err := open(u, other, payloads[how], 3)
			require.ErrorIs(t, err, ErrPayload, "codec %d as %d", how, other)
		}
		for _, n := range []int{math.MinInt, -1, 0, maxLength + 1, math.MaxInt} {
			_, err := open(u, how, payloads[how], n)
			require.ErrorIs(t, err, ErrPayload, "%d numbers", n)
		}
	}
}

// A column of the greatest length is taken, and a longer one refused, though its
// bytes are all there.
func TestUnpacker_GreatestLength(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	how, payload := p.Bytes(nil, make([]byte, maxLength))
	got, err := u.Bytes(nil, how, payload, maxLength)
	require.NoError(t, err)
	require.Len(t, got, maxLength)
	how, payload = p.Bytes(nil, make([]byte, maxLength+1))
	_, err = u.Bytes(nil, how, payload, maxLength+1)
	require.ErrorIs(t, err, ErrPayload)
	require.ErrorContains(t, err, "1048577 samples in a chunk")
}

// A frame that opens to far more than its column takes no memory for it.
func TestUnpacker_FrameThatSwells(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	how, payload := p.Bytes(nil, make([]byte, 1<<24))
	require.Less(t, len(payload), 2000)
	_, err := u.Bytes(nil, how, payload, 16)
	require.ErrorIs(t, err, ErrPayload)
	require.Less(t, cap(u.raw), 100)
}

// A flipped bit never becomes another number: the frame's checksum sees it.
func TestUnpacker_FlippedBit(t *testing.T) {
	u := NewUnpacker()
	codes := make([]int32, 200)
	for k := range codes {
		codes[k] = int32(k * k % 97)
	}
	how, payload := NewPacker().Codes(nil, codes)
	refused := 0
	for bit := range 8 * len(payload) {
		payload[bit/8] ^= 1 << (bit % 8)
		got, err := u.Codes(nil, how, payload, len(codes))
		payload[bit/8] ^= 1 << (bit % 8)
		if err != nil {
			refused++
			continue
		}
		require.Equal(t, codes, got, "bit %d", bit)
	}
	require.Greater(t, refused, 8*len(payload)-16, "nearly every bit matters")
}

func TestPacker_AppendsBehindWhatIsThere(t *testing.T) {
	p := NewPacker()
	_, alone := p.Bytes(nil, []byte{1, 2, 3})
	_, behind := p.Bytes([]byte("abc"), []byte{1, 2, 3})
	require.Equal(t, append([]byte("abc"), alone...), behind)
}

// FuzzRoundTrip reads the input as columns of every kind.
func FuzzRoundTrip(f *testing.F) {
	f.Add([]byte("12345678"))
	f.Add(make([]byte, 96))
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f, 0, 0, 0, 0, 0, 0, 0, 0x80})
	p, u := NewPacker(), NewUnpacker()
	f.Fuzz(func(t *testing.T, b []byte) {
		var codes []int32
		var numbers []int64
		var values []float64
		var flags []bool
		var windows []series.WindowSums
		for rest := b; len(rest) >= 8; rest = rest[8:] {
			x := binary.LittleEndian.Uint64(rest)
			codes, numbers = append(codes, int32(x)), append(numbers, int64(x))
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
		how, payload := p.Codes(nil, codes)
		gotCodes, err := u.Codes(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, codes, gotCodes)
		how, payload = p.Numbers(nil, numbers)
		gotNumbers, err := u.Numbers(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, numbers, gotNumbers)
		how, payload = p.Floats(nil, values)
		gotValues, err := u.Floats(nil, how, payload, n)
		require.NoError(t, err)
		for k := range values {
			require.Equal(t, math.Float64bits(values[k]), math.Float64bits(gotValues[k]))
		}
		how, payload = p.Bits(nil, flags)
		gotFlags, err := u.Bits(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, flags, gotFlags)
		how, payload = p.Bytes(nil, b)
		gotBytes, err := u.Bytes(nil, how, payload, len(b))
		require.NoError(t, err)
		require.Equal(t, b, gotBytes)
		how, payload = p.Sums(nil, windows)
		gotWindows, err := u.Sums(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, windows, gotWindows)
	})
}

// FuzzUnpacker gives every codec bytes that nobody packed: it must refuse them,
// or return as many numbers as were asked for.
func FuzzUnpacker(f *testing.F) {
	p := NewPacker()
	for how, payload := range packed(p) {
		f.Add(uint8(how), payload, 3)
	}
	how, payload := p.Codes(nil, []int32{math.MinInt32, 0, math.MaxInt32})
	f.Add(uint8(how), payload, 3)
	f.Add(uint8(Bytes), []byte{}, -1)
	u := NewUnpacker()
	f.Fuzz(func(t *testing.T, how uint8, payload []byte, n int) {
		for kind, open := range openers {
			got, err := open(u, ID(how), payload, n)
			if err != nil {
				require.ErrorIs(t, err, ErrPayload)
				continue
			}
			if kind == SecondDifferences {
				require.GreaterOrEqual(t, got, 1)
				require.LessOrEqual(t, got, n)
				continue
			}
			require.Equal(t, n, got)
		}
	})
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
