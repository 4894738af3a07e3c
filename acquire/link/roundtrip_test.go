package link

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// only decodes stream and returns the one reading in it.
func only(t testing.TB, d Decoder, stream []byte) (reading *Reading) {
	t.Helper()
	d.Decode(stream, func(r *Reading, err error) {
		require.NoError(t, err)
		require.Nil(t, reading, "more than one reading")
		reading = r
	})
	require.NotNil(t, reading, "no reading")
	return reading
}

func box() series.Source {
	return series.Source{
		Name: "box1", Serial: "A7", Firmware: "1.0", Calibration: "2026-03-01", Link: Binary,
		CountsPerTurn: 360, WirePerCount: 0.0005,
		Skew: series.Stated{Value: -2.5, Known: true}, SkewAlternates: true, ClockDeviation: series.Stated{Known: true},
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 0.0025, Offset: -0.1, Bits: 14, Basis: series.Instantaneous, Bandwidth: 2500, Tap: "torch"},
			{Name: "current", Unit: "A", Scale: -0.02, Bits: 14, Basis: series.Instantaneous},
			{Name: "gas_flow", Unit: "L/min", Scale: 1, Basis: series.Average},
			{Name: "humidity", Unit: "%", Scale: 1},
		},
	}
}

var someHeader = Header{Boot: 65535, Seq: 1<<32 - 1, TickUS: maxTickUS, StepUS: 65535, Overrun: true}

func checkHeader(t *testing.T, r *Reading) {
	t.Helper()
	assert.Equal(t, someHeader.Boot, r.Boot)
	assert.Equal(t, someHeader.Seq, r.Seq)
	assert.True(t, r.HasSeq)
	assert.Equal(t, int64(maxTickUS)*1000, r.Tick)
	assert.True(t, r.Overrun)
	assert.False(t, r.Clipped)
}

func TestRoundTripHello(t *testing.T) {
	frame, err := AppendHello(nil, someHeader, box())
	require.NoError(t, err)
	r := only(t, newBinaryDecoder(), frame)
	checkHeader(t, r)
	assert.Empty(t, r.Blocks)
	assert.Equal(t, box(), *r.Source)
}

// What is not said is not known, and no zero.
func TestRoundTripHelloOfFewWords(t *testing.T) {
	s := series.Source{Link: Binary, Channels: []series.Channel{{Name: "voltage", Unit: "V", Scale: 1}, {Name: "current", Unit: "A", Scale: 1}}}
	body, err := formatHello(s)
	require.NoError(t, err)
	for _, key := range []string{"counts", "wire", "skew", "clock", "bits", "bandwidth", "tap", "serial"} {
		assert.NotContains(t, string(body), key)
	}
	frame, err := AppendHello(nil, someHeader, s)
	require.NoError(t, err)
	assert.Equal(t, s, *only(t, newBinaryDecoder(), frame).Source)
}

func TestRoundTripSamples(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	d := newBinaryDecoder()
	for n := range MaxSamples + 1 {
		v, i := make([]int16, n), make([]int16, n)
		var wantV, wantI []int32
		for k := range n {
			v[k], i[k] = int16(random.Uint32()), int16(random.Uint32()>>(random.Uint32()%32))
			wantV, wantI = append(wantV, int32(v[k])), append(wantI, int32(i[k]))
		}
		r := only(t, d, AppendSamples(nil, someHeader, v, i))
		checkHeader(t, r)
		if n == 0 {
			assert.Empty(t, r.Blocks)
			continue
		}
		assert.Equal(t, []series.Block{
			{Kind: series.Arc, Tick: r.Tick, Step: 65535000, V: wantV, I: wantI},
		}, r.Blocks)
	}
}

func TestRoundTripSums(t *testing.T) {
	const most = 60_000_000 // samples a microsecond apart: a minute
	head := someHeader
	for head.StepUS = 1; head.StepUS < 3; head.StepUS++ {
		n := int64(most / int64(head.StepUS))
		for _, s := range []series.WindowSums{
			{Count: 1},
			{
				Count: uint32(n), V: n * math.MinInt16, I: n * math.MaxInt16, VI: n * math.MinInt16 * math.MaxInt16,
				VMin: math.MinInt16, VMax: math.MaxInt16, IMin: math.MinInt16, IMax: math.MaxInt16,
				ArcOn: uint32(n), WireCount: math.MaxUint32, Dropped: math.MaxUint32,
			},
		} {
			r := only(t, newBinaryDecoder(), AppendSums(nil, head, s))
			checkHeader(t, r)
			assert.Equal(t, []series.Block{{Kind: series.Sums, Tick: r.Tick, Step: int64(head.StepUS) * 1000, Sum: s}}, r.Blocks)
		}
	}
}

func TestSumsWithoutSamplesAreALoss(t *testing.T) {
	r := only(t, newBinaryDecoder(), AppendSums(nil, Header{StepUS: 200}, series.WindowSums{Dropped: 50}))
	assert.Empty(t, r.Blocks)
	assert.True(t, r.Overrun)
}

func TestRoundTripSlow(t *testing.T) {
	d := newBinaryDecoder()
	hello, err := AppendHello(nil, Header{}, box())
	require.NoError(t, err)
	only(t, d, hello)
	for n := 1; n <= MaxSlow; n++ {
		channel, value := make([]uint8, n), make([]float64, n)
		for k := range n {
			channel[k], value[k] = uint8(k%4), float64(float32(k)*-0.1)
		}
		r := only(t, d, AppendSlow(nil, someHeader, channel, value))
		checkHeader(t, r)
		assert.Equal(t, []series.Block{
			{Kind: series.Slow, Tick: r.Tick, Step: 65535000, Channel: channel, Value: value},
		}, r.Blocks)
	}
}

func TestRoundTripTurn(t *testing.T) {
	for n := 1; n <= MaxTurns; n++ {
		tickUS, count := make([]uint64, n), make([]int32, n)
		var ticks, counts []int64
		for k := range n {
			tickUS[k], count[k] = uint64(k*k*12345), int32(100-k*k)
			ticks, counts = append(ticks, int64(tickUS[k])*1000), append(counts, int64(count[k]))
		}
		head := someHeader
		head.AtMark = n%2 == 1
		r := only(t, newBinaryDecoder(), AppendTurn(nil, head, tickUS, count))
		checkHeader(t, r)
		assert.Equal(t, []series.Block{{Kind: series.Turn, Tick: ticks[0], Ticks: ticks, Count: counts, AtMark: head.AtMark}}, r.Blocks)
	}
}

// A torch that turns on and on, or back and back, is followed over the end of
// the counter; a new boot begins anew.
func TestTurnCounterGoesOn(t *testing.T) {
	d := newBinaryDecoder()
	for _, step := range []int64{1 << 30, -1 << 30} {
		for k := range int64(12) {
			count := int32(k * step)
			r := only(t, d, AppendTurn(nil, Header{Boot: uint16(step >> 16)}, []uint64{1}, []int32{count}))
			assert.Equal(t, []int64{k * step}, r.Blocks[0].Count)
		}
	}
}

// lineOf returns a line with values that its decimals can carry exactly.
func lineOf(random *rand.Rand) Line {
	mean := func(perUnit float64) Mean {
		n := int32(random.Uint32()) >> (random.Uint32() % 32)
		if n == math.MinInt32 || random.Uint32()%8 == 0 {
			return Mean{}
		}
		return Mean{float64(n) / perUnit, true}
	}
	return Line{
		Boot: uint16(random.Uint32()), Seq: random.Uint32(), TickUS: random.Uint64N(maxTickUS + 1),
		Voltage: mean(1e6), Current: mean(1e5), WireSpeed: mean(wireSpeedPerMetre),
	}
}

// blocksOf returns the blocks that a line stands for, by the scales of its source.
func blocksOf(l Line, source series.Source) (blocks []series.Block) {
	tick := int64(l.TickUS) * 1000
	code := func(m Mean, channel int) []int32 {
		return []int32{int32(math.Round(m.Value / source.Channels[channel].Scale))}
	}
	if l.Voltage.Known && l.Current.Known {
		blocks = append(blocks, series.Block{Kind: series.Arc, Tick: tick, V: code(l.Voltage, 0), I: code(l.Current, 1)})
	}
	if l.WireSpeed.Known {
		blocks = append(blocks, series.Block{Kind: series.Slow, Tick: tick, Channel: []uint8{2}, Value: []float64{l.WireSpeed.Value}})
	}
	return blocks
}

func TestRoundTripText(t *testing.T) {
	appendLine := map[string]func([]byte, Line) []byte{
		Delimited:    AppendDelimited,
		LineProtocol: func(dst []byte, l Line) []byte { return AppendLineProtocol(dst, "box1", l) },
	}
	for link, appendTo := range appendLine {
		t.Run(link, func(t *testing.T) {
			random := rand.New(rand.NewPCG(5, 6))
			d, err := New(link)
			require.NoError(t, err)
			for range 20000 {
				l := lineOf(random)
				text := appendTo(nil, l)
				require.LessOrEqual(t, len(text), maxLine)
				r := only(t, d, text)
				require.Equal(t, l.Boot, r.Boot)
				require.Equal(t, l.Seq, r.Seq)
				want := blocksOf(l, DefaultSource(link))
				require.Len(t, r.Blocks, len(want), "%s", text)
				for k := range want {
					require.Equal(t, want[k], r.Blocks[k], "%s", text)
				}
			}
		})
	}
}

func TestDecimals(t *testing.T) {
	for _, c := range []struct {
		text     string
		decimals int
		want     string
	}{
		{"", 2, "unknown"},
		{"0", 2, "0"},
		{"-0", 2, "0"},
		{"12", 2, "1200"},
		{"12.", 2, "1200"},
		{".5", 2, "50"},
		{"-.5", 2, "-50"},
		{"1.234", 2, "123"},
		{"1.235", 2, "124"},
		{"-1.235", 2, "-124"},
		{"1.2349999999999999999999999999999999", 2, "123"},
		{"0000000000000000000000000000000000001", 2, "100"},
		{"21474836.47", 2, "2147483647"},
		{"21474836.475", 2, "bad"},
		{"-21474836.48", 2, "-2147483648"},
		{"-21474836.49", 2, "bad"},
		{"99999999999999999999999999", 2, "bad"},
		{".", 2, "bad"},
		{"-", 2, "bad"},
		{"--1", 2, "bad"},
		{"+1", 2, "bad"},
		{"1.2.3", 2, "bad"},
		{"1.23x", 2, "bad"},
		{"1 ", 2, "bad"},
		{"1e3", 2, "bad"},
		{"NaN", 2, "bad"},
		{"0x10", 2, "bad"},
	} {
		got, ok := parseDecimal([]byte(c.text), c.decimals)
		text := fmt.Sprint(got.n)
		if !ok {
			text = "bad"
		} else if !got.known {
			text = "unknown"
		}
		assert.Equal(t, c.want, text, "%q", c.text)
	}
}
