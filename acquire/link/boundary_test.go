package link

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outcome decodes a stream with one frame or line in it: what it says, or the
// error.
func outcome(t *testing.T, d Decoder, stream []byte) (said string, damage *Error) {
	t.Helper()
	calls := 0
	d.Decode(stream, func(r *Reading, err error) {
		if calls++; errors.As(err, &damage) {
			return
		}
		require.NoError(t, err)
		said = describe(r)
	})
	require.Equal(t, 1, calls)
	return said, damage
}

// Every field of a header has bytes of its own, so that none is read from its
// neighbour's.
func TestHeaderFields(t *testing.T) {
	payload := bytesOf(t, "01 02 12 34 a1 a2 a3 a4 01 02 03 04 05 06 00 00 b1 b2 01 03 11 12 21 22")
	said, damage := outcome(t, newBinaryDecoder(), sealed(Binary, payload))
	require.Nil(t, damage)
	// boot 0x3412, seq 0xa4a3a2a1, tick 0x060504030201 us, step 0xb2b1 us, V 0x1211, I 0x2221, both flags
	assert.Equal(t, "reading boot 13330 seq 2762187425 tick 6618611909121000 overrun clipped\n"+
		"  arc step 45745000 V [4625] I [8737]", said)
	for bit, want := range map[byte]string{0: "", 1: " overrun", 2: " clipped", 4: "", 0xFC: ""} { // a mark is of TURN only
		payload[19] = bit
		said, _ := outcome(t, newBinaryDecoder(), sealed(Binary, payload))
		head, _, _ := strings.Cut(said, "\n")
		assert.Equal(t, "reading boot 13330 seq 2762187425 tick 6618611909121000"+want, head, "flags %02x", bit)
	}
}

func TestTickBoundaries(t *testing.T) {
	for last, fine := range map[byte]bool{0: true, 1: false} { // 2^53 and 2^53+1 us
		tick := []byte{last, 0, 0, 0, 0, 0, 0x20, 0}
		_, damage := outcome(t, newBinaryDecoder(), frameOf(typeTurn, 0, Header{}, nil, func(p []byte) { copy(p[8:], tick) }))
		assert.Equal(t, fine, damage == nil, "of a frame")
		_, damage = outcome(t, newBinaryDecoder(), frameOf(typeTurn, 1, Header{}, append(bytes.Clone(tick), 1, 0, 0, 0), nil))
		assert.Equal(t, fine, damage == nil, "of a turn count")
	}
	for text, fine := range map[string]bool{"9007199254740992": true, "9007199254740993": false} {
		_, damage := outcome(t, newDelimitedDecoder(), sealed(Delimited, []byte("W,1,2,"+text+",1,1,1")))
		assert.Equal(t, fine, damage == nil)
		_, damage = outcome(t, newLineProtocolDecoder(), sealed(LineProtocol, []byte("arc boot=1i,seq=2i,t="+text+"i")))
		assert.Equal(t, fine, damage == nil)
	}
}

// A frame may be empty, and one sample needs no time to the next.
func TestCountBoundaries(t *testing.T) {
	for _, c := range []struct {
		name  string
		frame []byte
		want  string // behind the head; "" is no block
	}{
		{"no samples", AppendSamples(nil, Header{}, nil, nil), ""},
		{"no slow values", AppendSlow(nil, Header{}, nil, nil), ""},
		{"no turn counts", AppendTurn(nil, Header{}, nil, nil), ""},
		{"one sample", AppendSamples(nil, Header{}, []int16{3}, []int16{-4}), "\n  arc step 0 V [3] I [-4]"},
		{"two samples a microsecond apart", AppendSamples(nil, Header{StepUS: 1}, []int16{3, 4}, []int16{5, 6}), "\n  arc step 1000 V [3 4] I [5 6]"},
		{"the last channel", AppendSlow(nil, Header{}, []uint8{3}, []float64{0.5}), "\n  slow step 0 channel [3] value [0.5]"},
		{"a type of a later box", frameOf(99, 1, Header{}, []byte{1, 2, 3}, nil), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, _ := described(t, Binary)
			said, damage := outcome(t, d, c.frame)
			require.Nil(t, damage)
			assert.Equal(t, "reading boot 0 seq 0 tick 0"+c.want, said)
		})
	}
}

// A sum may be all of its lowest or all of its highest code, and every sample may
// be in arc; one more or less cannot be.
func TestSumsBoundaries(t *testing.T) {
	for _, c := range []struct {
		name string
		sum  series.WindowSums
		fine bool
	}{
		{"all lowest", series.WindowSums{Count: 4, V: -8, VMin: -2, VMax: 3, I: 4, IMin: 1, IMax: 5}, true},
		{"voltage below", series.WindowSums{Count: 4, V: -9, VMin: -2, VMax: 3, I: 4, IMin: 1, IMax: 5}, false},
		{"current below", series.WindowSums{Count: 4, V: -8, VMin: -2, VMax: 3, I: 3, IMin: 1, IMax: 5}, false},
		{"all highest", series.WindowSums{Count: 4, V: 12, VMin: -2, VMax: 3, I: 20, IMin: 1, IMax: 5}, true},
		{"voltage above", series.WindowSums{Count: 4, V: 13, VMin: -2, VMax: 3, I: 20, IMin: 1, IMax: 5}, false},
		{"current above", series.WindowSums{Count: 4, V: 12, VMin: -2, VMax: 3, I: 21, IMin: 1, IMax: 5}, false},
		{"all one code", series.WindowSums{Count: 4, V: 8, VMin: 2, VMax: 2, I: 4, IMin: 1, IMax: 1, VI: 8}, true},
		{"products above it", series.WindowSums{Count: 4, V: 8, VMin: 2, VMax: 2, I: 4, IMin: 1, IMax: 1, VI: 9}, false},
		{"products below it", series.WindowSums{Count: 4, V: 8, VMin: 2, VMax: 2, I: 4, IMin: 1, IMax: 1, VI: 7}, false},
		// Factors from -2 to 3 and from -7 to 5: products from -21 to 15.
		{"least products", series.WindowSums{Count: 4, VMin: -2, VMax: 3, IMin: -7, IMax: 5, VI: -84}, true},
		{"less than that", series.WindowSums{Count: 4, VMin: -2, VMax: 3, IMin: -7, IMax: 5, VI: -85}, false},
		{"most products", series.WindowSums{Count: 4, VMin: -2, VMax: 3, IMin: -7, IMax: 5, VI: 60}, true},
		{"more than that", series.WindowSums{Count: 4, VMin: -2, VMax: 3, IMin: -7, IMax: 5, VI: 61}, false},
		// Both below zero: from 3*1 to 5*7.
		{"of two negatives", series.WindowSums{Count: 1, V: -3, VMin: -5, VMax: -3, I: -1, IMin: -7, IMax: -1, VI: 35}, true},
		{"more of two negatives", series.WindowSums{Count: 1, V: -3, VMin: -5, VMax: -3, I: -1, IMin: -7, IMax: -1, VI: 36}, false},
		{"less of two negatives", series.WindowSums{Count: 1, V: -3, VMin: -5, VMax: -3, I: -1, IMin: -7, IMax: -1, VI: 2}, false},
		{"voltage turned round", series.WindowSums{Count: 4, VMin: 1, VMax: 0, I: 4, IMin: 1, IMax: 1}, false},
		{"current turned round", series.WindowSums{Count: 4, IMin: 1, IMax: 0}, false},
		{"all in arc", series.WindowSums{Count: 4, ArcOn: 4}, true},
		{"more than all", series.WindowSums{Count: 4, ArcOn: 5}, false},
	} {
		_, damage := outcome(t, newBinaryDecoder(), AppendSums(nil, Header{StepUS: 1}, c.sum))
		assert.Equal(t, c.fine, damage == nil, c.name)
	}
	for dropped, want := range map[uint32]string{0: "", 1: " overrun"} {
		said, _ := outcome(t, newBinaryDecoder(), AppendSums(nil, Header{StepUS: 1}, series.WindowSums{Dropped: dropped}))
		assert.Equal(t, "reading boot 0 seq 0 tick 0"+want, said)
	}
}

// The longest line has 256 bytes with its LF, the shortest payload 24.
func TestLengthBoundaries(t *testing.T) {
	const short = "W,1,2,3,24.3100,210,8"
	for extra, fine := range map[int]bool{255 - len(short) - 10: true, 256 - len(short) - 10: false} {
		text := "W,1,2,3,24.31" + strings.Repeat("0", 2+extra) + ",210,8"
		line := sealed(Delimited, []byte(text))
		said, damage := outcome(t, newDelimitedDecoder(), line)
		require.Equal(t, fine, damage == nil, "%d bytes", len(line))
		if fine {
			assert.Len(t, line, maxLine)
			assert.Contains(t, said, "V [24310000]")
		} else {
			assert.Equal(t, TooLong, damage.Kind)
			assert.Equal(t, maxLine+1, damage.Bytes)
		}
	}
	_, damage := outcome(t, newBinaryDecoder(), sealed(Binary, make([]byte, headerSize-1)))
	assert.Equal(t, TooShort, damage.Kind)
	_, damage = outcome(t, newBinaryDecoder(), sealed(Binary, make([]byte, headerSize)))
	assert.Equal(t, BadVersion, damage.Kind)
}

// A frame of 515 bytes with codes for no less is taken, one byte more is too long
// before anybody looks into it; and 4096 bytes are one piece, however they come.
func TestRunBoundaries(t *testing.T) {
	for n, want := range map[int]Kind{maxRun: NotCOBS, maxRun + 1: TooLong} {
		_, damage := outcome(t, newBinaryDecoder(), append(bytes.Repeat([]byte{0xEE}, n), 0))
		assert.Equal(t, want, damage.Kind, "%d bytes", n)
		assert.Equal(t, n+1, damage.Bytes)
	}
	for n, want := range map[int][]int{longPiece - 1: {longPiece}, longPiece: {longPiece, 1}, longPiece + 1: {longPiece, 2}} {
		var got []int
		newBinaryDecoder().Decode(append(bytes.Repeat([]byte{0xEE}, n), 0), func(_ *Reading, err error) {
			var damage *Error
			require.ErrorAs(t, err, &damage)
			got = append(got, damage.Bytes)
		})
		assert.Equal(t, want, got, "%d bytes", n)
	}
}

// A description that just fills a frame is sent; one byte more is not.
func TestHelloFillsAFrame(t *testing.T) {
	s := box()
	s.Channels = s.Channels[:3]
	texts := []*string{&s.Name, &s.Serial, &s.Firmware, &s.Calibration}
	for _, text := range texts {
		*text = strings.Repeat("x", 24) // from here on a character is a byte, and no more
	}
	size := func() int {
		body, err := helloEncoding.Marshal(helloOf(s))
		require.NoError(t, err)
		return len(body)
	}
	require.Less(t, size(), maxBody)
	for k := 0; size() < maxBody; k++ {
		*texts[k%len(texts)] += "x"
	}
	frame, err := AppendHello(nil, Header{}, s)
	require.NoError(t, err)
	assert.Equal(t, s, *only(t, newBinaryDecoder(), frame).Source)
	s.Calibration += "x"
	_, err = AppendHello(nil, Header{}, s)
	require.EqualError(t, err, "hello: description takes 489 bytes, a frame has room for 488")
}

func TestLargestSlowValue(t *testing.T) {
	d, _ := described(t, Binary)
	r := only(t, d, AppendSlow(nil, Header{}, []uint8{2, 2}, []float64{math.MaxFloat32, -math.MaxFloat32}))
	assert.Equal(t, []float64{math.MaxFloat32, -math.MaxFloat32}, r.Blocks[0].Value)
}

func TestDelimitedMarks(t *testing.T) {
	for text, want := range map[string]Kind{
		"$*00000000":    BadType, // nothing between the marks, and its checksum is right
		"$00000000":     NotALine,
		"$":             NotALine,
		"W,1*00000000":  NotALine,
		"$W,1*0000000g": NotALine,
		"$W,1*00000000": BadChecksum,
	} {
		_, damage := outcome(t, newDelimitedDecoder(), []byte(text+"\n"))
		require.NotNil(t, damage, text)
		assert.Equal(t, want, damage.Kind, text)
	}
}

func TestCOBSRefuses(t *testing.T) {
	for _, run := range [][]byte{{0}, {2}, {1, 0}, {2, 7, 0}, {2, 7, 2}, {2, 7, 5, 1}, {3, 7}} {
		whole := append(bytes.Clone(run), 9, 9, 9, 9, 9, 9, 9, 9) // what is behind the run is none of its business
		_, ok := decodeCOBS(make([]byte, len(run)), whole[:len(run)])
		assert.False(t, ok, "% x", run)
	}
	for text, want := range map[string]string{"": "", "\x01": "", "\x01\x01": "\x00", "\x02\x07": "\x07", "\x02\x07\x02\x08": "\x07\x00\x08"} {
		got := make([]byte, len(text))
		n, ok := decodeCOBS(got, []byte(text))
		assert.True(t, ok)
		assert.Equal(t, want, string(got[:n]))
	}
}

func TestTextOfNumbers(t *testing.T) {
	for text, want := range map[string]uint64{"0": 0, "0000000000000000007": 7, "65535": 65535} {
		n, ok := parseUint([]byte(text), 65535)
		assert.True(t, ok, text)
		assert.Equal(t, want, n, text)
	}
	for _, text := range []string{"", "65536", "00000000000000000007", "-1", "+1", "1.0", "1e3", "9999999999999999999"} {
		_, ok := parseUint([]byte(text), 65535)
		assert.False(t, ok, text)
	}
	for want, x := range map[string]float64{"12": 12, "0.5": 0.5, "100": 100, "-0.25": -0.25, "0": 0, "24.31": 24.31, "1.235": 1.2346} {
		assert.Equal(t, want, string(appendDecimal(nil, x, 3)))
	}
}

// The largest value of a line is one code below what an int32 holds, either way.
func TestLargestValuesOfALine(t *testing.T) {
	const most = 2147.483646
	for _, sign := range []float64{1, -1} {
		line := Line{Voltage: Mean{sign * most, true}, Current: Mean{sign * 10 * most, true}, WireSpeed: Mean{sign * most / 60, true}}
		require.NotPanics(t, func() { line.check() })
	}
	require.Panics(t, func() { Line{Voltage: Mean{2147.483647, true}}.check() })
	require.Panics(t, func() { Line{Current: Mean{-21474.8365, true}}.check() })
	require.NotPanics(t, func() { Line{Voltage: Mean{9e9, false}}.check() }, "not known, not sent")
	require.NotPanics(t, func() { checkSourceTag(strings.Repeat("b", 64)) })
	for _, tag := range []string{"!~", "a"} {
		require.NotPanics(t, func() { checkSourceTag(tag) })
	}
	for _, tag := range []string{"\x7f", " ", "a,b", "a=b", `a\b`} {
		require.Panics(t, func() { checkSourceTag(tag) }, "%q", tag)
	}
}

// The step of a line is the time since the one before it, where that has come.
func TestStepOfALine(t *testing.T) {
	d := newDelimitedDecoder()
	for _, c := range []struct{ text, want string }{
		{"W,1,5,1000,1,1,", "0"},
		{"W,1,6,1500,1,1,", "500000"},
		{"W,1,7,1500,1,1,", "0"},
		{"W,1,8,1400,1,1,", "0"}, // the clock went back
		{"W,1,10,2000,1,1,", "0"},
		{"W,2,11,3000,1,1,", "0"},
		{"W,2,4294967295,3500,1,1,", "0"},
		{"W,2,0,3600,1,1,", "100000"},
	} {
		said, damage := outcome(t, d, sealed(Delimited, []byte(c.text)))
		require.Nil(t, damage, c.text)
		assert.Contains(t, said, "arc step "+c.want+" V", c.text)
	}
}
