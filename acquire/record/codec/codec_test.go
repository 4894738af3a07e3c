package codec

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
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

// alone opens what was packed alone, as a reader of FORMAT.md does, and returns its
// content behind the directory.
func alone(t *testing.T, p *Packer) (ID, []byte) {
	t.Helper()
	how, payload := p.Joined(nil)
	require.Equal(t, Joined, how)
	raw := content(t, payload)
	require.Equal(t, []byte{1, 77}, raw[:2])
	require.Equal(t, uint32(len(raw)-7), binary.LittleEndian.Uint32(raw[3:]))
	return ID(raw[2]), raw[7:]
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
		pack func()
		id   ID
		want []byte
	}{
		// Differences 10, 11, 0; of these the differences 10, 1, -11: zigzag 20, 2, 21.
		"numbers": {
			func() { p.Numbers(77, []int64{1000, 1010, 1021, 1021}) }, 3,
			join([]byte{0xe8, 0x03, 0, 0, 0, 0, 0, 0, 20, 2, 21}, zeros(21)),
		},
		// Doubled, another byte in every plane.
		"numbers in eight planes": {
			func() { p.Numbers(77, []int64{0, 0x4434241404f4e3d2 / 2}) }, 3,
			join(zeros(8), []byte{0xd2, 0xe3, 0xf4, 0x04, 0x14, 0x24, 0x34, 0x44}),
		},
		// 1.5 is 0x3ff8 0000 0000 0000 and -2 is 0xc000 0000 0000 0000.
		"floats": {
			func() { p.Floats(77, []float64{1.5, 1.5, -2}) }, 4,
			join(zeros(18), []byte{0xf8, 0, 0xf8, 0x3f, 0, 0xff}),
		},
		"bits": {
			func() {
				p.Bits(77, []bool{true, false, false, true, false, false, false, true, false, true})
			}, 5, []byte{0x89, 0x02},
		},
		"bytes": {func() { p.Bytes(77, []byte{7, 0, 255}) }, 6, []byte{7, 0, 255}},
		"sums": {
			func() {
				p.Sums(77, []series.WindowSums{{
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
		// To the one before: 0, then 1, 1, -1, -1 ... as zigzag 2, 2, 1, 1 ...
		"codes around a level": {
			func() { p.Codes(77, repeated(64, 199, 200, 201, 200)) }, 8,
			join([]byte{1, 2, 0, 199, 0, 0, 0, 0, 0, 0, 0, 0}, repeatedBytes(63, 2, 2, 1, 1)),
		},
	} {
		t.Run(name, func(t *testing.T) {
			test.pack()
			id, raw := alone(t, p)
			require.Equal(t, test.id, id)
			require.Equal(t, test.want, raw)
		})
	}
}

func repeated(n int, pattern ...int32) (c []int32) {
	for k := range n {
		c = append(c, pattern[k%len(pattern)])
	}
	return c
}

func repeatedBytes(n int, pattern ...byte) (b []byte) {
	for k := range n {
		b = append(b, pattern[k%len(pattern)])
	}
	return b
}

// Every order, size and form, worked out by hand, whichever of them would be chosen.
func TestCodes_writesWhatTheFormatSays(t *testing.T) {
	for name, test := range map[string]struct {
		shape shape
		codes []int32
		m     int
		want  []byte
	}{
		// To the base 5: -1, 0, 300: zigzag 1, 0, 600 = 0x0258.
		"to the base":       {shape{0, 2, few, 5}, []int32{4, 5, 305}, 1, []byte{1, 0, 255, 0x58, 0x02}},
		"in two planes":     {shape{0, 2, planes, 5}, []int32{4, 5, 305}, 0, []byte{1, 0, 0x58, 0, 0, 0x02}},
		"to the one before": {shape{1, 2, few, 100}, []int32{100, 99, 101, 101}, 0, []byte{0, 1, 4, 0}},
		// Differences 0, 100, 101, 101; of these 0, 100, 1, 0: zigzag 0, 200, 2, 0.
		"to the step before": {shape{2, 2, few, 100}, []int32{100, 200, 301, 402}, 0, []byte{0, 200, 2, 0}},
		// Zigzag 255 and 254: the first stands elsewhere, the second does not.
		"just beyond": {shape{1, 2, few, 0}, []int32{-128, -1}, 1, []byte{255, 254, 255, 0}},
		// Differences 0, 0xffff, -0xffff; of these 0, 0xffff, -0x1fffe, in 16 bits -1, 2: zigzag 1, 4.
		"that wrap": {shape{2, 2, few, -0x8000}, []int32{-0x8000, 0x7fff, -0x8000}, 0, []byte{0, 1, 4}},
		// 0x3c2b1a09 doubled has another byte in every plane.
		"of four bytes":           {shape{1, 4, few, 0}, []int32{0, 0x3c2b1a09}, 1, []byte{0, 255, 0x12, 0x34, 0x56, 0x78}},
		"of four bytes in planes": {shape{1, 4, planes, 0}, []int32{0, 0x3c2b1a09}, 0, []byte{0, 0x12, 0, 0x34, 0, 0x56, 0, 0x78}},
	} {
		t.Run(name, func(t *testing.T) {
			var p codesPacker
			if test.shape.form == few {
				p.few(test.codes, test.shape, test.m)
			} else {
				p.planes(test.codes, test.shape)
			}
			require.Equal(t, test.want, p.content)
			raw := append([]byte{test.shape.order, test.shape.size, test.shape.form}, 0, 0, 0, 0, byte(test.m), 0, 0, 0)
			binary.LittleEndian.PutUint32(raw[3:], uint32(test.shape.base))
			got, err := Column{how: Codes, raw: append(raw, p.content...), n: len(test.codes)}.Codes(nil)
			require.NoError(t, err)
			require.Equal(t, test.codes, got)
		})
	}
}

// What a signal is like tells how its codes are written.
func TestCodes_AreWrittenAsTheyAreLike(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	signal := func(of func(k int) float64) (c []int32) {
		for k := range 10_000 {
			c = append(c, int32(of(k)))
		}
		return c
	}
	for name, test := range map[string]struct {
		codes []int32
		want  shape
		most  float64 // bytes a code
	}{
		"still":                     {signal(func(int) float64 { return 7 }), shape{0, 2, few, 7}, 0.01},
		"noise around a level":      {signal(func(int) float64 { return 2000 + 20*r.NormFloat64() }), shape{order: 0, size: 2, form: few}, 0.83},
		"noise over all of 16 bits": {signal(func(int) float64 { return float64(int16(r.Uint32())) }), shape{order: 0, size: 2, form: planes}, 2.01},
		"a ramp":                    {signal(func(k int) float64 { return float64(3*k - 16000) }), shape{order: 1, size: 2, form: few}, 0.14},
		"a swing":                   {signal(func(k int) float64 { return 15000 * math.Sin(float64(k)/40) }), shape{order: 2, size: 2, form: few}, 0.60},
		"a ramp beyond 16 bits":     {signal(func(k int) float64 { return float64(70 * k) }), shape{order: 1, size: 4, form: few}, 0.14},
		"a jump now and then":       {signal(func(k int) float64 { return float64(k/500%2*9000) + 3*r.NormFloat64() }), shape{order: 1, size: 2, form: few}, 0.62},
	} {
		t.Run(name, func(t *testing.T) {
			var v survey
			got, _ := v.choose(test.codes)
			if test.want.base == 0 {
				got.base = 0
			}
			require.Equal(t, test.want, got)
			p, u := NewPacker(), NewUnpacker()
			p.Codes(1, test.codes)
			_, payload := p.Joined(nil)
			require.LessOrEqual(t, float64(len(payload))/10_000, test.most)
			columns, err := u.Joined(payload, len(test.codes))
			require.NoError(t, err)
			codes, err := columns[0].Codes(nil)
			require.NoError(t, err)
			require.Equal(t, test.codes, codes)
		})
	}
}

// opened opens what was packed alone, as a column of n numbers.
func opened(t *testing.T, p *Packer, u *Unpacker, n int) (Column, error) {
	t.Helper()
	_, payload := p.Joined(nil)
	columns, err := u.Joined(payload, n)
	if err != nil {
		return Column{}, err
	}
	require.Len(t, columns, 1)
	return columns[0], nil
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
		"many blocks":     repeated(300_000, 5, 9, -3, 1000),
	} {
		t.Run(name, func(t *testing.T) {
			p.Codes(1, codes)
			c, err := opened(t, p, u, len(codes))
			require.NoError(t, err)
			got, err := c.Codes([]int32{1, 2})
			require.NoError(t, err)
			require.Equal(t, append([]int32{1, 2}, codes...), got, "behind what is there")
			for _, n := range []int{len(codes) - 1, len(codes) + 1} {
				p.Codes(1, codes)
				if c, err = opened(t, p, u, n); err == nil {
					_, err = c.Codes(nil)
				}
				require.ErrorIs(t, err, ErrPayload, "%d codes", n)
			}
		})
	}
}

// Codes as they were packed before version 4 of the format; the bytes are by hand.
func TestCodes_OfOlderRecords(t *testing.T) {
	u := NewUnpacker()
	for name, test := range map[string]struct {
		how   ID
		raw   []byte
		codes []int32
	}{
		// Differences -1, 2, 0, 300: zigzag 1, 4, 0, 600 = 0x0258.
		"near one another": {
			Delta16,
			[]byte{0x34, 0x12, 0, 0, 1, 4, 0, 0x58, 0, 0, 0, 0x02},
			[]int32{0x1234, 0x1233, 0x1235, 0x1235, 0x1235 + 300},
		},
		// Differences 0x8000, -0x8000: zigzag 0x10000, 0xffff.
		"far apart": {Delta32, []byte{0xfe, 0x7f, 0, 0, 0x00, 0xff, 0x00, 0xff, 0x01, 0x00, 0x00, 0x00}, []int32{0x7ffe, 0xfffe, 0x7ffe}},
		// Zigzag doubles what is above zero: 0x78563412 has another byte in every plane.
		"in four planes": {Delta32, []byte{0, 0, 0, 0, 0x12, 0x34, 0x56, 0x78}, []int32{0, 0x3c2b1a09}},
		"one":            {Delta16, []byte{0xff, 0xff, 0xff, 0xff}, []int32{-1}},
	} {
		t.Run(name, func(t *testing.T) {
			c, err := u.Column(test.how, frameOf(t, test.raw), len(test.codes))
			require.NoError(t, err)
			got, err := c.Codes([]int32{7})
			require.NoError(t, err)
			require.Equal(t, append([]int32{7}, test.codes...), got)
			c, err = u.Column(test.how, frameOf(t, test.raw), len(test.codes)+1)
			if err == nil {
				_, err = c.Codes(nil)
			}
			require.ErrorIs(t, err, ErrPayload)
		})
	}
}

// frameOf packs bytes with a zstd writer that is none of ours.
func frameOf(t testing.TB, raw []byte) []byte {
	z, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1), zstd.WithEncoderCRC(true))
	require.NoError(t, err)
	return z.EncodeAll(raw, nil)
}

func TestNumbers_ComeBack(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for _, numbers := range [][]int64{
		{math.MinInt64}, {math.MinInt64, math.MaxInt64, math.MinInt64, 0}, {0, 1, 2, 3, 4}, {5, 4, 3, -7e18, 7e18},
	} {
		numbersAt := func(n int) ([]int64, error) {
			p.Numbers(1, numbers)
			c, err := opened(t, p, u, n)
			require.NoError(t, err)
			return c.Numbers([]int64{9})
		}
		got, err := numbersAt(len(numbers))
		require.NoError(t, err)
		require.Equal(t, append([]int64{9}, numbers...), got)
		_, err = numbersAt(len(numbers) + 3)
		require.NoError(t, err, "there may be fewer than the most")
		if len(numbers) > 1 {
			_, err = numbersAt(len(numbers) - 1)
			require.ErrorIs(t, err, ErrPayload, "there may not be more")
		}
	}
}

// Columns of every length around whole numbers: 8 bytes are one, 12 are none.
func TestNumbers_MustBeWhole(t *testing.T) {
	for n := range 34 {
		got, err := Column{how: SecondDifferences, raw: make([]byte, n), n: 3}.Numbers(nil)
		if n%8 == 0 && n > 0 && n <= 24 {
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
		p.Bits(1, flags[:n])
		c, err := opened(t, p, u, n)
		require.NoError(t, err)
		got, err := c.Bits([]bool{true})
		require.NoError(t, err)
		require.Equal(t, append([]bool{true}, flags[:n]...), got)
	}
}

// openers read a column as one kind and return how many numbers came of it.
var openers = map[ID]func(c Column) (int, error){
	Codes:             func(c Column) (int, error) { return length(c.Codes(nil)) },
	SecondDifferences: func(c Column) (int, error) { return length(c.Numbers(nil)) },
	Floats:            func(c Column) (int, error) { return length(c.Floats(nil)) },
	Bits:              func(c Column) (int, error) { return length(c.Bits(nil)) },
	Bytes:             func(c Column) (int, error) { return length(c.Bytes(nil)) },
	Sums:              func(c Column) (int, error) { return length(c.Sums(nil)) },
}

func length[T any](column []T, err error) (int, error) { return len(column), err }

// packAll packs three numbers of every kind, named by their codec.
func packAll(p *Packer) []byte {
	p.Codes(uint8(Codes), []int32{100, 101, 99})
	p.Numbers(uint8(SecondDifferences), []int64{1, 2, 3})
	p.Floats(uint8(Floats), []float64{1, 2, 3})
	p.Bits(uint8(Bits), []bool{true, false, true})
	p.Bytes(uint8(Bytes), []byte{1, 2, 3})
	p.Sums(uint8(Sums), make([]series.WindowSums, 3))
	_, payload := p.Joined(nil)
	return payload
}

// Columns come back by their names, those of codes last; each is of its codec and no other.
func TestJoined_ColumnsOfEveryKind(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	for range 2 { // a Packer begins anew
		columns, err := u.Joined(packAll(p), 3)
		require.NoError(t, err)
		var names []ID
		for _, c := range columns {
			names = append(names, ID(c.Which))
			for how, open := range openers {
				n, err := open(c)
				if how == ID(c.Which) {
					require.NoError(t, err)
					require.Equal(t, 3, n)
					continue
				}
				require.ErrorIs(t, err, ErrPayload, "codec %d as %d", c.Which, how)
			}
		}
		require.Equal(t, []ID{SecondDifferences, Floats, Bits, Bytes, Sums, Codes}, names)
	}
}

func TestUnpacker_RefusesAnImpossibleLength(t *testing.T) {
	u := NewUnpacker()
	payload := packAll(NewPacker())
	for _, n := range []int{math.MinInt, -1, 0, maxLength + 1, math.MaxInt} {
		_, err := u.Joined(payload, n)
		require.ErrorIs(t, err, ErrPayload, "%d numbers", n)
		_, err = u.Column(Bytes, frameOf(t, []byte{1}), n)
		require.ErrorIs(t, err, ErrPayload, "%d numbers", n)
	}
	for _, how := range []ID{0, Joined, Content, 11, 255} {
		_, err := u.Column(how, frameOf(t, []byte{1}), 1)
		require.ErrorIs(t, err, ErrPayload, "codec %d", how)
	}
}

// A directory that says more or less than there is, or more columns than there is room
// for, is refused.
func TestJoined_DirectoryThatLies(t *testing.T) {
	u := NewUnpacker()
	for name, raw := range map[string][]byte{
		"nothing":         {},
		"too short":       {1, 1, 6, 2, 0, 0},
		"too many":        {2, 1, 6, 1, 0, 0, 0, 9},
		"too long":        {1, 1, 6, 2, 0, 0, 0, 9},
		"more than there": {1, 1, 6, 0xff, 0xff, 0xff, 0xff, 9},
		"less than there": {1, 1, 6, 0, 0, 0, 0, 9},
	} {
		_, err := u.split(raw, 1)
		require.ErrorIs(t, err, ErrPayload, name)
	}
	columns, err := u.split([]byte{1, 1, 6, 1, 0, 0, 0, 9}, 1)
	require.NoError(t, err)
	require.Len(t, columns, 1)
}

// What a column of codes says of itself is held against what it has.
func TestCodes_ThatLie(t *testing.T) {
	whole := []byte{0, 2, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1, 255, 0x58, 0x02}
	open := func(raw []byte) error {
		_, err := Column{how: Codes, raw: raw, n: 2}.Codes(nil)
		return err
	}
	require.NoError(t, open(whole))
	for name, at := range map[string][2]byte{
		"order": {0, 3}, "size": {1, 3}, "form": {2, 2}, "in planes": {2, 1}, "fewer elsewhere": {7, 0}, "more elsewhere": {7, 2}, "none elsewhere": {12, 254},
	} {
		raw := bytes.Clone(whole)
		raw[at[0]] = at[1]
		require.ErrorIs(t, open(raw), ErrPayload, name)
	}
	require.ErrorIs(t, open(whole[:12]), ErrPayload)
	require.ErrorIs(t, open(whole[:14]), ErrPayload)
	require.ErrorIs(t, open(append(whole, 0)), ErrPayload)
}

// A frame that opens to far more than its column takes no memory for it.
func TestUnpacker_FrameThatSwells(t *testing.T) {
	u := NewUnpacker()
	payload := frameOf(t, make([]byte, 1<<24))
	require.Less(t, len(payload), 2000)
	_, err := u.Column(Bytes, payload, 16)
	require.ErrorIs(t, err, ErrPayload)
	_, err = u.Joined(payload, 16)
	require.ErrorIs(t, err, ErrPayload)
	small := frameOf(t, []byte{0}) // and none behind one that fits
	_, err = u.Joined(append(small, payload...), 16)
	require.ErrorIs(t, err, ErrPayload)
	require.Less(t, cap(u.raw), 500)
}

// A flipped bit never becomes another number: the frames' checksums see it.
func TestUnpacker_FlippedBit(t *testing.T) {
	p, u := NewPacker(), NewUnpacker()
	codes, flags := make([]int32, 200), make([]bool, 200)
	for k := range codes {
		codes[k] = int32(k * k % 97)
	}
	p.Codes(1, codes)
	p.Bits(2, flags)
	_, payload := p.Joined(nil)
	refused := 0
	for bit := range 8 * len(payload) {
		payload[bit/8] ^= 1 << (bit % 8)
		columns, err := u.Joined(payload, len(codes))
		payload[bit/8] ^= 1 << (bit % 8)
		if err != nil {
			refused++
			continue
		}
		got, err := columns[1].Codes(nil)
		require.NoError(t, err)
		require.Equal(t, codes, got, "bit %d", bit)
	}
	require.Greater(t, refused, 8*len(payload)-32, "nearly every bit matters")
}

func TestPacker_AppendsBehindWhatIsThere(t *testing.T) {
	p := NewPacker()
	p.Bytes(1, []byte{1, 2, 3})
	_, alone := p.Joined(nil)
	p.Bytes(1, []byte{1, 2, 3})
	_, behind := p.Joined([]byte("abc"))
	require.Equal(t, append([]byte("abc"), alone...), behind)
}
