package link

import (
	"errors"
	"hash/crc32"
	"math"
	"strings"
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// frameOf makes a frame with a right checksum of a payload that no encoder makes.
func frameOf(kind, n uint8, h Header, body []byte, change func(payload []byte)) []byte {
	frame := beginFrame(nil, kind, n, h)
	frame = append(frame, body...)
	if change != nil {
		change(frame[maxCodes:])
	}
	return endFrame(frame, 0)
}

func TestBinaryErrors(t *testing.T) {
	step := Header{StepUS: 100}
	sums := func(change func(s *series.WindowSums)) []byte {
		s := series.WindowSums{Count: 4, V: 8, I: 8, VMin: 1, VMax: 3, IMin: 1, IMax: 3}
		change(&s)
		return appendSumsBody(nil, s)
	}
	for _, c := range []struct {
		name  string
		frame []byte
		kind  Kind
	}{
		{"code behind the end", []byte{5, 1, 2, 0}, NotCOBS},
		{"payload of 513", append(stuffed(make([]byte, 513)), 0), TooLong},
		{"payload of 23", append(stuffed(make([]byte, 23)), 0), TooShort},
		{"one byte", []byte{1, 0}, TooShort},
		{"checksum", append(stuffed(make([]byte, 24)), 0), BadChecksum},
		{"version 0", frameOf(typeTurn, 0, step, nil, func(p []byte) { p[0] = 0 }), BadVersion},
		{"version 2", frameOf(typeTurn, 0, step, nil, func(p []byte) { p[0] = 2 }), BadVersion},
		{"tick", frameOf(typeTurn, 0, step, nil, func(p []byte) { p[15] = 0xFF }), BadValue},
		{"samples short of one", frameOf(typeSamples, 2, step, make([]byte, 4), nil), BadLength},
		{"samples with one byte more", frameOf(typeSamples, 1, step, make([]byte, 5), nil), BadLength},
		{"samples all at once", frameOf(typeSamples, 2, Header{}, make([]byte, 8), nil), BadValue},
		{"sums short", frameOf(typeSums, 1, step, make([]byte, 47), nil), BadLength},
		{"sums long", frameOf(typeSums, 1, step, make([]byte, 49), nil), BadLength},
		{"sums in no time", frameOf(typeSums, 1, Header{}, sums(func(*series.WindowSums) {}), nil), BadValue},
		{"sum of voltage", frameOf(typeSums, 1, step, sums(func(s *series.WindowSums) { s.V = 13 }), nil), BadValue},
		{"limits of voltage", frameOf(typeSums, 1, step, sums(func(s *series.WindowSums) { s.VMin = 4 }), nil), BadValue},
		{"sum of current", frameOf(typeSums, 1, step, sums(func(s *series.WindowSums) { s.I = 3 }), nil), BadValue},
		{"more in arc than taken", frameOf(typeSums, 1, step, sums(func(s *series.WindowSums) { s.ArcOn = 5 }), nil), BadValue},
		{"slow short", frameOf(typeSlow, 1, step, make([]byte, 4), nil), BadLength},
		{"slow of no channel", frameOf(typeSlow, 1, step, []byte{4, 0, 0, 0, 0}, nil), BadValue},
		{"slow not a number", frameOf(typeSlow, 1, step, []byte{2, 0, 0, 0xC0, 0x7F}, nil), BadValue},
		{"slow without end", frameOf(typeSlow, 1, step, []byte{2, 0, 0, 0x80, 0x7F}, nil), BadValue},
		{"turn short", frameOf(typeTurn, 1, step, make([]byte, 11), nil), BadLength},
		{"turn tick", frameOf(typeTurn, 1, step, []byte{0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0}, nil), BadValue},
		{"hello empty", frameOf(typeHello, 1, step, nil, nil), BadHello},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, _ := described(t, Binary)
			var damage *Error
			good := AppendSamples(nil, step, []int16{1}, []int16{2})
			readings := 0
			d.Decode(append(append(append([]byte{}, c.frame...), 0), good...), func(_ *Reading, err error) {
				if err == nil {
					readings++
					return
				}
				require.ErrorAs(t, err, &damage)
			})
			require.NotNil(t, damage, "no error")
			assert.Equal(t, c.kind, damage.Kind, damage.Error())
			assert.Equal(t, len(c.frame), damage.Bytes)
			assert.Contains(t, damage.Error(), c.kind.String())
			assert.Equal(t, 1, readings, "the frame behind it")
		})
	}
}

func TestErrorText(t *testing.T) {
	e := &Error{Kind: BadValue, Offset: 7, Bytes: 12, Detail: "tick 1 us"}
	assert.EqualError(t, e, "link: 12 bytes lost at offset 7: value is out of range: tick 1 us")
	e.Detail = ""
	assert.EqualError(t, e, "link: 12 bytes lost at offset 7: value is out of range")
	assert.Equal(t, "unknown kind of error", Kind(0).String())
}

func TestHelloErrors(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func(s *series.Source)
	}{
		{"no channels", "channels: there is none", func(s *series.Source) { s.Channels = nil }},
		{"unit", `channels[0].unit "mV" of voltage is not V`, func(s *series.Source) { s.Channels[0].Unit = "mV" }},
		{"unit of another", `channels[2].unit "m3/h" of gas_flow is not L/min`, func(s *series.Source) { s.Channels[2].Unit = "m3/h" }},
		{"no scale", "channels[1].scale 0: its magnitude is not within 1e-09..1e+06", func(s *series.Source) { s.Channels[1].Scale = 0 }},
		{"scale not a number", "channels[3].scale NaN", func(s *series.Source) { s.Channels[3].Scale = math.NaN() }},
		{"scale without end", "channels[0].scale +Inf", func(s *series.Source) { s.Channels[0].Scale = math.Inf(1) }},
		{"offset", "channels[0].offset NaN", func(s *series.Source) { s.Channels[0].Offset = math.NaN() }},
		{"bits", "channels[0].bits -1 is not within 1..32", func(s *series.Source) { s.Channels[0].Bits = -1 }},
		{"turn", "counts_per_turn -1 is not within 1..1e+06", func(s *series.Source) { s.CountsPerTurn = -1 }},
		{"wire", "wire_m_per_count NaN", func(s *series.Source) { s.WirePerCount = math.NaN() }},
		{"too long", "a frame has room for 488", func(s *series.Source) {
			s.Channels[2].Tap, s.Channels[3].Tap, s.Name = strings.Repeat("x", 64), strings.Repeat("x", 64), strings.Repeat("x", 64)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := box()
			c.change(&s)
			prefix := []byte("before")
			got, err := AppendHello(prefix, Header{}, s)
			require.ErrorContains(t, err, c.want)
			assert.Equal(t, prefix, got)
		})
	}
}

// What a box may send and no encoder here would.
func TestHelloBodies(t *testing.T) {
	channel := func(name, unit string) map[string]any {
		return map[string]any{"name": name, "unit": unit, "scale": 1}
	}
	pair := []any{channel("voltage", "V"), channel("current", "A")}
	cbor := func(v any) []byte {
		body, err := helloEncoding.Marshal(v)
		require.NoError(t, err)
		return body
	}
	good := map[string]any{"channels": pair, "colour": "blue", "counts_per_turn": 360}
	withScale := func(scale any) []byte {
		c := channel("current", "A")
		c["scale"] = scale
		return cbor(map[string]any{"channels": []any{pair[0], c}})
	}
	for _, c := range []struct {
		name string
		body []byte
		ok   bool
	}{
		{"a key of a later box", cbor(good), true},
		{"cut", cbor(good)[:20], false},
		{"bytes behind it", append(cbor(good), 0), false},
		{"a list", cbor(pair), false},
		{"number keys", cbor(map[int]any{1: pair}), false},
		{"capitals", cbor(map[string]any{"Channels": pair}), false},
		{"a key twice", []byte("\xa2\x64name\x61a\x64name\x61b"), false},
		{"scale as text", withScale("0.1"), false},
		{"scale not a number", withScale(math.NaN()), false},
		{"scale zero", withScale(0), false},
		{"scale without", withScale(nil), false},
		{"scale as a whole number", withScale(2), true},
		{"an endless list", []byte("\xa1\x68channels\x9b\xff\xff\xff\xff\xff\xff\xff\xff"), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newBinaryDecoder()
			d.Decode(frameOf(typeHello, 1, Header{}, c.body, nil), func(r *Reading, err error) {
				if c.ok {
					require.NoError(t, err)
					assert.Len(t, r.Source.Channels, 2)
					assert.Equal(t, series.BasisUnknown, r.Source.Channels[0].Basis)
					assert.False(t, r.Source.Assumed)
					return
				}
				var damage *Error
				require.ErrorAs(t, err, &damage)
				assert.Equal(t, BadHello, damage.Kind)
				assert.NotEmpty(t, damage.Detail)
			})
		})
	}
}

// Bytes that the library takes for a line, or for none, and we do not.
func TestLineProtocolOddities(t *testing.T) {
	const fields = "boot=1i,seq=2i,t=3i"
	d := newLineProtocolDecoder()
	for text, want := range map[string]Kind{
		"# arc " + fields:                     NotALine,
		"":                                    NotALine,
		"arc " + fields + " 5":                NotALine,
		"arc,src= " + fields:                  NotALine,
		"arc " + fields + `,v="a`:             NotALine,
		"arc " + fields + ",v=true":           BadValue,
		"arc " + fields + ",v=1e999":          BadValue,
		"arc " + fields + ",v=2147483648e-6":  BadValue,
		"arc " + fields + ",v=2147483647e-6":  0,
		"arc " + fields + ",v=-2147483647e-6": 0,
		"arc " + fields + ",v=-":              BadValue,
		"arc boot=1i,seq=2i,t=-3i":            BadValue,
		"arc boot=1i,seq=4294967296i,t=3":     BadValue,
		"arc " + fields:                       0,
		"arc " + fields + " ":                 0,
		"arc " + fields + `,n="a,ck=1u"`:      0,
	} {
		sum := crc32.Checksum([]byte(text), castagnoli)
		for range 2 { // a bad line costs only itself, also inside the library
			d.Decode(append(appendSum([]byte(text), sum), '\n'), func(r *Reading, err error) {
				var damage *Error
				if errors.As(err, &damage) {
					assert.Equal(t, want, damage.Kind, "%q: %v", text, err)
					return
				}
				assert.Zero(t, want, "%q was read", text)
				assert.EqualValues(t, 2, r.Seq)
			})
		}
	}
}

func TestCallersBugsPanic(t *testing.T) {
	late, wild := Header{TickUS: maxTickUS + 1}, Line{Voltage: Mean{math.NaN(), true}}
	for name, call := range map[string]func(){
		"more v than i":      func() { AppendSamples(nil, Header{}, make([]int16, 2), make([]int16, 1)) },
		"too many samples":   func() { AppendSamples(nil, Header{}, make([]int16, 123), make([]int16, 123)) },
		"too many values":    func() { AppendSlow(nil, Header{}, make([]uint8, 98), make([]float64, 98)) },
		"value for float32":  func() { AppendSlow(nil, Header{}, []uint8{2}, []float64{1e39}) },
		"value not a number": func() { AppendSlow(nil, Header{}, []uint8{2}, []float64{math.NaN()}) },
		"too many turns":     func() { AppendTurn(nil, Header{}, make([]uint64, 41), make([]int32, 41)) },
		"late tick":          func() { AppendSums(nil, late, series.WindowSums{}) },
		"late tick of turns": func() { AppendTurn(nil, Header{}, []uint64{maxTickUS + 1}, []int32{1}) },
		"late line":          func() { AppendDelimited(nil, Line{TickUS: maxTickUS + 1}) },
		"voltage":            func() { AppendDelimited(nil, wild) },
		"wire speed":         func() { AppendLineProtocol(nil, "box1", Line{WireSpeed: Mean{36, true}}) },
		"no source":          func() { AppendLineProtocol(nil, "", Line{}) },
		"space in source":    func() { AppendLineProtocol(nil, "box 1", Line{}) },
		"long source":        func() { AppendLineProtocol(nil, strings.Repeat("b", 65), Line{}) },
		"default source":     func() { DefaultSource("telegraph") },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				text, ok := recover().(string)
				assert.True(t, ok && strings.HasPrefix(text, "link: "), "panic with the package's name first, not %q", text)
			}()
			call()
			t.Error("no panic")
		})
	}
}

func TestLongestLineFits(t *testing.T) {
	l := Line{
		Boot: math.MaxUint16, Seq: math.MaxUint32, TickUS: maxTickUS,
		Voltage: Mean{-2147.483646, true}, Current: Mean{-21474.83646, true}, WireSpeed: Mean{-35.79139, true},
	}
	line := AppendLineProtocol(nil, strings.Repeat("b", maxSourceTag), l)
	assert.LessOrEqual(t, len(line), maxLine)
	assert.Len(t, only(t, newLineProtocolDecoder(), line).Blocks, 2)
}

func TestNewNamesTheLinks(t *testing.T) {
	_, err := New("telegraph")
	require.EqualError(t, err, `link "telegraph" is not known: use binary, delimited, lineprotocol or columns`)
	for _, link := range links {
		_, err := New(link)
		require.NoError(t, err)
		s := DefaultSource(link)
		require.NoError(t, helloOf(s).check())
		assert.Equal(t, link == Binary, s.Assumed)
	}
}
