package record

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func TestCodec_ExtremesComeBack(t *testing.T) {
	p, u := newPacker(), newUnpacker()
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
			how, payload := p.codes(nil, codes)
			got, err := u.codes(nil, how, payload, len(codes))
			require.NoError(t, err)
			require.Equal(t, codes, got)
			_, err = u.codes(nil, how, payload, len(codes)+1)
			require.ErrorIs(t, err, errPayload)
		})
	}
	for _, numbers := range [][]int64{
		{math.MinInt64}, {math.MinInt64, math.MaxInt64, math.MinInt64, 0}, {0, 1, 2, 3, 4}, {5, 4, 3, -7e18, 7e18},
	} {
		how, payload := p.wide(nil, numbers)
		got, err := u.wide(nil, how, payload, len(numbers))
		require.NoError(t, err)
		require.Equal(t, numbers, got)
	}
}

func TestCodec_SixteenBitDifferencesUseTwoPlanes(t *testing.T) {
	p := newPacker()
	for codes, want := range map[[2]int32]codec{
		{0, math.MaxInt16}:                 codecDelta16,
		{0, math.MinInt16}:                 codecDelta16,
		{2_000_000_000, 2_000_000_001}:     codecDelta16,
		{0, math.MaxInt16 + 1}:             codecDelta32,
		{0, math.MinInt16 - 1}:             codecDelta32,
		{math.MinInt32, math.MaxInt32}:     codecDelta16, // wraps around to -1
		{math.MinInt32, math.MaxInt32 / 2}: codecDelta32,
	} {
		how, _ := p.codes(nil, codes[:])
		require.Equal(t, want, how, "%v", codes)
	}
}

// FuzzCodec_RoundTrip reads the input as columns of every kind.
func FuzzCodec_RoundTrip(f *testing.F) {
	f.Add([]byte("12345678"))
	f.Add(make([]byte, 96))
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f, 0, 0, 0, 0, 0, 0, 0, 0x80})
	p, u := newPacker(), newUnpacker()
	f.Fuzz(func(t *testing.T, b []byte) {
		var codes []int32
		var numbers []int64
		var values []float64
		var flags []bool
		for ; len(b) >= 8; b = b[8:] {
			x := binary.LittleEndian.Uint64(b)
			codes, numbers = append(codes, int32(x)), append(numbers, int64(x))
			values, flags = append(values, math.Float64frombits(x)), append(flags, x&1 == 1)
		}
		n := len(codes)
		if n == 0 {
			return
		}
		how, payload := p.codes(nil, codes)
		gotCodes, err := u.codes(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, codes, gotCodes)
		how, payload = p.wide(nil, numbers)
		gotNumbers, err := u.wide(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, numbers, gotNumbers)
		how, payload = p.floats(nil, values)
		gotValues, err := u.floats(nil, how, payload, n)
		require.NoError(t, err)
		for k := range values {
			require.Equal(t, math.Float64bits(values[k]), math.Float64bits(gotValues[k]))
		}
		how, payload = p.bits(nil, flags)
		gotFlags, err := u.bits(nil, how, payload, n)
		require.NoError(t, err)
		require.Equal(t, flags, gotFlags)
	})
}

// FuzzCodec_Decode gives every codec bytes that nobody packed: it must refuse
// them, or return as many samples as were asked for.
func FuzzCodec_Decode(f *testing.F) {
	p := newPacker()
	codes, _ := dippingArc(300, 1, 1)
	_, payload := p.codes(nil, codes)
	f.Add(uint8(codecDelta16), payload, 300)
	_, payload = p.codes(nil, []int32{math.MinInt32, 0, math.MaxInt32})
	f.Add(uint8(codecDelta32), payload, 3)
	_, payload = p.wide(nil, []int64{1, 2, 3})
	f.Add(uint8(codecSecond64), payload, 3)
	_, payload = p.floats(nil, []float64{1, 2, 3})
	f.Add(uint8(codecFloat64), payload, 3)
	_, payload = p.bits(nil, []bool{true, false, true})
	f.Add(uint8(codecBits), payload, 3)
	_, payload = p.bytes(nil, []byte{1, 2, 3})
	f.Add(uint8(codecBytes), payload, 3)
	_, payload = p.sums(nil, make([]series.WindowSums, 3))
	f.Add(uint8(codecSums), payload, 3)
	f.Add(uint8(codecBytes), []byte{}, -1)
	u := newUnpacker()
	f.Fuzz(func(t *testing.T, how uint8, payload []byte, n int) {
		c := codec(how)
		got, err := u.codes(nil, c, payload, n)
		refused(t, err, len(got), n, n)
		wide, err := u.wide(nil, c, payload, n)
		refused(t, err, len(wide), 1, n)
		values, err := u.floats(nil, c, payload, n)
		refused(t, err, len(values), n, n)
		flags, err := u.bits(nil, c, payload, n)
		refused(t, err, len(flags), n, n)
		raw, err := u.bytes(nil, c, payload, n)
		refused(t, err, len(raw), n, n)
		sums, err := u.sums(nil, c, payload, n)
		refused(t, err, len(sums), n, n)
	})
}

// refused checks that a decoder returned its own error, or a right number of samples.
func refused(t *testing.T, err error, got, least, most int) {
	t.Helper()
	if err != nil {
		require.ErrorIs(t, err, errPayload)
		return
	}
	require.GreaterOrEqual(t, got, least)
	require.LessOrEqual(t, got, most)
}
