package link

import (
	"math"
	"strings"
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// helloWith is a HELLO body with one key changed, at the top or in the second channel.
func helloWith(t testing.TB, key string, value any) []byte {
	t.Helper()
	voltage := map[string]any{"name": "voltage", "unit": "V", "scale": 0.01, "offset": 0, "bits": 14, "basis": "average"}
	current := map[string]any{"name": "current", "unit": "A", "scale": 0.1}
	top := map[string]any{"name": "box1", "serial": "A7", "channels": []any{voltage, current}}
	if field, ofChannel := strings.CutPrefix(key, "channels[1]."); ofChannel {
		current[field] = value
	} else {
		top[key] = value
	}
	body, err := helloEncoding.Marshal(top)
	require.NoError(t, err)
	return body
}

// Every number of a HELLO may be as low and as high as its bounds, and no more; the
// error names its field.
func TestHelloBounds(t *testing.T) {
	for _, c := range []struct {
		key  string
		fine []any
		bad  []any
	}{
		{"counts_per_turn", []any{1, 1.5, 360, 1_000_000}, []any{0, 0.999, -1, 1e-300, 1_000_001, math.NaN(), math.Inf(1)}},
		{"wire_m_per_count", []any{1e-9, 0.0005, 1000}, []any{0, -0.1, 1e-300, 1001, math.NaN()}},
		{"skew_us", []any{0, -100_000, 100_000, 0.25}, []any{-100_001, 100_001, math.NaN(), math.Inf(-1)}},
		{"clock_ppm", []any{0, 50, 100_000}, []any{-1e-9, 100_001, math.NaN()}},
		{"channels[1].scale", []any{1e-9, -1e-9, 1e6, -1e6}, []any{0, 0.9e-9, 1.1e6, -1.1e6, math.NaN(), math.Inf(-1)}},
		{"channels[1].offset", []any{0, 1e9, -1e9}, []any{1.1e9, -1.1e9, math.NaN()}},
		{"channels[1].bits", []any{1, 32}, []any{0, 33, -1, 14.5, math.NaN()}},
		{"channels[1].bandwidth_hz", []any{1e-6, 2500, 1e9}, []any{0, -1, 1.1e9, math.NaN()}},
		{"name", []any{"", strings.Repeat("ä", 64)}, []any{strings.Repeat("x", 65), "a\nb", "\x1b[2J", "\u0085"}},
		{"serial", []any{strings.Repeat("7", 64)}, []any{strings.Repeat("7", 65), "\x00"}},
		{"firmware", []any{"1.0"}, []any{strings.Repeat("1", 65), "\x7f"}},
		{"calibration", []any{"2026-03-01"}, []any{strings.Repeat("1", 65), "\t"}},
		{"channels[1].unit", nil, []any{strings.Repeat("A", 65), "A\r", "mA"}},
		{"channels[1].basis", []any{"instantaneous", "median"}, []any{strings.Repeat("x", 65), "\n"}},
		{"channels[1].tap", []any{"torch", ""}, []any{strings.Repeat("x", 65), "\n"}},
		{"channels[1].name", nil, []any{strings.Repeat("x", 65), "current\n"}},
	} {
		t.Run(c.key, func(t *testing.T) {
			for _, value := range c.fine {
				s, err := parseHello(helloWith(t, c.key, value))
				require.NoError(t, err, "%v", value)
				assert.Equal(t, "voltage", s.Channels[0].Name)
			}
			for _, value := range c.bad {
				s, err := parseHello(helloWith(t, c.key, value))
				require.Error(t, err, "%v", value)
				assert.Nil(t, s)
				assert.True(t, strings.HasPrefix(err.Error(), c.key+" "), "%v: %v", value, err)
			}
		})
	}
}

func TestHelloSaysWhatItKnows(t *testing.T) {
	s, err := parseHello(helloWith(t, "skew_us", -20))
	require.NoError(t, err)
	assert.Equal(t, series.Stated{Value: -20, Known: true}, s.Skew)
	assert.False(t, s.SkewAlternates)
	assert.Equal(t, series.Stated{}, s.ClockDeviation)
	s, err = parseHello(helloWith(t, "skew_alternates", true))
	require.NoError(t, err)
	assert.True(t, s.SkewAlternates)
	assert.Equal(t, series.Stated{}, s.Skew, "not known, which is not 0")
	s, err = parseHello(helloWith(t, "clock_ppm", 0))
	require.NoError(t, err)
	assert.Equal(t, series.Stated{Known: true}, s.ClockDeviation, "0 is said")
	s, err = parseHello(helloWith(t, "channels[1].bandwidth_hz", 2500))
	require.NoError(t, err)
	assert.Equal(t, [2]float64{0, 2500}, [2]float64{s.Channels[0].Bandwidth, s.Channels[1].Bandwidth})
	s, err = parseHello(helloWith(t, "channels[1].tap", "feeder"))
	require.NoError(t, err)
	assert.Equal(t, "feeder", s.Channels[1].Tap)
	_, err = parseHello(helloWith(t, "counts_per_turn", "360"))
	require.ErrorContains(t, err, "counts_per_turn")
}

// A box may list any channels; but then no sample of it is voltage and current, until
// it lists those first.
func TestHelloOfABoxWithoutTheArc(t *testing.T) {
	hello := func(names ...string) []byte {
		var channels []any
		for _, name := range names {
			channels = append(channels, map[string]any{"name": name, "unit": units[name], "scale": 1})
		}
		body, err := helloEncoding.Marshal(map[string]any{"channels": channels})
		require.NoError(t, err)
		return frameOf(typeHello, 1, Header{}, body, nil)
	}
	sampled := AppendSamples(nil, Header{StepUS: 100}, []int16{1}, []int16{2})
	summed := AppendSums(nil, Header{StepUS: 100}, series.WindowSums{Count: 1})
	for _, c := range []struct {
		names []string
		arc   bool
	}{
		{[]string{"voltage", "current"}, true},
		{[]string{"voltage", "current", "gas_flow"}, true},
		{[]string{"gas_flow"}, false},
		{[]string{"voltage"}, false},
		{[]string{"current", "voltage"}, false},
		{[]string{"voltage", "gas_flow", "current"}, false},
	} {
		d := newBinaryDecoder()
		_, damage := outcome(t, d, hello(c.names...))
		require.Nil(t, damage)
		_, damage = outcome(t, d, AppendSlow(nil, Header{}, []uint8{0}, []float64{1}))
		require.Nil(t, damage)
		for _, frame := range [][]byte{sampled, summed} {
			said, damage := outcome(t, d, frame)
			if c.arc {
				assert.Nil(t, damage, "%v", c.names)
				continue
			}
			assert.Empty(t, said)
			assert.ErrorContains(t, damage, "samples of a box whose first channels are not voltage and current", "%v", c.names)
		}
		_, damage = outcome(t, d, hello("voltage", "current"))
		require.Nil(t, damage)
		_, damage = outcome(t, d, sampled)
		assert.Nil(t, damage, "it lists them now")
	}
}

// A HELLO that is refused leaves the one before it in force: its channels go on.
func TestHelloBeforeARefusedOneStands(t *testing.T) {
	d := newBinaryDecoder()
	for _, c := range []struct {
		frame []byte
		fine  bool
	}{
		{frameOf(typeHello, 1, Header{}, helloWith(t, "name", "box1"), nil), true},
		{AppendSlow(nil, Header{}, []uint8{1}, []float64{7}), true},
		{AppendSlow(nil, Header{}, []uint8{3}, []float64{7}), false},
		{frameOf(typeHello, 1, Header{}, helloWith(t, "counts_per_turn", 1e-300), nil), false},
		{AppendSlow(nil, Header{}, []uint8{1}, []float64{7}), true},
		{AppendSlow(nil, Header{}, []uint8{3}, []float64{7}), false},
	} {
		said, damage := outcome(t, d, c.frame)
		assert.Equal(t, c.fine, damage == nil)
		if !c.fine && said != "" {
			assert.Fail(t, "a reading of what was refused", said)
		}
	}
	_, damage := outcome(t, d, frameOf(typeHello, 1, Header{}, helloWith(t, "counts_per_turn", 1e-300), nil))
	assert.Equal(t, BadHello, damage.Kind)
	assert.Equal(t, "counts_per_turn 1e-300 is not within 1..1e+06", damage.Detail)
}

// windowFrame is a window of 10 samples 100 us apart: a millisecond.
func windowFrame(boot uint16, seq uint32, tickUS uint64) []byte {
	return AppendSums(nil, Header{Boot: boot, Seq: seq, TickUS: tickUS, StepUS: 100}, series.WindowSums{Count: 10})
}

// Windows may touch and leave something out, but not overlap. What is refused does
// not count for the one before; a frame that came again is no new window, a clock
// that went back and a boot begin anew.
func TestWindowsDoNotOverlap(t *testing.T) {
	for _, c := range []struct {
		name   string
		frames [][]byte
		fine   []bool
	}{
		{"one after the other", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 6000), windowFrame(1, 9, 9000)}, []bool{true, true, true}},
		{"a microsecond within", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 5999)}, []bool{true, false}},
		{"the same time twice", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 5000)}, []bool{true, false}},
		{"the refused one does not count", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 5500), windowFrame(1, 3, 6000)}, []bool{true, false, true}},
		{"before it altogether: the clock went back", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 4999), windowFrame(1, 3, 5500), windowFrame(1, 4, 5999)}, []bool{true, true, false, true}},
		{"the frame came again", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 1, 5000), windowFrame(1, 2, 5500)}, []bool{true, true, false}},
		{"an earlier frame came again", [][]byte{windowFrame(1, 1, 5000), windowFrame(1, 2, 6000), windowFrame(1, 1, 5000), windowFrame(1, 3, 6500)}, []bool{true, true, true, false}},
		{"another boot", [][]byte{windowFrame(1, 1, 5000), windowFrame(2, 2, 5500), windowFrame(2, 3, 6000)}, []bool{true, true, false}},
		{"the numbers begin anew", [][]byte{windowFrame(1, 90, 5000), windowFrame(1, 2, 5500), windowFrame(1, 3, 6000)}, []bool{true, true, false}},
		{"the numbers wrap", [][]byte{windowFrame(1, 1<<32-1, 5000), windowFrame(1, 0, 5500), windowFrame(1, 0, 6000)}, []bool{true, false, true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newBinaryDecoder()
			for k, frame := range c.frames {
				_, damage := outcome(t, d, frame)
				assert.Equal(t, c.fine[k], damage == nil, "frame %d: %v", k, damage)
				if damage != nil {
					assert.Equal(t, BadValue, damage.Kind)
				}
			}
		})
	}
	d := newBinaryDecoder()
	_, damage := outcome(t, d, windowFrame(1, 1, 5000))
	require.Nil(t, damage)
	_, damage = outcome(t, d, windowFrame(1, 2, 5999))
	assert.Equal(t, "window from 5999 us: the one before it goes on to 6000 us", damage.Detail)
}

// A minute is the most that a window may hold.
func TestLongestWindow(t *testing.T) {
	for count, fine := range map[uint32]bool{300_000: true, 300_001: false} {
		_, damage := outcome(t, newBinaryDecoder(), AppendSums(nil, Header{StepUS: 200}, series.WindowSums{Count: count}))
		assert.Equal(t, fine, damage == nil)
		if damage != nil {
			assert.Equal(t, "300001 samples 200 us apart: a window is no longer than 60 s", damage.Detail)
		}
	}
}

func TestPong(t *testing.T) {
	pong := func(tick byte, cut int) []byte {
		body := []byte{0x78, 0x56, 0x34, 0x12, 0x40, 0x42, 0x0f, 0, 0, 0, tick, 0}
		return frameOf(typePong, 1, Header{Boot: 7, Seq: 3}, body[:12-cut], nil)
	}
	d := newBinaryDecoder()
	r := only(t, d, pong(0, 0))
	assert.Equal(t, Pong{Nonce: 0x12345678, Tick: 1e9}, *r.Pong)
	assert.Empty(t, r.Blocks)
	assert.Equal(t, uint32(3), r.Seq)
	assert.Nil(t, only(t, d, AppendSamples(nil, Header{}, nil, nil)).Pong, "of that frame only")
	for cut, fine := range map[int]bool{0: true, 1: false, 12: false} {
		_, damage := outcome(t, d, pong(0x20, cut)) // 2^53 us and a second
		require.NotNil(t, damage)
		want := BadLength
		if fine {
			want = BadValue
		}
		assert.Equal(t, want, damage.Kind)
	}
}

func TestPing(t *testing.T) {
	d := newBinaryDecoder()
	r := only(t, d, AppendPing(nil, 9, Ping{Nonce: 0x12345678}))
	assert.Equal(t, Ping{Nonce: 0x12345678}, *r.Ping)
	assert.Nil(t, r.Pong)
	assert.Nil(t, only(t, d, AppendSamples(nil, Header{}, nil, nil)).Ping, "of that frame only")
	_, damage := outcome(t, d, frameOf(typePing, 1, Header{}, []byte{1, 2, 3}, nil))
	require.NotNil(t, damage)
	assert.Equal(t, "3 bytes of a PING", damage.Detail)
}
